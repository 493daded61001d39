package findings

// stroke is the unit of an offset: mm, or strokes where the stroke is unknown.
func (w *weighing) stroke() float64 {
	if w.s.geo != nil {
		return w.s.geo.Stroke()
	}
	return 1
}

func (w *weighing) zeroColumn() column {
	c := column{su: make([]float64, len(w.ev)), stop: func(*stopDatum) float64 { return 0 }}
	for e := range w.ev {
		ev := &w.ev[e]
		c.su[e] = ev.sign * ev.n
		c.uu += ev.n
		c.uz += ev.n
		c.uy += ev.sign * ev.sy
	}
	return c
}

// skewColumn is the pattern of one mm of offset. The middle of the stop's
// readings is moved by it too, by what is taken off every event.
func (w *weighing) skewColumn() (column, bool) {
	c := column{su: make([]float64, len(w.ev)), stop: func(*stopDatum) float64 { return 0 }}
	stop := w.s.stopPerMM()
	for e := range w.ev {
		ev := &w.ev[e]
		g := ev.g - ev.sign*stop
		c.su[e] = g * ev.n
		c.uu += g * g * ev.n
		c.uz += g * ev.sign * ev.n
		c.uy += g * ev.sy
	}
	return c, c.uu > 0
}

// onePairs scores each window that was read more than once as the one whose
// opening and closing don't go together. Read once, it is a wild reading.
func (w *weighing) onePairs(all []candidate, prior float64) []candidate {
	for e := range w.ev {
		ev := &w.ev[e]
		if e == 0 || ev.sign > 0 || w.ev[e-1].win != ev.win || ev.n < 2 && w.ev[e-1].n < 2 {
			continue
		}
		c := column{su: make([]float64, len(w.ev)), uu: ev.n, uy: ev.sy, uz: ev.sign * ev.n,
			stop: func(*stopDatum) float64 { return 0 }}
		c.su[e] = ev.n
		at := 0
		for w.data[at].ev != e {
			at++
		}
		all = append(all, candidate{onePair, at, w.score(&c, pairSize*pairSize).plus(prior)})
	}
	return all
}

// slips scores a wheel that moved before each of the readings, and after the
// last.
func (w *weighing) slips(all []candidate, prior float64) []candidate {
	n := len(w.data)
	hasBefore, hasAfter := false, false
	for _, d := range w.stops {
		hasBefore = hasBefore || d.zero == 1 && d.slip == 0 || d.zero == 0
		hasAfter = hasAfter || d.slip == 1
	}
	c := column{su: make([]float64, len(w.ev)), stop: func(d *stopDatum) float64 { return d.slip }}
	for k := n; k >= 0; k-- {
		if k < n {
			d := &w.data[k]
			ev := &w.ev[d.ev]
			c.su[d.ev] += ev.sign
			c.uu++
			c.uz++
			c.uy += ev.sign * d.y
		}
		if k == n && !(hasBefore && hasAfter) || k == 0 && !(hasBefore && hasAfter) {
			continue // nothing would show it, or nothing tells it from a zero that is out
		}
		all = append(all, candidate{slipped, k, w.score(&c, slipSize*slipSize).plus(prior)})
	}
	return all
}
