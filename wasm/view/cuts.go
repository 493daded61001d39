package view

import (
	"math"
	"slices"
	"strings"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// CutsView is station Cuts ready to show.
type CutsView struct {
	Pass      string
	Modes     []Button
	WhatIf    bool
	Cylinders []Button  // passes of other cylinders to plan for
	Disputes  []CutsSay // where bites and readings contradict each other
	Says      []CutsSay // how it stands, what is missing, warnings about the whole
	Conflicts []ConflictView
	Wanted    []NudgeRow
	Want      []Button // targets that can be added
	Tries     []NudgeRow
	Steps     []CutsStep
	Bites     []BiteRow
	Other     []Button // what else came off
	Again     bool     // reading again leads on
	Read      []Fact   // the numbers that follow while something is nudged
	Tables    []CutsTable
	Pictures  []CutsPicture
	Allowed   []AllowRow
	Bounds    []EngineGroup // gaskets, limits, rules and tools
	Field     *FieldView    // in hand
}

// Open says whether the field in hand lies over the list on a narrow screen.
func (v *CutsView) Open() string { return truth(v.Field != nil) }

// CutsSay is something said of the plan, and what can be done about it.
type CutsSay struct {
	Title   string // "" for what is missing or warned of
	Kind    string // for the style sheet: "good", "mark" or ""
	Text    string
	Buttons []Button
}

// NudgeRow is a number with plus and minus: a target, or a move that is tried.
type NudgeRow struct {
	ID, Path   string
	Name       string
	Value      string
	Small      string // the same in another way
	Hash       string // where it is typed; "" where it is typed in the row
	Text       string // what is typed in the row
	Notes      []string
	Warn       []string
	Less, More app.Msg

	// Of a target: its place among them.
	Out, Up, Down app.Msg
	First, Last   bool
}

// CutsStep is one move of the cut list.
type CutsStep struct {
	Place, Title string
	Amount       string // "1.16 mm"
	Small        string // "45.7 thou"
	Doubt        string
	Bite         string // "1.00 mm", "" where there is none
	Text         string
	Then         string // over Wheel
	Wheel        []string
	After        string
	Warn         []string
	Caution      string
	Acts         []Button // where what came off is given, and what would help
}

// BiteRow is a bite that was made.
type BiteRow struct {
	ID, Title, Amount, Small string
	Struck                   bool
}

// Tick is "tick" for a bite that counts.
func (r BiteRow) Tick() string {
	if r.Struck {
		return ""
	}
	return "tick"
}

// Act is what the row's button does.
func (r BiteRow) Act() string {
	if r.Struck {
		return "Counts again"
	}
	return "Strike out"
}

// AllowRow is a move that may be allowed.
type AllowRow struct {
	Move, Name  string
	On          bool
	Bound, Hash string // how much of it
}

// Pressed is the value of aria-pressed.
func (r AllowRow) Pressed() string { return truth(r.On) }

// goTo is a button that leads to another place.
func goTo(words, hash string) Button { return Button{Words: words, Msg: app.Go{Hash: hash}} }

func cutsHash(m *app.Model, field string) string {
	return app.Route{Station: app.AtCuts, Build: m.Open.ID, Field: field}.Hash()
}

func cutsOf(m *app.Model) *CutsView {
	b := m.Open.Build
	values, groups := app.ValuesOf(b), app.CutsGroups(b)
	v := &CutsView{WhatIf: m.Cuts.WhatIf, Field: fieldOf(m, values, groups), Modes: []Button{
		{Words: "Targets", Msg: app.CutsMode{}, Now: !m.Cuts.WhatIf}, {Words: "What if", Msg: app.CutsMode{WhatIf: true}, Now: m.Cuts.WhatIf}}}
	for _, c := range m.Open.Fold.Conflicts {
		if app.StationOf(c.Path) == app.AtCuts {
			v.Conflicts = append(v.Conflicts, conflictOf(m, c))
		}
	}
	for _, g := range groups[2:6] {
		rows, given := fieldRows(m, values, g), 0
		for _, r := range rows {
			if r.Known {
				given++
			}
		}
		title := groupTitle(g.ID)
		if given > 0 {
			title += ", " + plain(given) + " set"
		}
		v.Bounds = append(v.Bounds, EngineGroup{Title: title, Rows: rows})
	}
	v.Cylinders = cylinderButtons(m)
	v.Allowed = allowRows(m)
	v.Bites, v.Other = biteRows(m), otherBites(m)
	p := &m.Cuts.Plan
	v.Wanted, v.Want = wantedRows(m, p)
	if v.WhatIf {
		v.Tries = tryRows(m)
	}
	for _, x := range b.Bites {
		v.Again = v.Again || x.Struck == "" && max(x.Cylinder, 1) == m.CutsCylinder()
	}
	v.Disputes = disputeRows(m, p.Result)
	v.Says = append([]CutsSay{cutsStatus(m, v)}, lackRows(m, p)...)
	if r := p.Result; r != nil {
		v.Pass = r.Pass + ", cylinder " + plain(r.Cylinder)
		v.Steps = stepRows(m, r)
		v.Says = append(v.Says, noteRows(m, r)...)
		v.Read = readout(r)
		v.Tables, v.Pictures = cutsTables(m, r), cutsPictures(p)
	}
	return v
}

// cylinderButtons leads to the last pass of each other cylinder.
func cylinderButtons(m *app.Model) []Button {
	last := map[int]string{}
	most := 0
	for _, p := range m.Open.Build.Passes {
		c := max(p.Cylinder, 1)
		last[c], most = p.ID, max(most, c)
	}
	if len(last) < 2 {
		return nil
	}
	var out []Button
	for c := 1; c <= most; c++ {
		if id := last[c]; id != "" {
			out = append(out, Button{Words: "Cylinder " + plain(c), Msg: app.BenchPass{Pass: id}, Now: c == m.CutsCylinder()})
		}
	}
	return out
}

// cutsStatus says in words how the plan stands.
func cutsStatus(m *app.Model, v *CutsView) (s CutsSay) {
	r, said := m.Cuts.Plan.Result, ""
	switch {
	case r == nil && m.Cuts.Plan.Err != "":
		said = "mark|No plan|" + m.Cuts.Plan.Err
	case r == nil:
		said = "mark|No plan yet|Something is missing without which nothing can be planned:"
	case v.WhatIf && len(r.Binding) > 0:
		said = "mark|A limit is crossed|These moves cross:"
	case v.WhatIf:
		said = "|What if|Nudge any move: every number below follows. Nothing is kept, and nothing is cut."
	case len(v.Wanted) == 0:
		said = "|Nothing is wanted yet|Add what the work is to reach. The first counts most."
	case r.Status == plan.Impossible && len(r.Binding) == 1:
		said = "mark|Impossible|This is crossed as it is, and no move that is allowed puts it right."
	case r.Status == plan.Impossible:
		said = "mark|Impossible|These are crossed, or can't hold together, whatever is cut."
	case r.Status == plan.Limited:
		said = "mark|Limited|As near as it comes."
	case len(r.Moves) == 0:
		said = "good|Nothing to cut|Every target is reached as it is."
	case readFirst(r) && len(v.Disputes) > 0:
		said = "mark|Read again first|Nothing more comes off before the last cut is measured and read again."
	case readFirst(r):
		said = "mark|Read again first|Every target can be reached, but the doubt of a depth is as large as the depth: no bite is safe yet."
	default:
		said = "good|Solved|Every target is reached."
	}
	s.Kind, said, _ = strings.Cut(said, "|")
	if len(v.Disputes) > 0 && s.Kind == "good" { // nothing is good yet
		s.Kind = ""
	}
	s.Title, s.Text, _ = strings.Cut(said, "|")
	if r == nil {
		return s
	}
	for _, miss := range r.Misses {
		if miss.Reached != nil && !v.WhatIf {
			s.Text += " " + upperFirst(wordsOf("targets."+miss.Target).name) + ": " + missWords(miss.Target, *miss.Reached, miss.Wanted) + "."
		}
	}
	for _, key := range r.Binding {
		if words, path := bindWords(m, key); path == "" {
			s.Text += " " + upperFirst(words) + "."
		} else {
			s.Buttons = append(s.Buttons, bindButton(m, key))
		}
	}
	for _, name := range r.WouldHelp { // a move is allowed, another gasket first given
		help := bindButton(m, "base_gaskets_mm")
		for _, room := range m.Open.Build.Allowed.Rooms() {
			if plan.Name(room.Move) == name {
				help.Msg = app.CutsAllow{Move: room.Move}
			}
		}
		help.Words = "Allow: " + name
		s.Buttons = append(s.Buttons, help)
	}
	if r.Note != "" {
		s.Text += " " + r.Note
	} else if r.Status == plan.Impossible && len(r.Moves) > 0 {
		s.Text += " The cuts below leave what is crossed no worse, and cross nothing else."
	}
	if v.Again && (r.Status == plan.Impossible || slices.Contains(r.Binding, "no_metal_back")) {
		s.Text += " What can still be done: another order of targets, another target or limit, a move that is not allowed yet. A bite that was entered wrongly can be struck out."
	}
	if r.Status == plan.Limited && len(s.Buttons) > 0 {
		s.Text += " What keeps it there, and what would help:"
	}
	return s
}

// cutsSaid is what is read out when a number changed: how the plan stands and
// the numbers that are always in sight.
func cutsSaid(v *CutsView) string {
	if v.Field != nil {
		return ""
	}
	said := append(v.Disputes, v.Says...)[0].Title
	if len(v.Read) > 0 && len(v.Steps) > 0 {
		said += ", then"
	}
	for _, f := range v.Read {
		said += ", " + f.Name + " " + strings.ReplaceAll(f.Value.Value, "?", "not known")
	}
	return said + "."
}

// readFirst says that a step has no safe bite though the tool could take one.
func readFirst(r *plan.Result) bool {
	for i := range r.Moves {
		s := &r.Moves[i]
		if s.FirstBiteMM != nil && *s.FirstBiteMM == 0 && *s.ByMM >= *s.StepMM {
			return true
		}
	}
	return false
}

// bindWords name what binds, with its value, and where it is set; "" where it is
// no field.
func bindWords(m *app.Model, key string) (words, path string) {
	switch key {
	case "contact":
		return "the crown would touch the head", ""
	case "ring_land":
		return "the crown would be cut into the ring's groove", ""
	case "ring_in_bore":
		return "the ring would come out of the cylinder", ""
	case "port_closes":
		return "the piston has to open and close every window, below its ring", ""
	case "metal_there_is":
		return "no engine has more metal there", ""
	case "exhaust_opens_first":
		return "the exhaust has to open before the transfers", ""
	case "no_metal_back":
		return "metal that is off can't be put back", ""
	case "base_gaskets_mm":
		return "the gaskets at hand", "moves_allowed." + key + "[" + plain(len(m.Open.Build.Allowed.BaseGaskets)) + "]"
	}
	for _, path := range [...]string{"limits." + key, "targets." + key, "moves_allowed." + key + ".max"} {
		if spec, _, _, ok := app.FieldAt(m.Open.Build, path); ok {
			value, _ := valueWords(app.ValuesOf(m.Open.Build), spec)
			return strings.TrimSpace(wordsOf(path).name + " " + value), path
		}
	}
	return key, ""
}

// bindButton names what binds and leads to where it is set.
func bindButton(m *app.Model, key string) Button {
	words, path := bindWords(m, key)
	return goTo(upperFirst(words), cutsHash(m, path))
}

// lackRows says what could not be planned, and what each part of it needs.
func lackRows(m *app.Model, p *app.CutsPlan) (out []CutsSay) {
	for _, l := range p.Lacks {
		row := CutsSay{Kind: "mark", Text: "The plan "}
		if strings.HasPrefix(l.Field, "bites[") {
			out = append(out, CutsSay{Kind: "mark", Text: "What came off " + l.Text + ". Strike out the bite that is wrong, and enter it again."})
			continue
		}
		if app.StationOf(l.Field) == app.AtCuts {
			row.Text = upperFirst(wordsOf(l.Field).name) + " is left out of the plan: it "
			if len(l.Needs) == 0 {
				row.Buttons = []Button{goTo("Give it again", cutsHash(m, l.Field))}
			}
		} else if len(l.Needs) == 0 {
			row.Text = upperFirst(wordsOf(l.Field).name) + " "
		}
		for i, need := range l.Needs {
			button, words := needButton(m, need)
			row.Buttons = append(row.Buttons, button)
			l.Text = "needs " + words
			if i > 0 {
				l.Text = " and " + words
			}
			row.Text += l.Text
		}
		if len(l.Needs) == 0 {
			row.Text += l.Text
		}
		row.Text += "."
		out = append(out, row)
	}
	return out
}

// needButton leads to where something that is missing is given.
func needButton(m *app.Model, need string) (Button, string) {
	if app.IsField(need) {
		return goTo("Give "+fieldName(need), engineHash(m, need)), fieldName(need)
	}
	for _, w := range m.Open.Build.Windows {
		if need == "height_mm of "+w.Name {
			return goTo("Give the height", engineHash(m, "windows/"+w.ID+".height_mm")), "the height of " + w.Name
		}
	}
	if need == "passes" {
		need = "readings"
	}
	return goTo("Read at the bench", app.Route{Station: app.AtBench, Build: m.Open.ID}.Hash()), need
}

// noteRows are the warnings that are about no number of a table.
func noteRows(m *app.Model, r *plan.Result) (out []CutsSay) {
	for i := range r.Warnings {
		w := &r.Warnings[i]
		if w.Code == plan.WarnLimit || w.Code == plan.WarnBite || inTable(w) || w.Step > 0 {
			continue
		}
		row := CutsSay{Kind: "mark", Text: w.Text}
		switch {
		case w.About != "":
			row.Buttons = []Button{goTo("Give "+fieldName(w.About), engineHash(m, w.About))}
		case w.Code == plan.WarnUnread || w.Code == plan.WarnNotRead:
			row.Buttons = []Button{goTo("To the bench", app.Route{Station: app.AtBench, Build: m.Open.ID}.Hash())}
		case w.Code == plan.WarnDoubted || w.Code == plan.WarnOdd:
			row.Buttons = []Button{goTo("To the findings", app.Route{Station: app.AtFindings, Build: m.Open.ID}.Hash())}
		}
		out = append(out, row)
	}
	return out
}

// inTable says whether a warning stands at a number of a table.
func inTable(w *plan.Warning) bool {
	if w.Window != "" {
		return true
	}
	for _, n := range plan.NumberNames() {
		if n.Key == w.About {
			return true
		}
	}
	return false
}

func allowRows(m *app.Model) (out []AllowRow) {
	for _, r := range m.Open.Build.Allowed.Rooms() {
		row := AllowRow{Move: r.Move, Name: upperFirst(plan.Name(r.Move)), Hash: cutsHash(m, "moves_allowed."+r.Key()+".max")}
		if room := *r.Room; room != nil {
			row.On, row.Bound = true, boundWords(room)
			row.Bound += takenWords(m.Cuts.Plan.Result, r.Move)
		}
		out = append(out, row)
	}
	return out
}

// takenWords says what bites took of a bound, at the window with the least left.
func takenWords(r *plan.Result, move string) string {
	said, least := "", math.Inf(1)
	if r != nil {
		for _, room := range r.Rooms {
			if room.Move == move && room.TakenMM > 0 && room.LeftMM < least {
				least = room.LeftMM
				said = ", " + unit.Plain(least, 2) + " mm left"
			}
		}
	}
	return said
}

// boundWords says how much of a move is allowed.
func boundWords(r *build.Room) string {
	if r.Max == nil {
		return "no bound"
	}
	return "at most " + r.Max.String()
}

func biteRows(m *app.Model) (out []BiteRow) {
	for i := range m.Open.Build.Bites {
		x := &m.Open.Build.Bites[i]
		if max(x.Cylinder, 1) != m.CutsCylinder() {
			continue
		}
		row := BiteRow{ID: x.ID, Title: upperFirst(moveName(x.Move.Move, x.Window)), Struck: x.Struck != ""}
		switch {
		case x.ToMM != nil:
			row.Amount, row.Small = lengthPair(x.ToMM.MM())
			row.Small += ", in now"
		case x.ToMM2 != nil:
			row.Amount = unit.Plain(*x.ToMM2, 0) + " mm²"
		case x.ByMM != nil:
			row.Amount, row.Small = lengthPair(x.ByMM.MM())
		}
		switch {
		case row.Struck:
			row.Small = "struck out"
		case x.Pass != "":
			row.Small += ", after " + x.Pass
		}
		out = append(out, row)
	}
	return out
}

func otherBites(m *app.Model) (out []Button) {
	for _, mv := range app.MovesOf(m.Open.Build) {
		out = append(out, goTo(upperFirst(moveName(mv.Move, mv.Window.Name)), cutsHash(m, "bite/"+mv.Path())))
	}
	return out
}

// lengthPair shows a length in mm and in thou.
func lengthPair(mm float64) (string, string) {
	return unit.Fixed(mm, 2) + " mm", unit.Fixed(unit.Length{Value: mm}.In(unit.Thou).Value, 1) + " thou"
}

// moveName names a move and its window where the move's name does not tell it.
func moveName(move, window string) string {
	switch {
	case window == "" || window == build.KindExhaust && (move == build.MoveExhaustRoof || move == build.MoveExhaustWidth) || window == build.KindIntake:
		return plan.Name(move)
	}
	return plan.Name(move) + ", " + window
}
