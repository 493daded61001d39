package view

import "portwright/wasm/app"

// CutsPicture is a drawing, which carries its own words, and rows that explain
// what stands in it.
type CutsPicture struct {
	ID, Title, SVG string
	Rows           []string
}

// cutsPictures are the port map with what is to come off, and the turn of the
// crank now and then.
func cutsPictures(p *app.CutsPlan) (out []CutsPicture) {
	if p.Map.Bare != "" {
		out = append(out, CutsPicture{ID: "map", Title: "Port map", SVG: p.Map.Bare, Rows: p.Map.Key})
	}
	if p.Ring != "" {
		row := "Solid: exhaust. Double: transfer, boost. Dashed: intake. Hatched: blowdown."
		if len(p.Result.Moves) > 0 {
			row += " Thin lines and “was”: now."
		}
		out = append(out, CutsPicture{ID: "ring", Title: "Turn of the crank", SVG: p.Ring, Rows: []string{row}})
	}
	return out
}
