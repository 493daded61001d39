package view

import "strings"

// fieldWords are the words of one field.
type fieldWords struct {
	name string // as in "Give the stroke"
	ask  string // how to measure it, or what is asked
	use  string // what it is needed for
}

// wordsOf finds the words of a field by the key at the end of its path.
func wordsOf(path string) fieldWords {
	key := path[strings.LastIndexByte(path, '.')+1:]
	key, place, _ := strings.Cut(strings.TrimSuffix(key, "]"), "[")
	if strings.HasPrefix(path, "windows/") || strings.HasPrefix(path, "passes/") {
		if w, ok := partWords()[key]; ok {
			return w
		}
	}
	w, ok := engineWords()[key]
	if !ok {
		return fieldWords{name: strings.ReplaceAll(key, "_", " ")}
	}
	if place != "" {
		w.name += ", " + squishPlace(place)
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

func engineWords() map[string]fieldWords {
	return map[string]fieldWords{
		"number": {"job number", "As it stands on the tag. Any number that no other job has.", "to find the build again"},
		"name":   {"name", "What you call this engine.", "to find the build again"},
		"note":   {"note", "What the owner wants, what was changed before, what must not be crossed.", "to remember it"},

		"stroke_mm":     {"stroke", "Way of the piston from top to bottom dead centre, by depth gauge through the plug hole.", "travel in mm at every port, displacement"},
		"rod_mm":        {"rod length", "From eye centre to eye centre. Not known is common: a usual range is taken then, or it can be learned from depths and angles.", "travel in mm without the doubt of a guessed rod"},
		"pin_offset_mm": {"pin offset", "Gudgeon pin or cylinder beside the crank's middle. Above zero when it lies to the side where the crank pin goes down. Most saws: 0.", "opening and closing that don't mirror each other"},
		"stroke_u_mm":   {"doubt of the stroke", "How far off the stroke may well be (one standard uncertainty). Not known: 0.02 mm.", "the ± of every travel"},
		"rod_u_mm":      {"doubt of the rod", "How far off the rod may well be (one standard uncertainty). Not known: 0.1 mm.", "the ± of every travel"},

		"cylinders":           {"cylinders", "How many cylinders the engine has. Each is read in passes of its own.", "passes per cylinder"},
		"bore_mm":             {"bore", "Across the cylinder, below the ports.", "displacement, squish area, port width against bore"},
		"base_gasket_mm":      {"base gasket", "Thickness of the gasket as it runs now.", "what leaving it out does to every port"},
		"crown_below_deck_mm": {"crown below deck at TDC", "Crown's edge below the cylinder's top face at TDC. Above the face: put a minus.", "angles from depths, depths from angles"},

		"skirt_intake_mm":     {"skirt, intake side", "From the crown's edge to the skirt's lower edge on the intake side.", "intake travel, free porting"},
		"skirt_exhaust_mm":    {"skirt, exhaust side", "From the crown's edge to the skirt's lower edge on the exhaust side.", "free porting: whether the skirt still closes the exhaust at TDC"},
		"ring_height_mm":      {"ring height", "Thickness of the top ring along the cylinder.", "ring over port"},
		"ring_below_crown_mm": {"ring below crown", "From the crown's edge to the top ring's upper edge.", "ring over port"},

		"squish_mm":            {"squish", "Crushed solder, gasket in, both ends of the pin axis at once.", "squish, and whether the piston rocked"},
		"squish_band_width_mm": {"squish band width", "From the cylinder wall to the edge of the chamber.", "squish area"},
		"squish_wire_mm":       {"wire diameter", "Of the solder before it was crushed.", "whether the wire was crushed at all"},
		"chamber_cc":           {"chamber volume at TDC", "By burette through the plug hole, less the plug's own hole. In cc.", "compression ratios"},
		"crankcase_cc":         {"crankcase volume at BDC", "With the piston at BDC. In cc.", "crankcase compression"},

		"intake":              {"intake", "How fresh gas gets into the case.", "what the intake readings mean"},
		"carburettor_bore_mm": {"carburettor bore", "Across the venturi.", "kept for the sheet"},
		"muffler_outlet_mm2":  {"muffler outlet area", "All openings together, in mm².", "kept for the sheet"},
		"muffler_volume_cc":   {"muffler volume", "Of the box, in cc.", "kept for the sheet"},

		"numbering":   {"numbering", "How the numbers run round the wheel.", "what a number under the pointer means"},
		"numbers":     {"numbers", "Turn the engine its running way. What do the numbers under the pointer do?", "which side of TDC a number is on"},
		"step_deg":    {"reading step", "The least step you can tell, in degrees: half a division if you read between the lines. Not known: 0.5.", "the ± of every reading"},
		"diameter_mm": {"wheel diameter", "Across the ring of marks.", "how far a mark is from the next"},
	}
}

func partWords() map[string]fieldWords {
	return map[string]fieldWords{
		"name":             {"name", "Its own name, as in transfer left, or as received.", "to tell it from the others"},
		"kind":             {"kind", "What goes through it.", "which way the piston moves when it opens"},
		"chord_mm":         {"width along the chord", "Straight across the window, from side to side.", "kept for areas and for port width against bore"},
		"height_mm":        {"height", "From roof to floor.", "kept for areas and free porting"},
		"corner_top_mm":    {"corner radius, roof", "Radius of the two upper corners.", "kept for areas"},
		"corner_bottom_mm": {"corner radius, floor", "Radius of the two lower corners.", "kept for areas"},
		"count":            {"how many alike", "Windows of this size that open together.", "kept for areas"},
		"cylinder":         {"cylinder", "Which cylinder this pass was read in, from 1.", "to keep cylinders apart"},
		"habit":            {"habit", "How the wheel is used in this pass.", "what the numbers of the pass mean"},
	}
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
		return "None of it", "nothing to read"
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
