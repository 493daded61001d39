package plan

import (
	"math"
	"slices"
	"strings"

	"portwright/engine/build"
	"portwright/engine/stat"
	"portwright/engine/unit"
)

// cutList finds the best moves and puts them down in the order of work. Where
// the limits contradict each other they are those that leave what is crossed
// where it is.
func (p *problem) cutList(r *Result, w *warner) state {
	o := p.best()
	s := p.now.clone()
	possible := o.ok
	of, lifts := p, []string(nil)
	if !possible {
		of, lifts = p.partial()
		if o = of.best(); !o.ok { // what is owed to a pair crosses a limit
			o = outcome{gasket: s.gasket, to: -1, start: s, m: make([]float64, len(p.vars)), end: s}
		}
		p.measure(&o)
	}
	depths := of.depths(&o)
	if o.gasket != p.now.gasket && !math.IsNaN(o.gasket) {
		was := s.clone()
		p.apply(&s, build.MoveBaseGasket, -1, o.gasket)
		p.after(r, w, Step{Move: build.MoveBaseGasket, ToMM: tidied(o.gasket), ByMM: tidied(o.gasket - was.gasket),
			Text: p.afterGasket()}, &was, &s)
	}
	for j := range p.vars {
		v := &p.vars[j]
		if o.m[j] < missed/10 { // a rounding, not a cut
			continue
		}
		was := s.clone()
		p.apply(&s, v.move, v.window, o.m[j])
		step := Step{Move: v.move, Window: p.windowOf(v), ByMM: tidied(o.m[j])}
		p.biteOf(&step, v, &depths[j])
		if bite := *step.FirstBiteMM; bite > 0 {
			short := was.clone()
			p.apply(&short, v.move, v.window, bite)
			step.WheelBite = p.readsOf(&was, &short)
		}
		p.after(r, w, step, &was, &s)
	}
	r.Status = Solved
	r.Text = "Every target is reached."
	if len(r.Moves) == 0 {
		r.Text = "Every target is reached as it is: nothing to cut."
	}
	for i, miss := range o.miss {
		if miss <= missed || p.wanted[i].others {
			continue
		}
		m := Miss{Target: p.wanted[i].key, Wanted: p.wanted[i].value}
		if r.Missed = append(r.Missed, m.Target); possible {
			if r.Status == Solved {
				r.Text = "As near as it comes."
			}
			r.Status = Limited
			m.Binding, m.WouldHelp = p.binding(&o, i)
			r.binds(m.Binding, m.WouldHelp)
			r.Text += " " + capital(nameOf(m.Target)) + ": " + limitedBy(m.Binding, m.WouldHelp)
		}
		r.Misses = append(r.Misses, m)
	}
	for i, miss := range o.miss {
		if possible && p.wanted[i].others && miss > missed && o.miss[i-1] <= missed {
			r.Note = "Not all transfers open there: see each window."
			r.Text += " " + r.Note
		}
	}
	r.Text = strings.TrimSpace(r.Text)
	if !possible {
		r.Status, r.Text = Impossible, ""
		sets, help := p.contradictions()
		for _, set := range sets {
			switch {
			case len(set) == 1:
				r.Text += capital(boundName(set[0])) + " is crossed as it is, and no move that is allowed puts it right. "
			case len(set) == 2 && set[1] == noMetalBack:
				r.Text += capital(boundName(set[0])) + " is crossed as it is, and only metal put back would put it right. "
			default:
				r.Text += "These can't hold together, whatever is cut: " + boundNames(set) + ". "
			}
			r.binds(set, nil)
		}
		r.binds(nil, help)
		r.Text += wouldHelp(help)
		switch {
		case len(lifts) > 0:
			r.Note = firstLift(lifts, len(r.Moves))
			r.Text += r.Note
		case len(r.Moves) == 0:
			r.Text += "No gasket at hand and no cut brings a target nearer without crossing it further."
		default:
			r.Text += "The moves leave what is crossed no worse, and cross nothing else."
		}
	}
	return s
}

// binds keeps what stands in the way, and what would help, each once.
func (r *Result) binds(keys, help []string) {
	for _, list := range [2]struct {
		to   *[]string
		from []string
	}{{&r.Binding, keys}, {&r.WouldHelp, help}} {
		for _, k := range list.from {
			if !slices.Contains(*list.to, k) {
				*list.to = append(*list.to, k)
			}
		}
	}
}

// firstLift says what comes before every other cut.
func firstLift(lifts []string, moves int) string {
	var names []string
	for _, key := range lifts {
		name := boundName(key)
		if key == contact || key == "squish_min_mm" {
			name = "the squish"
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	what := strings.Join(names, ", ")
	if moves > 0 {
		return "The moves bring back what they can of this and do nothing else: " + what + ". Then plan again: no roof is cut before."
	}
	return "First bring back " + what + ", by a thicker base gasket or at the head; then plan again. Nothing is cut before."
}

// limitedBy says what keeps a target away and what would help.
func limitedBy(binds, help []string) string {
	text := ""
	switch {
	case len(binds) == 1 && binds[0] == noMetalBack:
		text = "only metal put back would bring it nearer. "
	case len(binds) > 0:
		text = "kept there by " + boundNames(binds) + ". "
	default:
		text = "nothing that is allowed brings it nearer. "
	}
	return text + wouldHelp(help)
}

func wouldHelp(help []string) string {
	if len(help) == 0 {
		return ""
	}
	return "Not allowed and would help: " + strings.Join(help, ", ") + ". "
}

// biteOf fills in a step's first bite.
func (p *problem) biteOf(step *Step, v *variable, depth *stat.Estimate) {
	u := p.measured.U95(*depth)
	bite := firstBite(depth.Value, u, v.step)
	if len(p.disagrees) > 0 {
		bite = 0
	}
	step.U95MM, step.FirstBiteMM, step.StepMM = tidied(u), tidied(bite), tidied(v.step)
	step.Help = p.help(depth)
	switch {
	case depth.Value < v.step:
		step.Text = "Less than the tool takes off for certain, " + unit.Plain(v.step, 3) + " mm."
	case len(p.disagrees) > 0:
		step.Text = "Nothing more before the last cut is measured and read again: readings and bite contradict each other."
	case bite == 0:
		step.Text = "Read again before cutting. " + advice(step.Help)
	case bite < depth.Value-v.step && !(depth.Value > v.most-missed):
		step.Text = "Take " + unit.Plain(bite, 2) + " mm, then read again. " + advice(step.Help)
	default:
		step.Text = "Take " + unit.Plain(bite, 2) + " mm, then read again."
	}
	switch stops := depth.Value > v.most-missed; {
	case stops && v.solid:
		step.Text += " No more comes off: no engine has more metal there."
	case stops:
		step.BoundMM = tidied(v.room)
		step.Text += " The bound of " + unit.Plain(v.room, 2) + " mm stops it"
		if v.taken > 0 {
			step.Text += ", " + unit.Plain(v.taken, 2) + " mm of that are off already"
		}
		step.Text += "."
	}
}

// advice says what would make the first bite longer.
func advice(help string) string {
	switch help {
	case HelpRepeats:
		return "More repeats would help most."
	case HelpStep:
		return "A larger wheel or a finer scale would help most."
	case HelpZero:
		return "Another stop check would help most."
	case HelpClosings:
		return "Reading the closings too would help most: the wheel's zero then cancels."
	case HelpRod:
		return "Measuring the rod would help most."
	case HelpStroke:
		return "Measuring the stroke again would help most."
	case HelpOffset:
		return "Measuring the pin offset would help most."
	case HelpSquish:
		return "Measuring squish again would help most."
	case HelpGasket:
		return "Reading again with the gasket in place would help most."
	case HelpBites:
		return "Reading again after the last cut would help most."
	case HelpVolume:
		return "Measuring the chamber again would help most."
	case HelpCrown:
		return "Measuring the deck would help most."
	}
	return ""
}
