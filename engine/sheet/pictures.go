package sheet

import "portwright/engine/draw"

// mapFits is the widest a picture at full size may be on A4 and Letter within
// the page's margins, in mm.
const mapFits = 182

// pictures draws a cylinder's ring, port map and area curves.
func (w *work) pictures(first, last, from int) (out []Picture) {
	before := w.results[first]
	after, afterDrawn, beforeDrawn := &w.results[last], w.drawn(last), w.drawn(first)
	if from >= 0 && last == first {
		after, afterDrawn = w.plannedPass(from), w.drawnAim(from)
	}
	if after.Name == before.Name && last == first && from < 0 {
		if svg, ok := draw.Ring(&before); ok {
			out = append(out, Picture{SVG: svg, Caption: "Timing ring, " + before.Name + ". " + lines})
		}
	} else if svg, ok := draw.RingChange(&before, after); ok {
		out = append(out, Picture{SVG: svg, Caption: "Timing ring, " + after.Name + "; thin lines and “was”: " + before.Name + ". " + lines})
	}
	var old *draw.Cylinder
	if last != first || from >= 0 {
		old = beforeDrawn
	}
	if svg, ok := draw.AreaCurves(afterDrawn, old); ok {
		out = append(out, Picture{SVG: svg, Caption: "Open area over a turn, from the windows' sizes. The hatched part is blowdown."})
	}
	now := w.drawn(last)
	caption := "Port map, " + now.Name + ": the bore's wall unrolled, every length to one scale. The windows stand side by side in their order; where they sit round the bore was not measured."
	if from >= 0 {
		now = w.drawn(from)
		w.withCuts(now)
		caption += " Hatched: what is to come off."
	}
	at := draw.MapAngle(&w.results[last])
	if m, ok := draw.PortMap(now, at); ok {
		p := Picture{SVG: m.Bare, Caption: caption, Rows: m.Key, Wide: true}
		if m.WidthMM <= mapFits {
			p.WidthMM = m.WidthMM
			p.Caption += " Printed at 100 % the bar is 10 mm long and the map lies in the bore."
		}
		out = append(out, p)
	} else {
		out = append(out, Picture{Wide: true, Caption: "No port map: it needs bore, stroke, and a window's size and opening."})
	}
	return out
}

const lines = "Solid: exhaust; double: transfers; dashed: intake; hatched: blowdown."
