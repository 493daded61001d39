package plan

import (
	"math/rand"
	"testing"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// Three targets, four gaskets and seven moves: what a full bench asks.
func BenchmarkRun(b *testing.B) {
	s := &simulated{rnd: rand.New(rand.NewSource(1)), scatter: 0.25, step: 0.5, stroke: 34, rod: 60, exhaust: 100, closingsRead: true}
	file := withTarget(withTarget(withTarget(s.file(), build.TargetSquish, 0.55), build.TargetExhaustOpens, 97), build.TargetBlowdown, 21)
	file.Allowed = build.Allowed{BaseGaskets: []unit.Length{*mm(0), *mm(0.3), *mm(0.4)}, BaseCut: &build.Room{}, BandCut: &build.Room{}, CrownCut: &build.Room{},
		ExhaustRoof: &build.Room{}, TransferRoof: &build.Room{}, IntakeFloor: &build.Room{}, IntakeSkirt: &build.Room{}}
	limited := *file
	limited.Limits = build.Limits{SquishMin: mm(0.6), ExhaustDurationMax: ptr(164), BlowdownMin: ptr(22), GeometricRatioMax: ptr(12)}
	impossible := *file
	impossible.Limits, impossible.Allowed.BaseGaskets = build.Limits{SquishMin: mm(2), ExhaustDurationMax: ptr(150), BlowdownMin: ptr(12), GeometricRatioMax: ptr(9)}, file.Allowed.BaseGaskets
	impossible.Allowed.BandCut, impossible.Allowed.CrownCut = nil, nil
	for _, c := range []struct {
		status string
		file   *build.Build
	}{{Solved, file}, {Limited, &limited}, {Impossible, &impossible}} {
		b.Run(c.status, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if r, err := Run(c.file, Options{}); err != nil || r.Status != c.status {
					b.Fatal(err, r)
				}
			}
		})
	}
}
