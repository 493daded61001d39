package view

import (
	"strings"

	"portwright/wasm/app"
)

// fieldWords are the words of one field.
type fieldWords struct {
	name string // as in "Give the stroke"
	ask  string // how to measure it, or what is asked
	use  string // what it is needed for
}

// wordsOf finds the words of a field by the key at the end of its path.
func wordsOf(path string) fieldWords {
	if app.StationOf(path) == app.AtCuts {
		return cutsWords(path)
	}
	key := path[strings.LastIndexByte(path, '.')+1:]
	key, place, _ := strings.Cut(strings.TrimSuffix(key, "]"), "[")
	if strings.HasPrefix(path, "windows/") || strings.HasPrefix(path, "passes/") {
		if w, ok := partWord(key); ok {
			return w
		}
	}
	w, ok := engineWord(key)
	if !ok {
		return fieldWords{name: strings.ReplaceAll(key, "_", " ")}
	}
	if place != "" {
		w.name += ", " + squishPlace(place)
		if place == "2" || place == "3" {
			w.ask = "Crushed solder, gasket in, front and back at once: square to the pin the piston rocks, and with one wire alone it tips away and shows too much."
		}
	}
	return w
}

func squishPlace(place string) string {
	switch place {
	case "0":
		return "pin axis, left"
	case "1":
		return "pin axis, right"
	case "2":
		return "front"
	case "3":
		return "back"
	}
	return "place " + place
}

func fieldName(path string) string { return "the " + wordsOf(path).name }

// engineWord is the words of a field of the build, engine or wheel.
func engineWord(key string) (w fieldWords, ok bool) {
	switch key {
	case "number":
		return fieldWords{"job number", "As it stands on the tag. Any number that no other job has.", "to find the build again"}, true
	case "name":
		return fieldWords{"name", "What you call this engine.", "to find the build again"}, true
	case "note":
		return fieldWords{"note", "What the owner wants, what was changed before, what must not be crossed.", "to remember it"}, true
	case "stroke_mm":
		return fieldWords{"stroke", "Way of the piston from top to bottom dead centre, by depth gauge through the plug hole.", "travel in mm at every port, displacement"}, true
	case "rod_mm":
		return fieldWords{"rod length", "From eye centre to eye centre. Not known is common: a usual range is taken then, or it can be learned from depths and angles.", "travel in mm without the doubt of a guessed rod"}, true
	case "pin_offset_mm":
		return fieldWords{"pin offset", "Gudgeon pin or cylinder beside the crank's middle. Above zero when it lies to the side where the crank pin goes down. Most saws: 0.", "opening and closing that don't mirror each other"}, true
	case "stroke_u_mm":
		return fieldWords{"doubt of the stroke", "How far off the stroke may well be (one standard uncertainty). Not known: 0.02 mm.", "the ± of every travel"}, true
	case "rod_u_mm":
		return fieldWords{"doubt of the rod", "How far off the rod may well be (one standard uncertainty). Not known: 0.1 mm.", "the ± of every travel"}, true
	case "cylinders":
		return fieldWords{"cylinders", "How many cylinders the engine has. Each is read in passes of its own.", "passes per cylinder"}, true
	case "bore_mm":
		return fieldWords{"bore", "Across the cylinder, below the ports.", "displacement, squish area, port width against bore"}, true
	case "base_gasket_mm":
		return fieldWords{"base gasket", "Thickness of the gasket as it runs now.", "what leaving it out does to every port"}, true
	case "crown_below_deck_mm":
		return fieldWords{"crown below deck at TDC", "Crown's edge below the cylinder's top face at TDC. Above the face: put a minus.", "angles from depths, depths from angles"}, true
	case "skirt_intake_mm":
		return fieldWords{"skirt, intake side", "From the crown's edge to the skirt's lower edge on the intake side.", "intake travel, free porting"}, true
	case "skirt_exhaust_mm":
		return fieldWords{"skirt, exhaust side", "From the crown's edge to the skirt's lower edge on the exhaust side.", "free porting: whether the skirt still closes the exhaust at TDC"}, true
	case "ring_height_mm":
		return fieldWords{"ring height", "Thickness of the top ring along the cylinder.", "ring over port"}, true
	case "ring_below_crown_mm":
		return fieldWords{"ring below crown", "From the crown's edge to the top ring's upper edge.", "ring over port"}, true
	case "squish_mm":
		return fieldWords{"squish", "Crushed solder, gasket in, both ends of the pin axis at once.", "squish, and whether the piston rocked"}, true
	case "squish_band_width_mm":
		return fieldWords{"squish band width", "From the cylinder wall to the edge of the chamber.", "squish area"}, true
	case "squish_wire_mm":
		return fieldWords{"wire diameter", "Of the solder before it was crushed.", "whether the wire was crushed at all"}, true
	case "chamber_cc":
		return fieldWords{"chamber volume at TDC", "By burette through the plug hole, less the plug's own hole. In cc.", "compression ratios"}, true
	case "crankcase_cc":
		return fieldWords{"crankcase volume at BDC", "With the piston at BDC. In cc.", "crankcase compression"}, true
	case "intake":
		return fieldWords{"intake", "How fresh gas gets into the case.", "what the intake readings mean"}, true
	case "carburettor_bore_mm":
		return fieldWords{"carburettor bore", "Across the venturi.", "kept for the sheet"}, true
	case "muffler_outlet_mm2":
		return fieldWords{"muffler outlet area", "All openings together, in mm².", "kept for the sheet"}, true
	case "muffler_volume_cc":
		return fieldWords{"muffler volume", "Of the box, in cc.", "kept for the sheet"}, true
	case "numbering":
		return fieldWords{"numbering", "How the numbers run round the wheel.", "what a number under the pointer means"}, true
	case "numbers":
		return fieldWords{"numbers", "Turn the engine its running way. What do the numbers under the pointer do?", "which side of TDC a number is on"}, true
	case "step_deg":
		return fieldWords{"reading step", "The least step you can tell, in degrees: half a division if you read between the lines. Not known: 0.5.", "the ± of every reading"}, true
	case "diameter_mm":
		return fieldWords{"wheel diameter", "Across the ring of marks.", "how far a mark is from the next"}, true
	}
	return fieldWords{}, false
}

// partWord is the words of a field of a window or pass.
func partWord(key string) (w fieldWords, ok bool) {
	switch key {
	case "name":
		return fieldWords{"name", "Its own name, as in transfer left, or as received.", "to tell it from the others"}, true
	case "kind":
		return fieldWords{"kind", "What goes through it.", "which way the piston moves when it opens"}, true
	case "chord_mm":
		return fieldWords{"width along the chord", "Straight across the window, from side to side.", "kept for areas and for port width against bore"}, true
	case "height_mm":
		return fieldWords{"height", "From roof to floor.", "kept for areas and free porting"}, true
	case "corner_top_mm":
		return fieldWords{"corner radius, roof", "Radius of the two upper corners.", "kept for areas"}, true
	case "corner_bottom_mm":
		return fieldWords{"corner radius, floor", "Radius of the two lower corners.", "kept for areas"}, true
	case "count":
		return fieldWords{"how many alike", "Windows of this size that open together.", "kept for areas"}, true
	case "cylinder":
		return fieldWords{"cylinder", "Which cylinder this pass was read in, from 1.", "to keep cylinders apart"}, true
	case "note":
		return fieldWords{"notes of this state", "Ignition, cranking pressure, jets, fuel, weather: what belongs to the engine as it was then.", "the sheet"}, true
	case "habit":
		return fieldWords{"habit", "How the wheel is used in this pass.", "what the numbers of the pass mean"}, true
	}
	return fieldWords{}, false
}

// optionWords says one option of a choice and what it means.
func optionWords(path, value string) (words, note string) {
	switch path[strings.LastIndexByte(path, '.')+1:] + " " + value {
	case "intake piston_port":
		return "Piston port", "the skirt opens it"
	case "intake reed":
		return "Reed", "opens by itself: no timing"
	case "intake rotary_valve":
		return "Rotary valve", "disc or crank web"
	case "intake none":
		return "No intake port", "nothing to read"
	case "numbering 0-360":
		return "0 to 360", "once round"
	case "numbering 0-180-0":
		return "0 to 180 to 0", "the same both sides of TDC"
	case "numbering 0-90-0-90":
		return "0 to 90, four times", "from each dead centre"
	case "numbers rise":
		return "They rise", "0, 10, 20 ..."
	case "numbers fall":
		return "They fall", "20, 10, 0 ..."
	case "kind exhaust":
		return "Exhaust", "opens on the way down"
	case "kind transfer":
		return "Transfer", "opens on the way down"
	case "kind boost":
		return "Boost", "a transfer opposite the exhaust"
	case "kind intake":
		return "Intake", "piston port: opens on the way up"
	case "habit tdc_zero":
		return "Zero at TDC", "opens and closes, after the stop check"
	case "habit open_zero":
		return "Zero where the window opens", "the closing number is the duration"
	case "habit depth":
		return "Depth from the cylinder top", "no wheel: mm at the edge"
	}
	return value, ""
}
