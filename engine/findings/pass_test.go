package findings_test

import (
	"strconv"
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// note is a build with one pass, written the way one notes it: windows by name,
// then opening and closing readings separated by spaces, "-" for none.
//
//	exhaust: 100 100.5 / 260
type note struct {
	engine  build.Engine
	wheel   build.Wheel
	habit   string
	before  []float64
	after   []float64
	near    string
	lines   []string
	windows []build.Window // where sizes matter; else made from the lines
}

func (n note) build() *build.Build {
	b := &build.Build{Format: build.Format, Version: build.Version, Engine: n.engine, Wheel: n.wheel, Windows: n.windows}
	p := build.Pass{Name: "as received", Habit: n.habit}
	near := n.near
	if near == "" {
		near = build.NearTDC
	}
	if n.before != nil {
		p.Stops = append(p.Stops, build.StopCheck{When: build.WhenBefore, Near: near, Readings: n.before})
	}
	if n.after != nil {
		p.Stops = append(p.Stops, build.StopCheck{When: build.WhenAfter, Near: near, Readings: n.after})
	}
	for _, line := range n.lines {
		name, rest, _ := strings.Cut(line, ":")
		if n.windows == nil {
			b.Windows = append(b.Windows, build.Window{Name: name, Kind: kindOf(name)})
		}
		opens, closes, _ := strings.Cut(rest, "/")
		for _, e := range []struct{ event, text string }{{build.Opens, opens}, {build.Closes, closes}} {
			for _, v := range strings.Fields(e.text) {
				p.Readings = append(p.Readings, build.Reading{Window: name, Event: e.event, Value: number(v)})
			}
		}
	}
	b.Passes = []build.Pass{p}
	return b
}

// number reads "100", "1.145in" or "20thou".
func number(text string) unit.Length {
	for _, u := range []unit.LengthUnit{unit.Inch, unit.Thou} {
		if v, ok := strings.CutSuffix(text, string(u)); ok {
			l := number(v)
			l.Unit = u
			return l
		}
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic(err)
	}
	return unit.Length{Value: v}
}

func kindOf(name string) string {
	for _, k := range []string{build.KindExhaust, build.KindTransfer, build.KindBoost, build.KindIntake} {
		if strings.HasPrefix(name, k) {
			return k
		}
	}
	panic("no kind of window in " + name)
}

func run(t testing.TB, b *build.Build, apply ...string) *findings.PassResult {
	t.Helper()
	r, err := findings.Run(b, findings.Options{Apply: apply})
	if err != nil {
		t.Fatal(err)
	}
	return &r.Passes[len(r.Passes)-1]
}

// problem returns the problem with a code, nil for none.
func problem(p *findings.PassResult, code string) *findings.Problem {
	for i := range p.Problems {
		if p.Problems[i].Code == code {
			return &p.Problems[i]
		}
	}
	return nil
}

func codes(p *findings.PassResult) []string {
	out := []string{}
	for _, x := range p.Problems {
		out = append(out, x.Code)
	}
	return out
}

// engineA is an invented engine: stroke 34, rod 60, bore 48.
func engineA() build.Engine {
	return build.Engine{Bore: mmOf(48), Stroke: mmOf(34), Rod: mmOf(60), Intake: build.IntakePistonPort}
}

var good = []string{"exhaust: 100 100 100.5 / 260 260 259.5", "transfer: 122 122 122 / 238 238.5 238", "intake: 285 285 285.5 / 75 74.5 75"}
