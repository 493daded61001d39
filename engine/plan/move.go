package plan

import (
	"slices"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/chamber"
)

func squishOf(gaps []float64) chamber.Squish {
	q, _ := chamber.MeasuredSquish(gaps)
	return q
}

// moveOf reads a move of a file: the place of its window, -1 for none or all,
// and its amount.
func (s *base) moveOf(at string, m *build.Move) (window int, amount float64, err error) {
	if !slices.Contains(build.MoveNames(), m.Move) {
		return 0, 0, bad(at+".move", strconv.Quote(m.Move), "must be one of "+strings.Join(build.MoveNames(), ", "))
	}
	window = -1
	if m.Window != "" {
		for i := range s.windows {
			if s.windows[i].doc.Name == m.Window {
				window = i
			}
		}
		if window < 0 || !s.cuts(m.Move, window) {
			return 0, 0, bad(at+".window", strconv.Quote(m.Window), "must be a window that this move cuts")
		}
	}
	switch m.Move {
	case build.MoveBaseGasket:
		if s.now.gasket != s.now.gasket {
			return 0, 0, bad("engine.base_gasket_mm", "", "must be given: how thick the gasket is now, 0 for none")
		}
		return window, m.ToMM.MM(), nil
	case build.MoveMufflerOutlet:
		return window, *m.ToMM2, nil
	}
	return window, m.ByMM.MM(), nil
}

// Name returns a move in words.
func Name(move string) string {
	switch move {
	case build.MoveBaseGasket:
		return "base gasket"
	case build.MoveBaseCut:
		return "base cut"
	case build.MoveBandCut:
		return "squish band cut"
	case build.MoveCrownCut:
		return "crown cut"
	case build.MoveExhaustRoof:
		return "exhaust roof raised"
	case build.MoveTransferRoof:
		return "transfer roof raised"
	case build.MoveIntakeFloor:
		return "intake floor lowered"
	case build.MoveIntakeSkirt:
		return "intake skirt trimmed"
	case build.MoveExhaustWidth:
		return "exhaust widened"
	case build.MoveMufflerOutlet:
		return "muffler outlet"
	}
	return move
}
