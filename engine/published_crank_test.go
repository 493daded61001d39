package engine_test

import (
	"math"

	"portwright/engine/crank"
	"portwright/engine/stat"
	"portwright/engine/unit"
	"portwright/engine/wheel"
)

func allFunctions() map[string]function {
	all := map[string]function{}
	for _, chapter := range []map[string]function{crankFunctions(), wheelFunctions(), timingFunctions(), statFunctions(), portFunctions(), chamberFunctions()} {
		for name, f := range chapter {
			all[name] = f
		}
	}
	return all
}

func (in *inputs) mechanism() crank.Mechanism {
	m, err := crank.New(in.num("stroke_mm"), in.num("rod_mm"), in.num("offset_mm"))
	in.ok(err)
	return m
}

// angles gives both angles at a travel in every form that a row may ask for.
func angles(in *inputs, m crank.Mechanism, travel float64) map[string]float64 {
	down, up, err := m.Angles(travel)
	in.ok(err)
	return map[string]float64{
		"down_deg": unit.Deg(down), "before_tdc_deg": 360 - unit.Deg(up),
		"duration_deg": unit.Deg(up - down), "around_tdc_deg": 360 - unit.Deg(up-down),
	}
}

// fastest finds where a rate is highest between TDC and half a turn, by the
// sign of the next derivative.
func fastest(in *inputs, rate, next func(a float64) float64) map[string]float64 {
	low, high := 0.0, math.Pi
	for range 200 {
		mid := (low + high) / 2
		if next(mid) > 0 {
			low = mid
		} else {
			high = mid
		}
	}
	omega := in.num("speed_rpm") / 60 * 2 * math.Pi
	return map[string]float64{"angle_deg": unit.Deg(low), "speed_m_per_s": rate(low) * omega / 1000}
}

func crankFunctions() map[string]function {
	return map[string]function{
		"crank.Travel": func(in *inputs) map[string]float64 {
			return map[string]float64{"travel_mm": in.mechanism().Travel(unit.Rad(in.num("angle_deg")))}
		},
		"crank.Motion": func(in *inputs) map[string]float64 {
			m, a, omega := in.mechanism(), unit.Rad(in.num("angle_deg")), in.num("speed_rpm")/60*2*math.Pi
			return map[string]float64{
				"rate_mm_per_deg": unit.Rad(m.TravelRate(a)),
				"speed_m_per_s":   m.TravelRate(a) * omega / 1000,
				"accel_m_per_s2":  m.TravelAccel(a) * omega * omega / 1000,
			}
		},
		"crank.Fastest": func(in *inputs) map[string]float64 {
			m := in.mechanism()
			return fastest(in, m.TravelRate, m.TravelAccel)
		},
		"crank.TwoTermFastest": func(in *inputs) map[string]float64 {
			m := in.mechanism()
			const h = 1e-6
			return fastest(in, m.TwoTermRate, func(a float64) float64 { return m.TwoTermRate(a+h) - m.TwoTermRate(a-h) })
		},
		"crank.TwoTerm": func(in *inputs) map[string]float64 {
			m, a := in.mechanism(), unit.Rad(in.num("angle_deg"))
			return map[string]float64{"short_mm": m.Travel(a) - m.TwoTermTravel(a)}
		},
		"crank.DeadCentres": func(in *inputs) map[string]float64 {
			m := in.mechanism()
			return map[string]float64{
				"tdc_skew_deg": unit.Deg(m.TDCSkew()), "bdc_skew_deg": unit.Deg(m.TDCSkew() + m.BDC()), "stroke_mm": m.ActualStroke(),
				"downstroke_deg": unit.Deg(m.DownstrokeAngle()), "upstroke_deg": 360 - unit.Deg(m.DownstrokeAngle()),
			}
		},
		"crank.Angles": func(in *inputs) map[string]float64 { return angles(in, in.mechanism(), in.num("travel_mm")) },
		"crank.AngleCosine": func(in *inputs) map[string]float64 {
			down, _, err := in.mechanism().Angles(in.num("travel_mm"))
			in.ok(err)
			return map[string]float64{"cosine": math.Cos(down)}
		},
		"crank.Depth": func(in *inputs) map[string]float64 {
			m := in.mechanism()
			x, err := m.TravelAtDepth(in.num("depth_mm"), in.num("crown_below_deck_mm"))
			in.ok(err)
			return angles(in, m, x)
		},
		"crank.Moved": func(in *inputs) map[string]float64 {
			m := in.mechanism()
			down, _, err := m.Angles(m.Travel(unit.Rad(in.num("angle_deg"))) + in.num("deeper_mm"))
			in.ok(err)
			return map[string]float64{"angle_deg": unit.Deg(down)}
		},
		"crank.StopMidpointError": func(in *inputs) map[string]float64 {
			e, err := in.mechanism().StopMidpointError(in.num("travel_mm"))
			in.ok(err)
			return map[string]float64{"error_deg": unit.Deg(e)}
		},
		"crank.Slope": func(in *inputs) map[string]float64 {
			m := in.mechanism()
			down, _, err := m.Angles(in.num("travel_mm"))
			in.ok(err)
			s, err := m.AngleSensitivity(down)
			in.ok(err)
			return map[string]float64{"half_angle_deg": unit.Deg(down), "deg_per_mm": unit.Deg(s.Travel)}
		},
		"crank.Sensitivity": func(in *inputs) map[string]float64 {
			s, err := in.mechanism().AngleSensitivity(unit.Rad(in.num("angle_deg")))
			in.ok(err)
			return map[string]float64{"per_rod_deg_per_mm": unit.Deg(s.Rod), "per_stroke_deg_per_mm": unit.Deg(s.Stroke), "per_travel_deg_per_mm": unit.Deg(s.Travel)}
		},
		"crank.Slack": func(in *inputs) map[string]float64 {
			s, err := in.mechanism().AngleSensitivity(unit.Rad(in.num("angle_deg")))
			in.ok(err)
			return map[string]float64{"error_deg": in.num("slack_mm") * unit.Deg(s.Travel)}
		},
	}
}

func wheelFunctions() map[string]function {
	return map[string]function{
		"wheel.RimMM": func(in *inputs) map[string]float64 {
			return map[string]float64{"along_mm": wheel.RimMM(in.num("diameter_mm"), in.num("angle_deg"))}
		},
		"wheel.RimDeg": func(in *inputs) map[string]float64 {
			return map[string]float64{"angle_deg": wheel.RimDeg(in.num("diameter_mm"), in.num("along_mm"))}
		},
		"wheel.ChordDeg": func(in *inputs) map[string]float64 {
			a, ok := wheel.ChordDeg(in.num("diameter_mm"), in.num("straight_mm"))
			if !ok {
				in.t.Fatal("no such chord")
			}
			return map[string]float64{"angle_deg": a}
		},
		"wheel.ParallaxDeg": func(in *inputs) map[string]float64 {
			return map[string]float64{"error_deg": wheel.ParallaxDeg(in.num("gap_mm"), in.num("off_square_deg"), in.num("radius_mm"))}
		},
		"wheel.OffCentreDeg": func(in *inputs) map[string]float64 {
			return map[string]float64{"error_deg": wheel.OffCentreDeg(in.num("off_centre_mm"), in.num("radius_mm"))}
		},
		"wheel.Resolve": func(in *inputs) map[string]float64 {
			w, err := wheel.New(in.text("numbering"), in.text("numbers"))
			in.ok(err)
			s, err := w.Resolve(in.num("reads_deg"), in.num("tdc_deg"), wheel.Hint{Up: in.flag("up"), Quarter: int(in.num("quarter"))})
			in.ok(err)
			return map[string]float64{"after_tdc_deg": s.Angle}
		},
		"wheel.Contact": func(in *inputs) map[string]float64 {
			w, err := wheel.New("0-360", "rise")
			in.ok(err)
			c, err := w.Contact(wheel.Pair{First: in.num("first_deg"), Second: in.num("second_deg")}, nil)
			in.ok(err)
			return map[string]float64{"tdc_deg": c.TDC, "half_angle_deg": c.Half}
		},
		"stat.CircularMean": func(in *inputs) map[string]float64 {
			m, err := stat.CircularMean(in.list("readings_deg"), 360)
			in.ok(err)
			return map[string]float64{"mean_deg": unit.Signed(m)}
		},
	}
}
