package port

// Opening is when a window opens, in degrees after TDC.
type Opening struct {
	Window string
	Deg    float64
}

// First returns the place of the window that opens first, or -1 for none.
// Blowdown counts to the first window that opens from the crankcase.
func First(openings []Opening) int {
	first := -1
	for i, o := range openings {
		if first < 0 || o.Deg < openings[first].Deg {
			first = i
		}
	}
	return first
}
