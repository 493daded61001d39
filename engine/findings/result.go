package findings

import "portwright/engine/build"

// Result is what `portwright findings` prints: one entry per pass.
type Result struct {
	Format  string       `json:"format"` // "portwright-findings"
	Version int          `json:"version"`
	Passes  []PassResult `json:"passes"`
}

// PassResult is one pass. Angles in degrees after TDC, 0 <= a < 360; lengths
// mm; U95 values are expanded uncertainties at 95 %. Nil: not computable from
// what was given; Needs says what would unlock it.
type PassResult struct {
	ID             string         `json:"id,omitempty"`
	Name           string         `json:"name"`
	Cylinder       int            `json:"cylinder"`
	Habit          string         `json:"habit"`
	Zero           *Zero          `json:"zero"` // nil: no stop check, the wheel's zero is taken as TDC
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
	TDCReadsDeg  float64 `json:"tdc_reads_deg"`
	HalfAngleDeg float64 `json:"half_angle_deg"`
	U95Deg       float64 `json:"u95_deg"`
	SlipDeg      float64 `json:"slip_deg"` // after minus before; 0 with one check
	Checks       int     `json:"checks"`
}

// Repeatability is the pooled scatter of the pass.
type Repeatability struct {
	SDeg   float64 `json:"s_deg"` // standard deviation of one reading
	DF     float64 `json:"df"`
	Source string  `json:"source"` // "pass", "book" or "assumed"
}

// WindowResult is one window of a pass. In a habit "depth" pass only opens
// values derived from geometry appear. OpensDeg nil: not read, not derivable.
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
	PairSumDeg      *float64 `json:"pair_sum_deg"`
	TravelMM        *float64 `json:"travel_mm"`
	TravelU95MM     *float64 `json:"travel_u95_mm"`
	DegPerMM        *float64 `json:"deg_per_mm"` // local slope at the opening
	SpreadDeg       *float64 `json:"spread_deg"` // largest minus smallest repeat of the wider event
	Repeats         int      `json:"repeats"`    // counted readings of the window
	SymmetryAssumed bool     `json:"symmetry_assumed"`
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
