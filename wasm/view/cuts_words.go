package view

import (
	"strings"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// cutsWords are the words of a field of station Cuts. The names of bounds are
// made of their keys: "squish_min_mm" is "squish, at least".
func cutsWords(path string) fieldWords {
	where, key, _ := strings.Cut(path, ".")
	name := key
	for _, u := range [...]string{"_mm", "_deg", "_m_s"} {
		name = strings.TrimSuffix(name, u)
	}
	for _, bound := range [...][2]string{{"_max", ", at most"}, {"_most", ", at most"}, {"_min", ", at least"}, {"_least", ", at least"}} {
		if rest, ok := strings.CutSuffix(name, bound[0]); ok {
			name = rest + bound[1]
		}
	}
	w := fieldWords{name: strings.ReplaceAll(name, "_", " ")}
	switch where {
	case "targets":
		for _, n := range plan.NumberNames() {
			if n.Key == key {
				w.name = n.Name
			}
		}
		w.ask, w.use = targetAsk(key), "the cut list"
	case "limits":
		w.ask, w.use = "A hard limit: no plan crosses it, whatever is wanted.", "the cut list"
		if strings.HasPrefix(key, "seal_land") {
			w.ask += " How far the skirt is to reach below the exhaust's floor at TDC."
		}
	case "rules":
		value, from := usualRule(path)
		w.ask, w.use = "A rule of thumb: it warns and never stops anything. 0: it is not asked. Not given: "+value+" ("+from+").", "warnings"
	case "moves_allowed":
		move, bound, _ := strings.Cut(key, "_mm")
		switch {
		case strings.HasPrefix(key, "base_gaskets"):
			w = fieldWords{"gasket at hand", "How thick it is as it is crushed. 0: none at all.", "which gaskets the plan may choose from"}
		case bound == ".step":
			w = fieldWords{plan.Name(move) + ", tool's step", "The least that the tool takes off for certain. Not given: 0.05 mm for a grinder, 0.01 mm for a lathe.", "the first bite"}
		default:
			w = fieldWords{plan.Name(move) + ", at most", "The most that may come off in all, what is off already counted. Without one the limits alone hold it.", "the cut list"}
		}
	}
	return w
}

// usualRule is the value that is in force for a rule of thumb that is not given,
// and where it comes from; "" for what is no rule.
func usualRule(path string) (value, from string) {
	key, _ := strings.CutPrefix(path, "rules.")
	for _, r := range plan.Rules(&build.Rules{}) {
		switch {
		case r.Key != key:
		case r.Bound == 0:
			return "not asked", "none is usual"
		case strings.HasSuffix(key, "_mm"):
			l := unit.Length{Value: r.Bound}
			return l.String() + ", " + otherUnits(l), r.From
		default:
			return unit.Plain(r.Bound, 2) + numberUnit(key), r.From
		}
	}
	return "", ""
}

func targetAsk(key string) string {
	switch key {
	case build.TargetSquish:
		return "Mean of both ends of the pin axis, gasket in."
	case build.TargetExhaustOpens, build.TargetTransferOpens:
		return "Degrees after TDC, piston going down. One degree of opening is two of duration where a port opens and closes alike."
	case build.TargetIntakeOpens:
		return "Degrees after TDC, as the engine turns: 75 before TDC is 285."
	case build.TargetBlowdown:
		return "Degrees from where the exhaust opens to where the first transfer or boost opens."
	case build.TargetTrappedRatio:
		return "Compression from where the exhaust closes."
	case build.TargetGeometricRatio:
		return "Compression over the whole stroke."
	}
	return "Degrees that it stays open."
}

// unknownWords says what it means that a field has no value.
func unknownWords(path string) string {
	switch where, key, _ := strings.Cut(path, "."); {
	case where == "targets":
		return "not wanted"
	case where == "limits":
		return "no limit"
	case where == "rules":
		value, _ := usualRule(path)
		return "as usual: " + value
	case where == "moves_allowed" && strings.HasSuffix(key, ".step"):
		return "the usual step"
	case where == "moves_allowed" && strings.HasPrefix(key, "base_gaskets"):
		return "none"
	case where == "moves_allowed" && !strings.Contains(key, "."):
		return "not allowed"
	case where == "moves_allowed":
		return "no bound"
	case app.StationOf(path) == app.AtCuts:
		return "nothing"
	}
	return "not known"
}

func biteName(mv app.MoveAt) string { return moveName(mv.Move, mv.Window.Name) }

func biteAsk(move string) string {
	switch move {
	case build.MoveBaseGasket:
		return "How thick is the gasket that is in now? 0: none."
	case build.MoveMufflerOutlet:
		return "How large are all openings together now?"
	case build.MoveExhaustWidth:
		return "By how much is it wider now, along the chord? As measured, not as planned."
	}
	return "How much came off? As measured, not as planned: by caliper, depth gauge or dial."
}

// moveCaution says what is to be minded where metal goes. Common practice, no
// source.
func moveCaution(move string) string {
	switch move {
	case build.MoveBaseGasket:
		return "Turn the engine by hand, gently, before anything else: the crown must clear the head, and the skirt must clear whatever it comes near."
	case build.MoveBaseCut:
		return "Square to the bore, on the lathe. The whole cylinder comes lower: check the crown against the head, and the plug, before it is turned over."
	case build.MoveBandCut, build.MoveCrownCut:
		return "Look how much metal is left before you begin: a thin crown or chamber roof fails in running."
	case build.MoveExhaustRoof, build.MoveTransferRoof, build.MoveIntakeFloor, build.MoveExhaustWidth:
		return "Piston out, case stopped with a rag. Work from the bore into the port, so that the cut presses the plating on and does not lift it. Both sides level; a round corner stays round. Chamfer after the reading, never before."
	case build.MoveIntakeSkirt:
		return "Both edges square and smooth: a nick in the skirt is where it cracks. Check at TDC that the exhaust stays covered."
	}
	return "A changed outlet may break noise, emission and spark-arrester rules: keep the screen, check local law and the maker."
}
