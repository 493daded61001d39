package plan

import (
	"math"
	"strings"

	"portwright/engine/build"
	"portwright/engine/findings"
)

// problem is a base with what is wanted of it.
type problem struct {
	*base
	wanted  []wanted
	vars    []variable
	gaskets []float64 // thicknesses to choose from; the present one alone when none may be changed
	choice  bool      // there are others at hand
	pairs   [][2]int  // windows that should open together, of which both are read
	dropped []string  // keys of limits, rooms and targets that do not count
	bends   bool      // something wanted is no straight line in the moves
	scale   float64   // deg per mm at the exhaust's edge now

	soft bool     // what is crossed may stay so, but not further
	hard []string // limits that may not all the same

	blowdownTo int // the window that is to open first from the crankcase; -1: the one that does
}

// variable is one move whose amount is to be found.
type variable struct {
	move    string
	window  int // -1: the move is about no window
	allowed bool
	room    float64 // how much of it is allowed in all, +Inf: no bound of its own
	taken   float64 // what bites took of that
	most    float64 // what is left of it
	solid   bool    // most is what an engine has, not what the file allows
	step    float64
	sign    float64 // -1: metal put back, to see whether that alone would help
	name    string  // of what is no move: another gasket
}

// key is that of its room in the file.
func (v *variable) key() string {
	if v.solid {
		return metalThere
	}
	return v.move + "_mm"
}

// Steps of the tools, where a file gives none: the least that can be taken off
// for certain. Common practice, no source.
const (
	grinderStep = 0.05
	latheStep   = 0.01
)

// newProblem reads targets, rooms and limits. Errors are *unit.InputError.
func newProblem(s *base) (*problem, error) {
	p := &problem{base: s, blowdownTo: -1}
	b := s.build
	for _, unknown := range [...]struct {
		part, what string
		extra      build.Extra
	}{
		{"targets", "is no target; must be one of " + strings.Join(build.TargetKeys(), ", "), b.Targets.Extra},
		{"limits", "is a limit that this program does not know, and so can't hold", b.Limits.Extra},
		{"moves_allowed", "is no move; must be base_gaskets_mm or one of " + strings.Join(roomKeys(b), ", "), b.Allowed.Extra},
	} {
		if fs := unknown.extra.Fields(); len(fs) > 0 {
			return nil, bad(unknown.part+"."+fs[0].Key, string(fs[0].Value), unknown.what)
		}
	}
	for _, t := range b.Targets.List {
		v := t.Value.Value
		if t.Key == build.TargetSquish {
			v = t.Value.MM()
		}
		p.wanted = append(p.wanted, wanted{t.Key, v, false})
		if err := p.need("targets."+t.Key, t.Key); err != nil {
			return nil, err
		}
		if kinds := kindsOf(t.Key); kinds != nil && kinds[0] == build.KindTransfer {
			p.wanted = append(p.wanted, wanted{t.Key, v, true})
		}
	}
	if err := p.needLimits(&b.Limits); err != nil {
		return nil, err
	}
	p.bends = b.Limits.BlowdownMin != nil
	for _, w := range p.wanted {
		p.bends = p.bends || w.key == build.TargetBlowdown || w.key == build.TargetTrappedRatio
	}
	p.scale = 1
	if i := p.engine.first(&p.now, build.KindExhaust); i >= 0 {
		if eo, _, ok := p.angles(&p.now, i); ok {
			p.scale = finite(p.geo.DegPerMM(eo))
		}
	}
	docs := make([]build.Window, len(s.windows))
	for i := range s.windows {
		docs[i] = s.windows[i].doc
	}
	for _, pair := range findings.Pairs(docs) {
		if !math.IsNaN(s.now.x[pair[0]] + s.now.x[pair[1]]) {
			p.pairs = append(p.pairs, pair)
		}
	}
	p.setVariables(&b.Allowed)
	return p, p.setGaskets(&b.Allowed)
}

func roomKeys(b *build.Build) (keys []string) {
	for _, r := range b.Allowed.Rooms() {
		keys = append(keys, r.Key())
	}
	return keys
}

func (p *problem) needLimits(l *build.Limits) error {
	for _, n := range []struct {
		key   string
		given bool
	}{
		{"squish_min_mm", l.SquishMin != nil}, {"exhaust_duration_max_deg", l.ExhaustDurationMax != nil},
		{"transfer_duration_max_deg", l.TransferDurationMax != nil}, {"intake_duration_max_deg", l.IntakeDurationMax != nil},
		{"blowdown_min_deg", l.BlowdownMin != nil}, {"geometric_ratio_max", l.GeometricRatioMax != nil},
		{"trapped_ratio_max", l.TrappedRatioMax != nil}, {"seal_land_min_mm", l.SealLandMin != nil},
	} {
		if !n.given {
			continue
		}
		if err := p.need("limits."+n.key, n.key); err != nil {
			return err
		}
	}
	return nil
}

// setVariables lists every move that there is room for, a window's once for
// each, and those that are not allowed, to say what would help. A move whose
// effect on what is wanted can't be known is not used.
func (p *problem) setVariables(a *build.Allowed) {
	for _, r := range a.Rooms() {
		v := variable{move: r.Move, window: -1, room: math.Inf(1), step: latheStep, sign: 1}
		if room := *r.Room; room != nil {
			v.allowed = true
			if room.Max != nil {
				v.room = room.Max.MM()
			}
		}
		switch r.Move {
		case build.MoveExhaustRoof, build.MoveTransferRoof, build.MoveIntakeFloor:
			v.step = grinderStep
		}
		if room := *r.Room; room != nil && room.Step != nil {
			v.step = room.Step.MM()
		}
		switch r.Move {
		case build.MoveBaseCut, build.MoveBandCut, build.MoveCrownCut, build.MoveIntakeSkirt:
			if r.Move == build.MoveBandCut && math.IsNaN(p.band) && p.wantsVolume() {
				v.allowed = false
			}
			p.addVariable(v)
		default:
			for i := range p.windows {
				if p.cuts(r.Move, i) && p.windows[i].doc.Kind != build.KindBoost && !math.IsNaN(p.now.x[i]) {
					v.window = i
					p.addVariable(v)
				}
			}
		}
	}
	for g, name := range [2]string{"a thinner base gasket", "a thicker base gasket"} {
		p.vars = append(p.vars, variable{move: build.MoveBaseCut, window: -1, most: math.Inf(1), sign: float64(1 - 2*g), name: name})
	}
}

// addVariable takes off its room what bites took: a bound counts from the engine
// as it was received.
func (p *problem) addVariable(v variable) {
	for _, c := range p.base.taken {
		if c.move == v.move && (c.window == v.window || c.window < 0) {
			v.taken += c.by
		}
	}
	room := v.room
	switch v.move {
	case build.MoveBaseCut, build.MoveBandCut, build.MoveCrownCut:
		// A crown is no thicker, whatever the file allows.
		if v.solid = v.room > unbounded || v.move == build.MoveCrownCut && v.room > p.metal(); v.solid {
			room = p.metal()
		}
	}
	v.most = math.Max(0, room-v.taken)
	p.vars = append(p.vars, v)
}

// rooms lists the moves that are allowed and have a bound.
func (p *problem) rooms() (out []Room) {
	for j := range p.vars {
		v := &p.vars[j]
		if !v.allowed || v.room > unbounded {
			continue
		}
		out = append(out, Room{Move: v.move, Window: p.windowOf(v), MaxMM: tidy(v.room), TakenMM: tidy(v.taken), LeftMM: tidy(v.most)})
	}
	return out
}

// windowOf names a variable's window, "" where it is about none.
func (p *problem) windowOf(v *variable) string {
	if v.window < 0 {
		return ""
	}
	return p.windows[v.window].doc.Name
}

func (p *problem) wantsVolume() bool {
	for _, w := range p.wanted {
		if strings.HasSuffix(w.key, "_ratio") {
			return true
		}
	}
	return p.build.Limits.GeometricRatioMax != nil || p.build.Limits.TrappedRatioMax != nil
}

func (p *problem) setGaskets(a *build.Allowed) error {
	p.gaskets = []float64{p.now.gasket}
	if len(a.BaseGaskets) == 0 {
		return nil
	}
	if math.IsNaN(p.now.gasket) {
		return bad("engine.base_gasket_mm", "", "must be given to choose another gasket: how thick it is now, 0 for none")
	}
	for i := range a.BaseGaskets {
		mm := a.BaseGaskets[i].MM()
		twice := false
		for _, g := range p.gaskets {
			twice = twice || g == mm
		}
		if !twice {
			p.gaskets = append(p.gaskets, mm)
		}
	}
	p.choice = len(p.gaskets) > 1
	return nil
}
