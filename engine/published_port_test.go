package engine_test

import (
	"math"

	"portwright/engine/chamber"
	"portwright/engine/crank"
	"portwright/engine/port"
	"portwright/engine/timearea"
	"portwright/engine/unit"
)

// or returns an input, or another number where the row gives none.
func (in *inputs) or(key string, otherwise float64) float64 {
	if _, ok := in.values[key]; !ok {
		return otherwise
	}
	return in.num(key)
}

func (in *inputs) shape() port.Shape {
	s := port.Shape{Chord: in.num("chord_mm"), Height: in.num("height_mm"), CornerTop: in.or("corner_top_mm", 0), CornerBottom: in.or("corner_bottom_mm", 0),
		Arch: in.or("arch_mm", 0), Bridges: int(in.or("bridges", 0)), BridgeWidth: in.or("bridge_mm", 0)}
	in.ok(s.Check())
	return s
}

func (in *inputs) opening(m crank.Mechanism) timearea.Window {
	return timearea.Window{Shape: in.shape(), Travel: m.Travel(unit.Rad(in.num("edge_at_deg"))), Skirt: in.flag("skirt")}
}

func portFunctions() map[string]function {
	return map[string]function{
		"port.Chord": func(in *inputs) map[string]float64 {
			bore, chord := in.num("bore_mm"), in.num("chord_mm")
			a, ok := port.ChordAngle(bore, chord)
			arc, ok2 := port.ArcOf(bore, chord)
			f, ok3 := port.Sagitta(bore, chord)
			if !ok || !ok2 || !ok3 {
				in.t.Fatal("no such chord")
			}
			return map[string]float64{"angle_deg": a, "arc_mm": arc, "sagitta_mm": f, "ratio": arc / chord}
		},
		"port.Width": func(in *inputs) map[string]float64 {
			bore := in.num("bore_mm")
			return map[string]float64{"start_mm": port.WidthStart * bore, "limit_mm": port.WidthLimit * bore}
		},
		"port.ChordOf": func(in *inputs) map[string]float64 {
			c, ok := port.ChordOf(in.num("bore_mm"), in.num("arc_mm"))
			if !ok {
				in.t.Fatal("no such arc")
			}
			return map[string]float64{"chord_mm": c}
		},
		"port.Area": func(in *inputs) map[string]float64 {
			return map[string]float64{"area_mm2": in.shape().Area(in.num("depth_mm"))}
		},
		"timearea.AngleArea": func(in *inputs) map[string]float64 {
			m := in.mechanism()
			a, err := in.opening(m).AngleArea(m)
			in.ok(err)
			return map[string]float64{"area_mm2_deg": a}
		},
		"timearea.Blowdown": func(in *inputs) map[string]float64 {
			m := in.mechanism()
			a, err := in.opening(m).BlowdownArea(m, in.num("transfer_opens_deg"))
			in.ok(err)
			return map[string]float64{"area_mm2_deg": a}
		},
		"timearea.Specific": func(in *inputs) map[string]float64 {
			return map[string]float64{"sta_s_per_m": timearea.Specific(in.num("area_mm2_deg"), in.num("speed_rpm"), in.num("displacement_cc"))}
		},
		"timearea.Range": func(in *inputs) map[string]float64 {
			r, _ := timearea.Jennings(in.text("kind"))
			return map[string]float64{"low_s_per_m": r.Low, "high_s_per_m": r.High}
		},
		// A port that opens evenly, without a crank: area of the shape added up
		// over the angle in thin steps.
		"timearea.Strips": func(in *inputs) map[string]float64 {
			s := port.Shape{Chord: in.num("chord_mm"), Height: in.num("rate_mm_per_deg") * in.num("angle_deg")}
			const n = 3000
			step, sum := in.num("angle_deg")/n, 0.0
			for i := range n {
				sum += s.Area(in.num("rate_mm_per_deg")*(float64(i)+0.5)*step) * step
			}
			return map[string]float64{"area_mm2_deg": sum}
		},
	}
}

func chamberFunctions() map[string]function {
	return map[string]function{
		"chamber.BandShare": func(in *inputs) map[string]float64 {
			return map[string]float64{"share": chamber.BandShare(in.num("bore_mm"), in.num("band_mm"))}
		},
		"chamber.BandArea": func(in *inputs) map[string]float64 {
			return map[string]float64{"area_mm2": chamber.BandArea(in.num("bore_mm"), in.num("band_mm"))}
		},
		"chamber.HeldShare": func(in *inputs) map[string]float64 {
			return map[string]float64{"share": chamber.HeldShare(in.num("bore_mm"), in.num("band_mm"), in.num("squish_mm"), in.num("clearance_cc"))}
		},
		"chamber.Ratios": func(in *inputs) map[string]float64 {
			m, bore, vc := in.mechanism(), in.num("bore_mm"), in.num("clearance_cc")
			return map[string]float64{"geometric_ratio": chamber.GeometricRatio(chamber.Displacement(bore, m.ActualStroke()), vc),
				"trapped_ratio": chamber.TrappedRatio(bore, m.Travel(unit.Rad(in.num("exhaust_opens_deg"))), vc)}
		},
		"chamber.ClearanceFor": func(in *inputs) map[string]float64 {
			return map[string]float64{"clearance_cc": chamber.ClearanceFor(in.num("ratio"), in.num("displacement_cc"))}
		},
		"chamber.Crankcase": func(in *inputs) map[string]float64 {
			v := chamber.CrankcaseFor(in.num("ratio"), in.num("displacement_cc"))
			return map[string]float64{"crankcase_cc": v, "back_ratio": chamber.CrankcaseRatio(in.num("displacement_cc"), v)}
		},
		"chamber.SquishVelocity": func(in *inputs) map[string]float64 {
			h := chamber.Head{Bore: in.num("bore_mm"), Band: in.num("band_mm"), Squish: in.num("squish_mm"), Clearance: in.num("clearance_cc")}
			v, at, ok := h.Velocity(in.mechanism(), in.num("speed_rpm"))
			if !ok {
				in.t.Fatal("no squish velocity")
			}
			return map[string]float64{"speed_m_per_s": v, "before_tdc_deg": at}
		},
		"chamber.SquishScaled": func(in *inputs) map[string]float64 {
			m, err := crank.New(34, 60, 0)
			in.ok(err)
			h := chamber.Head{Bore: 48, Band: 9, Squish: 1, Clearance: 6}
			from, _, _ := h.Velocity(m, in.num("from_rpm"))
			to, _, _ := h.Velocity(m, in.num("to_rpm"))
			return map[string]float64{"speed_m_per_s": in.num("speed_m_per_s") * to / from}
		},
		"chamber.Moved": func(in *inputs) map[string]float64 {
			bore := in.num("bore_mm")
			v := in.num("clearance_cc") - chamber.VolumeOf(bore, in.num("lower_mm")) + chamber.BandArea(bore, in.num("band_mm"))*in.num("band_cut_mm")/1000
			return map[string]float64{"clearance_cc": v, "geometric_ratio": chamber.GeometricRatio(chamber.Displacement(bore, in.num("stroke_mm")), v)}
		},
		"crank.MeanSpeed": func(in *inputs) map[string]float64 {
			return map[string]float64{"speed_m_per_s": crank.MeanSpeed(in.num("stroke_mm"), in.num("speed_rpm"))}
		},
		"crank.TopAccel": func(in *inputs) map[string]float64 {
			return map[string]float64{"accel_m_per_s2": in.mechanism().TopAccel(in.num("speed_rpm"))}
		},
		"crank.RingLimit": func(in *inputs) map[string]float64 {
			l, ok := crank.RingLimit(in.num("height_mm"))
			if !ok {
				l = math.NaN()
			}
			return map[string]float64{"limit_m_per_s2": l}
		},
	}
}
