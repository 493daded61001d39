package plan

import (
	"fmt"
	"math"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/port"
	"portwright/engine/unit"
)

func ptr(v float64) *float64 { return &v }

func mm(v float64) *unit.Length { return &unit.Length{Value: v, Unit: unit.MM} }

// bench is an engine as it is, read without error on a wheel zeroed at TDC.
type bench struct {
	offset                                     float64
	stroke, rod, bore, squish, chamber, gasket float64
	exhaust                                    float64
	transfers                                  []float64
	intake                                     float64
	second, boost                              float64 // a second exhaust window and a boost window; 0: none
}

// theBench is the check engine of the handbooks' kind: bore 48, stroke 34, rod
// 60, exhaust 100, transfer 122, intake 285.
func theBench() bench {
	return bench{stroke: 34, rod: 60, bore: 48, squish: 1, chamber: 6, gasket: 0.5, exhaust: 100, transfers: []float64{122}, intake: 285}
}

func anyBench(t *rapid.T) bench {
	f := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	b := bench{stroke: f("stroke", 28, 56), squish: f("squish", 0.7, 1.5), gasket: f("gasket", 0.3, 0.8), exhaust: f("exhaust", 88, 108), intake: f("intake", 278, 296)}
	b.offset = rapid.SampledFrom([]float64{0, 0, 1, -0.7}).Draw(t, "offset")
	b.rod, b.bore = b.stroke*f("rod", 1.65, 2.15), b.stroke*f("bore", 1, 1.35)
	b.chamber = math.Pi*b.bore*b.bore/4*b.stroke/1000/f("ratio", 7, 12) + 0.5
	for range rapid.IntRange(1, 2).Draw(t, "transfers") {
		b.transfers = append(b.transfers, b.exhaust+f("transfer after", 12, 26))
	}
	if rapid.IntRange(0, 3).Draw(t, "second exhaust") == 0 {
		b.second = b.exhaust + f("second after", 0.2, 5)
	}
	if rapid.IntRange(0, 3).Draw(t, "boost") == 0 {
		b.boost = b.transfers[0] + f("boost after", -2, 4)
	}
	return b
}

// file writes the bench down as a build.
func (b bench) file() *build.Build {
	out := &build.Build{Format: build.Format, Version: build.Version,
		Engine: build.Engine{Bore: mm(b.bore), Stroke: mm(b.stroke), Rod: mm(b.rod), Intake: build.IntakePistonPort, BaseGasket: mm(b.gasket),
			Squish: []unit.Length{*mm(b.squish)}, SquishBandWidth: mm(5), ChamberCC: ptr(b.chamber)},
		Wheel:  build.Wheel{StepDeg: ptr(0.5)},
		Passes: []build.Pass{{Name: "as received", Stops: []build.StopCheck{{When: build.WhenBefore, Near: build.NearTDC, Readings: []float64{340, 20}}}}}}
	p := &out.Passes[0]
	// With offset an edge is met at another angle on the way back.
	g, err := port.Known(b.stroke, b.rod, b.offset, 0, 0, 0)
	if err != nil {
		panic(err)
	}
	if b.offset != 0 {
		out.Engine.PinOffset = mm(b.offset)
	}
	window := func(name, kind string, opens float64) {
		out.Windows = append(out.Windows, build.Window{Name: name, Kind: kind})
		for _, r := range [2]struct {
			event string
			v     float64
		}{{build.Opens, opens}, {build.Closes, g.Partner(opens)}} {
			p.Readings = append(p.Readings, build.Reading{Window: name, Event: r.event, Value: unit.Length{Value: r.v}})
		}
	}
	window("exhaust", build.KindExhaust, b.exhaust)
	for i, a := range b.transfers {
		window(fmt.Sprint("transfer ", i+1), build.KindTransfer, a)
	}
	window("intake", build.KindIntake, b.intake)
	if b.second > 0 {
		window("second exhaust", build.KindExhaust, b.second)
	}
	if b.boost > 0 {
		window("boost", build.KindBoost, b.boost)
	}
	return out
}

// anyProblem draws a bench with rooms, targets and limits, some of which
// contradict or can't be reached.
func anyProblem(t *rapid.T) *build.Build {
	f := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	bn := anyBench(t)
	b := bn.file()
	room := func(name string, most float64) *build.Room {
		if rapid.IntRange(0, 2).Draw(t, name) > 0 {
			return &build.Room{Max: mm(f(name+" most", 0, most))}
		}
		return nil
	}
	b.Allowed = build.Allowed{BaseCut: room("base cut", 1), BandCut: room("band cut", 1), CrownCut: room("crown cut", 0.5), ExhaustRoof: room("exhaust roof", 2),
		TransferRoof: room("transfer roof", 1.5), IntakeFloor: room("intake floor", 1.5), IntakeSkirt: room("intake skirt", 1)}
	if rapid.Bool().Draw(t, "gaskets") {
		b.Allowed.BaseGaskets = []unit.Length{*mm(0), *mm(0.4), *mm(1)}
	}
	values := map[string]float64{
		build.TargetSquish: bn.squish + f("d squish", -0.6, 0.3), build.TargetExhaustOpens: bn.exhaust + f("d exhaust", -5, 3),
		build.TargetExhaustDuration: 2*(180-bn.exhaust) + f("d exhaust duration", -6, 10), build.TargetTransferOpens: bn.transfers[0] + f("d transfer", -4, 3),
		build.TargetIntakeOpens: bn.intake + f("d intake", -5, 2), build.TargetIntakeDuration: 2*(360-bn.intake) + f("d intake duration", -4, 10),
		build.TargetBlowdown: f("blowdown", 10, 30), build.TargetTrappedRatio: f("trapped", 5, 9), build.TargetGeometricRatio: f("geometric", 8, 14),
	}
	keys := rapid.Permutation([]string{build.TargetSquish, build.TargetExhaustOpens, build.TargetExhaustDuration, build.TargetTransferOpens, build.TargetIntakeOpens,
		build.TargetIntakeDuration, build.TargetBlowdown, build.TargetTrappedRatio, build.TargetGeometricRatio}).Draw(t, "order")
	for _, k := range keys[:rapid.SampledFrom([]int{1, 1, 1, 2, 3, 4}).Draw(t, "targets")] {
		b.Targets.List = append(b.Targets.List, build.Target{Key: k, Value: unit.Length{Value: values[k]}})
	}
	if rapid.IntRange(0, 2).Draw(t, "squish limit") == 0 {
		b.Limits.SquishMin = mm(f("squish least", 0.3, 0.9))
	}
	some := func(name string, low, high float64) *float64 {
		if rapid.IntRange(0, 3).Draw(t, name) == 0 {
			return ptr(f(name+" bound", low, high))
		}
		return nil
	}
	b.Limits.ExhaustDurationMax = some("exhaust limit", 2*(180-bn.exhaust)-4, 2*(180-bn.exhaust)+8)
	b.Limits.IntakeDurationMax = some("intake limit", 2*(360-bn.intake)-2, 2*(360-bn.intake)+8)
	b.Limits.BlowdownMin = some("blowdown limit", 10, 22)
	b.Limits.TransferDurationMax = some("transfer limit", 2*(180-bn.transfers[0])-2, 2*(180-bn.transfers[0])+8)
	b.Limits.GeometricRatioMax = some("geometric limit", 8, 16)
	b.Limits.TrappedRatioMax = some("trapped limit", 6, 10)
	return b
}
