package findings

import (
	"math"

	"portwright/engine/build"
	"portwright/engine/stat"
	"portwright/engine/unit"
)

// scatters is over how many values of the scatter the evidence is summed.
const scatters = 16

// makeGrid lays the scatters out and works out what every explanation shares.
func (w *weighing) makeGrid() {
	w.expectScatter()
	lo, hi := math.Log(0.2*w.least), math.Log(3*w.most)
	w.grid = make([]atScatter, scatters)
	ne, nw := len(w.ev), w.wins
	room := make([]float64, scatters*(2*ne+3*nw))
	cut := func(n int) []float64 {
		out := room[:n:n]
		room = room[n:]
		return out
	}
	for i := range w.grid {
		g := &w.grid[i]
		g.rho, g.kappa, g.sumK, g.ay, g.az = cut(ne), cut(ne), cut(nw), cut(nw), cut(nw)
		w.prepare(g, lo+(hi-lo)*float64(i)/(scatters-1))
		g.weight += math.Log((hi - lo) / (scatters - 1)) // the grid's own step: grids compare
	}
}

// expectScatter settles which scatter to expect before the readings are looked
// at: what people reach with such a wheel, half a degree, less where the step
// that is read is finer; or that of the book. Half or twice of it is as likely
// as not. Which scatters are looked at is settled by the repeats too.
func (w *weighing) expectScatter() {
	s := w.s
	usual := math.Min(assumedScatter, math.Max(0.1, 2*s.step))
	if s.habit == build.HabitDepth {
		usual = assumedDepth
	}
	w.middle, w.spread = usual, 0.7
	if s.source == "book" {
		w.middle = math.Max(s.pool.SD, stat.Resolution(s.step))
		w.spread = math.Sqrt(1/(2*s.pool.DF) + 0.04)
	}
	w.least, w.most = w.middle, w.middle
	if s.source == "pass" {
		const few = 3 // weight of the usual scatter, in degrees of freedom
		seen := math.Sqrt((s.repeats.DF*s.repeats.SD*s.repeats.SD + few*usual*usual) / (s.repeats.DF + few))
		w.least, w.most = math.Min(w.least, seen), math.Max(w.most, seen)
	}
}

// prepare works out the inner products at one scatter. For events of n
// readings with covariance s^2 I + b 11', b from sharedRounding, the inverse is
//
//	(I - rho 11')/s^2, rho = b kappa, kappa = 1/(s^2 + n b)
//
// and the window's unknown angle is taken out by subtracting, window by window,
// (sum kappa u)(sum kappa v)/(sum n kappa).
func (w *weighing) prepare(g *atScatter, logS float64) {
	s := math.Exp(logS)
	g.s2 = s * s
	b := sharedRounding(w.s.step, s)
	g.stopVar = (g.s2 + b) / 2
	logDet := 0.0
	for e := range w.ev {
		ev := &w.ev[e]
		g.kappa[e] = 1 / (g.s2 + ev.n*b)
		g.rho[e] = b * g.kappa[e]
		g.sumK[ev.win] += ev.n * g.kappa[e]
		g.ay[ev.win] += g.kappa[e] * ev.sy
		g.az[ev.win] += g.kappa[e] * ev.sign * ev.n
		logDet += (ev.n-1)*2*logS - math.Log(g.kappa[e])
		g.yy -= g.rho[e] * ev.sy * ev.sy / g.s2
		g.yz -= g.rho[e] * ev.sy * ev.sign * ev.n / g.s2
		g.zz += (ev.n - g.rho[e]*ev.n*ev.n) / g.s2
		g.yz += ev.sign * ev.sy / g.s2
	}
	for i := range w.data {
		g.yy += w.data[i].y * w.data[i].y / g.s2
	}
	for i := range g.sumK {
		logDet += math.Log(g.sumK[i])
		g.yy -= g.ay[i] * g.ay[i] / g.sumK[i]
		g.yz -= g.ay[i] * g.az[i] / g.sumK[i]
		g.zz -= g.az[i] * g.az[i] / g.sumK[i]
	}
	for i := range w.stops {
		d := &w.stops[i]
		v := g.stopVar * d.share
		logDet += math.Log(v)
		g.yy += d.y * d.y / v
		g.yz += d.y * d.zero / v
		g.zz += d.zero * d.zero / v
	}
	// The zero's own doubt is part of every explanation.
	g.zTotal = g.zz + 1/w.zeroT
	prior := (logS - math.Log(w.middle)) / w.spread
	g.weight = -0.5*(logDet+g.yy-g.yz*g.yz/g.zTotal+math.Log(1+w.zeroT*g.zz)) - 0.5*prior*prior
}

// sharedRounding returns the variance of the part of the rounding to a step q
// that repeats of one event share, when they scatter by s (rounding included).
// Repeats that don't scatter share all of it, q^2/12; once they scatter by half
// a step next to nothing.
//
//	b = sum_k q^2/(2 pi^2 k^2) exp(-4 pi^2 k^2 sigma^2/q^2), sigma^2 = s^2 - q^2/12
//
// Source: analytic, the covariance of the sawtooth x - round(x) at x + e1 and
// x + e2 with x anywhere within a step and e1, e2 normal, from its Fourier series.
func sharedRounding(q, s float64) float64 {
	sigma2 := math.Max(0, s*s-q*q/12)
	if sigma2 == 0 {
		return q * q / 12
	}
	b := 0.0
	for k := 1.0; k <= 8; k++ {
		b += q * q / (2 * math.Pi * math.Pi * k * k) * math.Exp(-4*math.Pi*math.Pi*k*k*sigma2/(q*q))
	}
	return b
}

// product returns <h,h> and <h,y> of a column with window angles and zero
// taken out.
func (w *weighing) product(g *atScatter, c *column) (hh, hy float64) {
	hh, hy = c.uu, c.uy
	hz := c.uz
	for e := range w.ev {
		if u := c.su[e] * g.rho[e]; u != 0 {
			ev := &w.ev[e]
			hh -= u * c.su[e]
			hy -= u * ev.sy
			hz -= u * ev.sign * ev.n
		}
	}
	hh, hy, hz = hh/g.s2, hy/g.s2, hz/g.s2
	for e := 0; e < len(w.ev); {
		win, a := w.ev[e].win, 0.0
		for ; e < len(w.ev) && w.ev[e].win == win; e++ {
			a += g.kappa[e] * c.su[e]
		}
		hh -= a * a / g.sumK[win]
		hy -= a * g.ay[win] / g.sumK[win]
		hz -= a * g.az[win] / g.sumK[win]
	}
	for i := range w.stops {
		d := &w.stops[i]
		if u := c.stop(d); u != 0 {
			v := g.stopVar * d.share
			hh += u * u / v
			hy += u * d.y / v
			hz += u * d.zero / v
		}
	}
	return hh - hz*hz/g.zTotal, hy - hz*g.yz/g.zTotal
}

// score sums the evidence of a column over the scatters.
func (w *weighing) score(c *column, variance float64) scored {
	var hh, hy [scatters]float64
	for i := range w.grid {
		hh[i], hy[i] = w.product(&w.grid[i], c)
	}
	return w.sum(&hh, &hy, variance)
}

// sum adds up the evidence at each scatter; the size is that of least squares
// at the likeliest scatter.
func (w *weighing) sum(hh, hy *[scatters]float64, variance float64) scored {
	t, ok := w.terms(hh, variance)
	if !ok {
		return scored{log: math.Inf(-1)} // the readings can't show it
	}
	return t.sum(hh, hy)
}

// terms are what columns of the same <h,h> share.
//
//	log = base + gain <h,y>^2
type terms struct{ base, gain [scatters]float64 }

func (w *weighing) terms(hh *[scatters]float64, variance float64) (t terms, ok bool) {
	for i := range w.grid {
		g := &w.grid[i]
		if hh[i] < 1e-9/g.s2 {
			return t, false
		}
		t.base[i] = g.weight - 0.5*math.Log(1+variance*hh[i])
		t.gain[i] = 0.5 / (hh[i] + 1/variance)
	}
	return t, true
}

func (t *terms) sum(hh, hy *[scatters]float64) scored {
	var logs [scatters]float64
	best := 0
	for i := range logs {
		logs[i] = t.base[i] + t.gain[i]*hy[i]*hy[i]
		if logs[i] > logs[best] {
			best = i
		}
	}
	return scored{log: logSum(logs[:]), size: hy[best] / hh[best], u: 1 / math.Sqrt(hh[best])}
}

// total is the evidence of nothing.
func (w *weighing) total() float64 {
	var logs [scatters]float64
	for i := range w.grid {
		logs[i] = w.grid[i].weight
	}
	return logSum(logs[:])
}

func logSum(logs []float64) float64 {
	top := math.Inf(-1)
	for _, l := range logs {
		top = math.Max(top, l)
	}
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for _, l := range logs {
		if l > top-40 { // the rest would not show in the last digit
			sum += math.Exp(l - top)
		}
	}
	return top + math.Log(sum)
}

// wilds scores each reading as the one that is wrong, by as much as an edge is
// misjudged or by a wrong digit. Its column is 1 at the reading alone, so that
// readings of one event differ in <h,y> only.
func (w *weighing) wilds(all []candidate, size, prior float64) []candidate {
	edge, digit := size*size, typoSize*size*typoSize*size
	for e := range w.ev {
		ev := &w.ev[e]
		var hh, hz, hy [scatters]float64
		for i := range w.grid {
			g := &w.grid[i]
			rho, kappa, sumK := g.rho[e], g.kappa[e], g.sumK[ev.win]
			hz[i] = ev.sign*(1-rho*ev.n)/g.s2 - kappa*g.az[ev.win]/sumK
			hh[i] = (1-rho)/g.s2 - kappa*kappa/sumK - hz[i]*hz[i]/g.zTotal
		}
		small, ok := w.terms(&hh, edge)
		large, _ := w.terms(&hh, digit)
		if !ok {
			continue // a single reading that nothing is held against
		}
		for k := range w.data {
			d := &w.data[k]
			if d.ev != e {
				continue
			}
			for i := range w.grid {
				g := &w.grid[i]
				hy[i] = (d.y-g.rho[e]*ev.sy)/g.s2 - g.kappa[e]*g.ay[ev.win]/g.sumK[ev.win] - hz[i]*g.yz/g.zTotal
			}
			all = append(all, candidate{oneWild, k, small.sum(&hh, &hy).plus(prior)},
				candidate{oneWild, k, large.sum(&hh, &hy).plus(prior)})
		}
	}
	return all
}

// midpointPerMM is how far a mm of offset moves the middle of a window's open
// time, in degrees. Where the stroke is not known it is per stroke of offset,
// with a rod of 1.9 strokes: only how it grows from window to window counts.
func (s *state) midpointPerMM(o, c float64) float64 {
	g := s.shapeGeometry()
	middle := o - unit.Signed(o+c)/2
	return g.MidpointPerMM(g.Travel(unit.Rad(middle)))
}

// stopPerMM is the same for the middle of the stop's two readings.
func (s *state) stopPerMM() float64 {
	if s.zero == nil || s.shifted {
		return 0
	}
	g := s.shapeGeometry()
	half := s.zero.Half
	for i := range s.p.Stops {
		if st := &s.p.Stops[i]; st.Struck == "" && len(st.Readings) == 2 && st.Near == build.NearBDC {
			half = 180 - half
			break
		}
	}
	return g.MidpointPerMM(g.Travel(unit.Rad(half)))
}
