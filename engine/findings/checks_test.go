package findings_test

import (
	"strings"
	"testing"

	"portwright/engine/build"
	"portwright/engine/findings"
)

// Two stop checks made one after the other put TDC at one place of the wheel,
// within the doubt of their readings (common practice, no source). Where they
// don't, the zero is in doubt and with it everything that was read.
func TestStopChecksThatContradict(t *testing.T) {
	for _, c := range []struct {
		name          string
		first, second string
		said          bool
	}{
		{"alike", `"tdc","readings":[340,20]`, `"tdc","readings":[330.5,30]`, false},
		{"either dead centre", `"tdc","readings":[340,20]`, `"bdc","readings":[160,200]`, false},
		{"four degrees", `"tdc","readings":[340,20]`, `"tdc","readings":[334,34]`, true},
		{"named the wrong dead centre", `"tdc","readings":[340,20]`, `"bdc","readings":[340,20]`, true},
	} {
		b, err := build.Decode([]byte(`{"format":"portwright-build","version":1,"engine":{},
			"windows":[{"name":"exhaust","kind":"exhaust"}],
			"passes":[{"name":"as received","stops":[{"when":"before","near":` + c.first + `},{"when":"before","near":` + c.second + `}],
			"readings":[{"window":"exhaust","event":"opens","value":104},{"window":"exhaust","event":"closes","value":256}]}]}`))
		if err != nil {
			t.Fatal(err)
		}
		r, err := findings.Run(b, findings.Options{})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		said, others := false, 0
		for _, p := range r.Passes[0].Problems {
			if strings.HasPrefix(p.Title, "Stop checks") {
				said = p.Code == findings.CodeWheelSlipped && len(p.Windows) == 1 && p.Remedy == nil
			} else if p.Code == findings.CodeWrongSide {
				others++
			}
		}
		if said != c.said {
			t.Errorf("%s: said %v, want %v", c.name, said, c.said)
		}
		if others > 0 {
			t.Errorf("%s: a side of the wheel was doubted on a zero that nothing stands on", c.name)
		}
		if by := r.Passes[0].Windows[0].DoubtedBy; (len(by) > 0) != c.said {
			t.Errorf("%s: doubted by %v", c.name, by)
		}
	}
}
