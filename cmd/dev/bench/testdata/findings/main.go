// Command findings times the findings of the demo build and a cut list for it
// in the browser it runs in, and leaves milliseconds in the page's variables
// "planned" and "measured".
package main

import (
	"slices"
	"syscall/js"
	"time"

	"portwright/engine/build"
	"portwright/engine/build/demo"
	"portwright/engine/findings"
	"portwright/engine/plan"
	"portwright/engine/unit"
)

const runs = 41

func main() {
	var took, planned []float64
	for range runs {
		b, err := build.Decode(demo.Build())
		if err != nil {
			panic(err)
		}
		start := time.Now()
		if _, err := findings.Run(b, findings.Options{}); err != nil {
			panic(err)
		}
		took = append(took, float64(time.Since(start).Microseconds())/1000)
		room := &build.Room{}
		b.Targets.List = []build.Target{{Key: build.TargetSquish, Value: unit.Length{Value: 0.6}},
			{Key: build.TargetExhaustOpens, Value: unit.Length{Value: 101}}, {Key: build.TargetBlowdown, Value: unit.Length{Value: 20}}}
		b.Allowed = build.Allowed{BaseGaskets: []unit.Length{{}, {Value: 0.3}}, BaseCut: room, ExhaustRoof: room, TransferRoof: room}
		start = time.Now()
		if _, err := plan.Run(b, plan.Options{}); err != nil {
			panic(err)
		}
		planned = append(planned, float64(time.Since(start).Microseconds())/1000)
	}
	slices.Sort(planned)
	js.Global().Set("planned", planned[runs/2])
	slices.Sort(took)
	js.Global().Set("measured", took[runs/2])
}
