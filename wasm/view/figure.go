package view

import (
	"math"
	"strings"
	"time"

	"portwright/engine/unit"
)

// Figure is a number ready to show: with its unit, what it is measured from,
// and its doubt. Empty when the number is not there.
type Figure struct {
	Value string // "102.5°", "21.98 mm"
	Doubt string // "± 0.5°"
	Word  string // "before TDC"
}

// None says that there is nothing to show.
func (f Figure) None() bool { return f.Value == "" }

// figDeg shows an angle or a stretch of degrees to a tenth.
func figDeg(v, u95 *float64) Figure {
	if v == nil {
		return Figure{}
	}
	return Figure{Value: unit.Fixed(*v, 1) + "°", Doubt: figDoubt(u95, 1, "°")}
}

// figMM shows a length to a hundredth of a millimetre.
func figMM(v, u95 *float64) Figure {
	if v == nil {
		return Figure{}
	}
	return Figure{Value: unit.Fixed(*v, 2) + " mm", Doubt: figDoubt(u95, 2, " mm")}
}

// figPlain shows a number with its unit.
func figPlain(v *float64, decimals int, unitName string) Figure {
	if v == nil {
		return Figure{}
	}
	return Figure{Value: unit.Fixed(*v, decimals) + unitName}
}

// figDoubt shows a 95 % half-width, rounded up: a number never claims to be
// without doubt.
func figDoubt(u95 *float64, decimals int, unitName string) string {
	if u95 == nil {
		return ""
	}
	return "± " + unit.Up(math.Max(*u95, 1e-4), decimals) + unitName
}

// figWhere shows the angle after TDC at which a window opens or closes; that
// of an intake before TDC is given, and said, as such.
func figWhere(kind string, v, u95 *float64) Figure {
	if v == nil {
		return Figure{}
	}
	if kind == "intake" && *v > 180 {
		back := 360 - *v
		f := figDeg(&back, u95)
		f.Word = "before TDC"
		return f
	}
	return figDeg(v, u95)
}

// counted says "1 reading", "3 readings", "2 entries".
func counted(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	if strings.HasSuffix(one, "y") {
		one = strings.TrimSuffix(one, "y") + "ie"
	}
	if strings.HasSuffix(one, "s") || strings.HasSuffix(one, "x") {
		one += "e"
	}
	return unit.Plain(float64(n), 0) + " " + one + "s"
}

func plain(n int) string { return unit.Plain(float64(n), 0) }

// when says a moment in the device's own time zone.
func when(ms int64) string {
	if ms <= 0 {
		return ""
	}
	return time.UnixMilli(ms).Format("2 Jan 2006, 15:04")
}
