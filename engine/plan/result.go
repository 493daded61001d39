package plan

// Format and Version mark what Run returns.
const (
	Format  = "portwright-plan"
	Version = 1
)

// Statuses of a result.
const (
	Solved     = "solved"     // every target is reached
	Limited    = "limited"    // as near as the limits let it come: Missed, Binding
	Impossible = "impossible" // the limits contradict each other: Binding; cuts at most leave what is crossed where it is
	WhatIf     = "what_if"    // the moves were given
)

// Options say how a plan is made. The zero value is right for one file by
// itself.
type Options struct {
	WhatIf bool     // carry out the build's moves, even none, whatever the targets
	Pass   int      // place of the pass to start from, from 1; 0: the last, with every bite made since
	Apply  []string // problems whose remedies are consented to, as in package findings
}

// Result is what `portwright plan` prints. Lengths mm, angles degrees after TDC,
// U95 expanded uncertainties at 95 %. Nil: not known.
type Result struct {
	Format    string    `json:"format"`
	Version   int       `json:"version"`
	Status    string    `json:"status"`
	Pass      string    `json:"pass"` // that it starts from
	Cylinder  int       `json:"cylinder"`
	Moves     []Step    `json:"moves"`
	Now       Numbers   `json:"now"`
	After     Numbers   `json:"after"`
	Windows   []Window  `json:"windows"`
	Binding   []string  `json:"binding"`             // what keeps missed targets away, or what contradicts
	WouldHelp []string  `json:"would_help,omitzero"` // moves that are not allowed and would help
	Missed    []string  `json:"missed"`              // targets, in their order
	Misses    []Miss    `json:"misses,omitzero"`
	Text      string    `json:"text"`          // the status in a sentence or two
	Note      string    `json:"note,omitzero"` // part of the text that neither bounds nor misses say
	Warnings  []Warning `json:"warnings"`
	Rooms     []Room    `json:"rooms,omitzero"` // of the moves that are allowed and have a bound
	Rules     []Rule    `json:"rules"`          // in force

	Sizes Sizes `json:"-"`
}

// Room is how much of a move is allowed: MaxMM from the engine as it was received,
// of which bites took TakenMM and LeftMM is left.
type Room struct {
	Move    string  `json:"move"`
	Window  string  `json:"window,omitempty"`
	MaxMM   float64 `json:"max_mm"`
	TakenMM float64 `json:"taken_mm"`
	LeftMM  float64 `json:"left_mm"`
}

// Step is one move of the cut list.
type Step struct {
	Move        string    `json:"move"`
	Window      string    `json:"window,omitempty"`
	ToMM        *float64  `json:"to_mm,omitempty"` // of a gasket
	ByMM        *float64  `json:"by_mm,omitempty"` // what comes off; of a gasket, what is thicker
	ToMM2       *float64  `json:"to_mm2,omitempty"`
	U95MM       *float64  `json:"u95_mm,omitempty"`
	FirstBiteMM *float64  `json:"first_bite_mm,omitempty"`         // 0: read again before cutting
	StepMM      *float64  `json:"step_mm,omitempty"`               // of the tool
	BoundMM     *float64  `json:"bound_mm,omitempty"`              // of the move, as in the file, where that and no target stops it
	Help        string    `json:"help,omitempty"`                  // what would make the first bite longer most
	Text        string    `json:"text,omitempty"`                  // said of the first bite
	WheelBite   []Reading `json:"wheel_after_first_bite,omitzero"` // of the windows that this step moves
	WheelAfter  []Reading `json:"wheel_after,omitzero"`            // the same after the whole step
	SquishAfter *float64  `json:"squish_after_mm,omitempty"`
	RatioAfter  *float64  `json:"geometric_ratio_after,omitempty"`
}

// Reading is what the user's wheel, or depth gauge, shows.
type Reading struct {
	Window   string   `json:"window"`
	Event    string   `json:"event"`
	ReadsDeg *float64 `json:"reads_deg,omitempty"`
	Quarter  int      `json:"quarter,omitempty"`  // of a wheel of quarters, 1 to 4 from TDC the running way
	ReadsMM  *float64 `json:"reads_mm,omitempty"` // in a pass of depths: from the cylinder's top
}

// Window is one window now and after all moves.
type Window struct {
	Name  string `json:"name"`
	Kind  string `json:"kind"`
	Now   Edge   `json:"now"`
	After Edge   `json:"after"`

	Computed bool `json:"computed,omitempty"` // Now is, from bites that were made since it was read
}

// Edge is where a window stands.
type Edge struct {
	OpensDeg    *float64 `json:"opens_deg,omitempty"`
	ClosesDeg   *float64 `json:"closes_deg,omitempty"`
	DurationDeg *float64 `json:"duration_deg,omitempty"`
	TravelMM    *float64 `json:"travel_mm,omitempty"`
	AreaMM2     *float64 `json:"area_mm2,omitempty"` // wide open
	WidthShare  *float64 `json:"width_share,omitempty"`
}

// Miss says by how much a target is missed, in its unit, and what keeps it away:
// each of Binding by itself where taking it out brings the target nearer, else
// all of them together.
type Miss struct {
	Target    string   `json:"target"`
	Wanted    float64  `json:"wanted"`
	Reached   *float64 `json:"reached"`
	Binding   []string `json:"binding,omitzero"`
	WouldHelp []string `json:"would_help,omitzero"`
}

// Warning is something that is crossed or comes near, at the number that it is
// about. Rule says where its bound comes from.
type Warning struct {
	Code   string   `json:"code"`
	About  string   `json:"about,omitempty"`  // key of the number, as in Numbers
	Window string   `json:"window,omitempty"` // the window that it is about
	Step   int      `json:"step,omitempty"`   // the step from which on, from 1; 0: so already, or of the whole
	Value  *float64 `json:"value,omitempty"`
	Bound  *float64 `json:"bound,omitempty"`
	Rule   string   `json:"rule,omitempty"`
	Text   string   `json:"text"`
}
