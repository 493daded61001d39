package sheet

import (
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/draw"
	"portwright/engine/unit"
)

// CSV writes the numbers of a sheet as RFC 4180: one row for each number of
// each state, with its doubt at 95 % and how it was had. value and doubt are
// empty where they are not known; how says why. Events are degrees after TDC.
func CSV(s *Sheet) []byte {
	t := build.CSVText
	out := build.AppendCSV(nil, []string{"build number", "build name", "cylinder", "state", "of", "number", "value", "doubt", "unit", "how"})
	for i := range s.Cylinders {
		c := &s.Cylinders[i]
		for _, state := range c.States {
			for _, g := range state.Groups {
				for _, n := range g.Numbers {
					value, doubt, how := "", "", g.How
					if n.Value != nil {
						value = unit.Fixed(*n.Value, n.Decimals)
						if n.U95 != nil {
							doubt = strings.TrimPrefix(draw.Doubt(*n.U95, n.Decimals), "±")
						}
					}
					if n.How != "" {
						how = n.How
					}
					out = build.AppendCSV(out, []string{t(s.Number), t(s.Name), strconv.Itoa(c.Number), t(state.Name), t(g.Name), n.Name,
						value, doubt, strings.Replace(n.Unit, "°", "deg", 1), t(how)})
				}
			}
		}
	}
	return out
}
