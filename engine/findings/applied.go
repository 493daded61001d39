package findings

import (
	"math"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// applied says which corrections of the pass are in force.
func (s *state) applied() []Applied {
	out := []Applied{}
	for i := range s.p.Corrections {
		c := &s.p.Corrections[i]
		out = append(out, Applied{Code: c.Code, ID: c.ID, Text: s.correctionWords(c)})
	}
	return out
}

func (s *state) correctionWords(c *build.Correction) string {
	switch c.Kind {
	case build.CorrectShiftZero:
		return "TDC reads " + signed(c.ByDeg) + " on the wheel from where it was taken."
	case build.CorrectShiftAfter:
		return unit.Sprintf("From reading %d on the wheel had moved by %s; they are taken back by it.", s.inForce([]build.Correction{*c})[0].After, signed(c.ByDeg))
	case build.CorrectMirror, build.CorrectHalfTurn:
		return s.places(c) + " taken from the other side of the wheel."
	case build.CorrectRenumber:
		return "The wheel is taken as numbered " + c.Field + "."
	case build.CorrectReverse:
		return "The wheel's numbers are taken to run the other way."
	case build.CorrectStrike:
		return s.places(c) + " struck out."
	case build.CorrectScaleUnit:
		if c.Field != "" {
			return s.scaledWords(c)
		}
		return unit.Sprintf("%s divided by %s.", s.places(c), unit.Plain(c.Factor, 4))
	case build.CorrectDeclareSkew:
		return unit.Sprintf("An offset of %s is counted in.", millimetres(c.ByMM))
	case build.CorrectUnmixMethods:
		return "The feeler's thickness is taken back."
	}
	return c.Kind
}

// scaledWords says as what a length of the engine is taken: "Squish, pin axis,
// right: 1 in taken as 1 mm."
func (s *state) scaledWords(c *build.Correction) string {
	for _, d := range build.Doubts(s.b) {
		if d.Field == c.Field && d.Suggest != nil && math.Abs(d.Given.MM()/d.Suggest.MM()-c.Factor) < 1e-6*c.Factor {
			return s.lengthName(c.Field) + ": " + d.Given.String() + " taken as " + d.Suggest.String() + "."
		}
	}
	return s.lengthName(c.Field) + " divided by " + unit.Plain(c.Factor, 4) + "."
}

// lengthName names a length of the engine or of a window: "The bore", "Squish,
// front", "Transfer left, width".
func (s *state) lengthName(field string) string {
	name := build.LengthName(field)
	if name == "" {
		return field
	}
	part, key, _ := strings.Cut(field, ".")
	if i, ok := indexIn(part, "windows"); ok && i < len(s.b.Windows) {
		name = s.b.Windows[i].Name + ", " + strings.TrimPrefix(name, "a window's ")
	}
	if i, ok := indexIn(key, "squish_mm"); ok {
		place := "place " + unit.Plain(float64(i+1), 0)
		if places := []string{"pin axis, left", "pin axis, right", "front", "back"}; i < len(places) {
			place = places[i]
		}
		name += ", " + place
	}
	return capital(name)
}

func signed(v float64) string {
	if v >= 0 {
		return "+" + unit.Plain(v, 2) + "°"
	}
	return "-" + unit.Plain(math.Abs(v), 2) + "°"
}

// places names the readings of a correction: "The 2nd reading of exhaust opens".
func (s *state) places(c *build.Correction) string {
	var names []string
	for i := range s.reads {
		if s.names(c, &s.reads[i]) {
			names = append(names, "the "+s.turnName(i))
		}
	}
	return capital(list(names))
}
