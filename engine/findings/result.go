package findings

import "portwright/engine/build"

// Result is what `portwright findings` prints: one entry per pass.
type Result struct {
	Format  string       `json:"format"` // "portwright-findings"
	Version int          `json:"version"`
	Passes  []PassResult `json:"passes"`

	// Comparisons hold each pass of a cylinder against its pass before, and each
	// cylinder against the first one in the pass of the same name.
	Comparisons []Comparison `json:"comparisons"`
}

// PassResult is one pass. Angles in degrees after TDC, 0 <= a < 360; lengths
// mm; U95 values are expanded uncertainties at 95 %. Nil: not computable from
// what was given; Needs says what would unlock it.
type PassResult struct {
	ID             string         `json:"id,omitempty"`
	Name           string         `json:"name"`
	Cylinder       int            `json:"cylinder"`
	Habit          string         `json:"habit"`
	Zero           *Zero          `json:"zero"`         // nil: no stop check, the wheel's zero is taken as TDC
	ZeroU95Deg     *float64       `json:"zero_u95_deg"` // doubt of the zero that every single angle carries; nil where the habit has no zero at TDC
	ZeroFrom       string         `json:"zero_from"`    // "stop", "pairs" (openings and closings), "assumed" (by eye) or "" (habit without one)
	Repeatability  Repeatability  `json:"repeatability"`
	Windows        []WindowResult `json:"windows"`
	BlowdownDeg    *float64       `json:"blowdown_deg"`
	BlowdownU95Deg *float64       `json:"blowdown_u95_deg"`
	BlowdownWindow string         `json:"blowdown_window,omitempty"` // the transfer that opens first
	DisplacementCC *float64       `json:"displacement_cc"`
	GeometricRatio *float64       `json:"geometric_ratio"`
	TrappedRatio   *float64       `json:"trapped_ratio"`
	SquishMM       *float64       `json:"squish_mm"` // pin-axis mean
	Problems       []Problem      `json:"problems"`
	Needs          []Need         `json:"needs"`
	Applied        []Applied      `json:"applied"`
}

// Zero is what the stop checks say.
type Zero struct {
	TDCReadsDeg  float64 `json:"tdc_reads_deg"` // degrees from the wheel's 0 mark, counted as the engine turns unless the numbers fall
	HalfAngleDeg float64 `json:"half_angle_deg"`
	U95Deg       float64 `json:"u95_deg"`
	SlipDeg      float64 `json:"slip_deg"` // after minus before; 0 with one check
	Checks       int     `json:"checks"`
}

// Repeatability is the pooled scatter of the pass.
type Repeatability struct {
	SDeg   float64 `json:"s_deg"`          // standard deviation of one reading; 0 in a pass of depths
	SMM    float64 `json:"s_mm,omitempty"` // the same of one depth
	DF     float64 `json:"df"`
	Source string  `json:"source"` // "pass", "book" or "assumed"
}

// WindowResult is one window of a pass. Where only one of opening and closing
// was read, or a depth or a duration, the rest follows by symmetry about the
// dead centre and SymmetryAssumed is set. OpensDeg nil: not read, not
// derivable.
type WindowResult struct {
	ID              string   `json:"id,omitempty"`
	Name            string   `json:"name"`
	Kind            string   `json:"kind"`
	OpensDeg        *float64 `json:"opens_deg"`
	OpensU95Deg     *float64 `json:"opens_u95_deg"`
	ClosesDeg       *float64 `json:"closes_deg"`
	ClosesU95Deg    *float64 `json:"closes_u95_deg"`
	DurationDeg     *float64 `json:"duration_deg"`
	DurationU95Deg  *float64 `json:"duration_u95_deg"`
	PairSumDeg      *float64 `json:"pair_sum_deg"` // opening and closing added, where both were read and belong together
	TravelMM        *float64 `json:"travel_mm"`
	TravelU95MM     *float64 `json:"travel_u95_mm"`
	DegPerMM        *float64 `json:"deg_per_mm"`          // local slope at the opening
	MMFor2Deg       *float64 `json:"mm_for_2deg"`         // how far the edge moves for 2 degrees of opening, 4 of duration
	SpreadDeg       *float64 `json:"spread_deg"`          // largest minus smallest repeat of the wider event
	SpreadMM        *float64 `json:"spread_mm,omitempty"` // the same in a pass of depths
	Repeats         int      `json:"repeats"`             // counted readings of the window
	SymmetryAssumed bool     `json:"symmetry_assumed"`
	DoubtedBy       []string `json:"doubted_by,omitempty"` // codes of unsettled problems that may have moved these numbers by more than their doubt
	Methods         []string `json:"methods,omitempty"`
}

// Problem is a finding: what is wrong, the numbers that say so, the remedy.
type Problem struct {
	Code     string             `json:"code"`
	Windows  []string           `json:"windows"`
	Readings []int              `json:"readings,omitempty"`    // 1-based places in the pass
	IDs      []string           `json:"reading_ids,omitempty"` // the same by ID, when the readings carry IDs
	Title    string             `json:"title"`                 // a headline, at most about 60 characters
	Text     string             `json:"text"`
	Evidence map[string]float64 `json:"evidence"`
	Remedy   *build.Correction  `json:"remedy,omitempty"` // nil: nothing to apply, the text says what to do
	Action   string             `json:"action,omitempty"` // the remedy as a button's words
}

// Need says which number is missing and what it would unlock.
type Need struct {
	Field   string `json:"field"`   // "engine.stroke_mm", "stops", "closes", ...
	Unlocks string `json:"unlocks"` // "travel in mm", ...
	Text    string `json:"text"`
}

// Applied echoes a correction in force and what it changed.
type Applied struct {
	Code string `json:"code"`
	ID   string `json:"id,omitempty"`
	Text string `json:"text"`
}

// Comparison is the difference of one window between two passes: Pass minus
// Against.
type Comparison struct {
	Window         string   `json:"window"`
	Pass           string   `json:"pass"`
	Cylinder       int      `json:"cylinder"`
	Against        string   `json:"against"`
	AgainstCyl     int      `json:"against_cylinder"`
	OpensDeg       *float64 `json:"opens_deg"`
	OpensU95Deg    *float64 `json:"opens_u95_deg"`
	DurationDeg    *float64 `json:"duration_deg"`
	DurationU95Deg *float64 `json:"duration_u95_deg"`
	TravelMM       *float64 `json:"travel_mm"`
	TravelU95MM    *float64 `json:"travel_u95_mm"`
	Real           bool     `json:"real"` // a difference is larger than its doubt
}
