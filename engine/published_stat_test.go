package engine_test

import (
	"math"

	"portwright/engine/port"
	"portwright/engine/stat"
)

func timingFunctions() map[string]function {
	one := func(key string, value float64) map[string]float64 { return map[string]float64{key: value} }
	return map[string]function{
		"port.Duration": func(in *inputs) map[string]float64 {
			return one("duration_deg", port.Duration(in.num("opens_deg"), in.num("closes_deg")))
		},
		"port.SymmetricDuration": func(in *inputs) map[string]float64 {
			return one("duration_deg", port.SymmetricDuration(in.num("opens_deg"), port.AroundBDC))
		},
		"port.SymmetricIntake": func(in *inputs) map[string]float64 {
			return one("duration_deg", port.SymmetricDuration(360-in.num("opens_before_tdc_deg"), port.AroundTDC))
		},
		"port.DurationChange": func(in *inputs) map[string]float64 {
			before := port.SymmetricDuration(in.num("opens_deg"), port.AroundBDC)
			return one("change_deg", port.SymmetricDuration(in.num("opens_instead_deg"), port.AroundBDC)-before)
		},
		"port.Blowdown": func(in *inputs) map[string]float64 {
			return one("blowdown_deg", port.Blowdown(in.num("exhaust_opens_deg"), in.num("transfer_opens_deg")))
		},
		"port.BlowdownOfDurations": func(in *inputs) map[string]float64 {
			exhaust := port.SymmetricOpening(in.num("exhaust_duration_deg"), port.AroundBDC)
			transfer := port.SymmetricOpening(in.num("transfer_duration_deg"), port.AroundBDC)
			return one("blowdown_deg", port.Blowdown(exhaust, transfer))
		},
		"port.OpenSeconds": func(in *inputs) map[string]float64 {
			return one("time_s", port.OpenSeconds(in.num("duration_deg"), in.num("speed_rpm")))
		},
	}
}

// df reads degrees of freedom, of which 0 stands for no end of them.
func df(v float64) float64 {
	if v == 0 {
		return math.Inf(1)
	}
	return v
}

func comparison(c stat.Comparison) map[string]float64 {
	return map[string]float64{"t": c.T, "df": c.DF, "p": c.P, "diff": c.Diff, "se": c.SE, "low": c.Low, "high": c.High}
}

func (in *inputs) samples() (a, b stat.Sample) {
	n, mean, sd := in.list("n"), in.list("mean"), in.list("sd")
	if len(n) != 2 || len(mean) != 2 || len(sd) != 2 {
		in.t.Fatal("two samples are wanted")
	}
	of := func(i int) stat.Sample { return stat.Sample{N: int(n[i]), Mean: mean[i], SD: sd[i], DF: n[i] - 1} }
	return of(0), of(1)
}

func statFunctions() map[string]function {
	return map[string]function{
		"stat.TwoSided": func(in *inputs) map[string]float64 {
			t, err := stat.TwoSided(in.num("coverage"), df(in.num("df")))
			in.ok(err)
			return map[string]float64{"t": t}
		},
		"stat.OneSided": func(in *inputs) map[string]float64 {
			t, err := stat.OneSided(in.num("p"), df(in.num("df")))
			in.ok(err)
			return map[string]float64{"t": t}
		},
		"stat.Rectangular": func(in *inputs) map[string]float64 {
			return map[string]float64{"u_deg": stat.Rectangular(in.num("half_width_deg"))}
		},
		"stat.Describe": func(in *inputs) map[string]float64 {
			s, err := stat.Describe(in.list("readings_deg"))
			in.ok(err)
			expanded, err := stat.Expanded95(s.MeanU(), s.DF)
			in.ok(err)
			return map[string]float64{"mean_deg": s.Mean, "sd_deg": s.SD, "u_deg": s.MeanU(), "u95_deg": expanded}
		},
		"stat.Combine": func(in *inputs) map[string]float64 {
			us, unit := in.listOf("u")
			var parts []stat.Component
			for i, d := range in.list("df") {
				parts = append(parts, stat.Component{U: us[i], DF: df(d), C: 1})
			}
			u, effective, err := stat.Combine(parts...)
			in.ok(err)
			expanded, k, err := stat.Expanded(in.num("coverage"), u, effective)
			in.ok(err)
			return map[string]float64{"u" + unit: u, "df": effective, "k": k, "expanded" + unit: expanded}
		},
		"stat.Welch": func(in *inputs) map[string]float64 {
			first, _ := in.listOf("first")
			second, _ := in.listOf("second")
			c, err := stat.Welch(first, second)
			in.ok(err)
			a, err := stat.Describe(first)
			in.ok(err)
			b, err := stat.Describe(second)
			in.ok(err)
			out := comparison(c)
			out["mean_first"], out["sd_first"], out["mean_second"], out["sd_second"] = a.Mean, a.SD, b.Mean, b.SD
			return out
		},
		"stat.WelchOf": func(in *inputs) map[string]float64 {
			c, err := stat.WelchOf(in.samples())
			in.ok(err)
			return comparison(c)
		},
		"stat.EqualScatterOf": func(in *inputs) map[string]float64 {
			c, err := stat.EqualScatterOf(in.samples())
			in.ok(err)
			return comparison(c)
		},
		"stat.EqualScatter": func(in *inputs) map[string]float64 {
			first, _ := in.listOf("first")
			second, _ := in.listOf("second")
			a, err := stat.Describe(first)
			in.ok(err)
			b, err := stat.Describe(second)
			in.ok(err)
			c, err := stat.EqualScatterOf(a, b)
			in.ok(err)
			return comparison(c)
		},
		"stat.WildCount": func(in *inputs) map[string]float64 {
			xs := in.list("readings")
			ws, err := stat.Wild([][]float64{xs}, 0)
			in.ok(err)
			out := map[string]float64{"count": float64(len(ws))}
			for i, name := range []string{"first", "second", "third"} {
				if i < len(ws) {
					out[name] = xs[ws[i].Index]
				}
			}
			return out
		},
	}
}
