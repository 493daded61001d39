package static

import (
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var (
	property = regexp.MustCompile(`--([a-z-]+):\s*(#[0-9a-f]{6}|#[0-9a-f]{3}\b)`)
	anyHex   = regexp.MustCompile(`#[0-9a-fA-F]{3,8}\b[^"]`)
)

// themes reads the colours of both themes out of the style sheet, and holds the
// shed's two places (chosen, and as the device has it) against each other.
func themes(t *testing.T) (day, shed map[string]string) {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("css", "tokens.css"))
	if err != nil {
		t.Fatal(err)
	}
	css := string(raw)
	block := func(start string) map[string]string {
		t.Helper()
		_, rest, ok := strings.Cut(css, start)
		if !ok {
			t.Fatalf("tokens.css has no %q", start)
		}
		body, _, _ := strings.Cut(rest, "}")
		out := map[string]string{}
		for _, m := range property.FindAllStringSubmatch(body, -1) {
			out[m[1]] = m[2]
		}
		return out
	}
	day, shed = block("\n:root {"), block("\n:root[data-theme=\"shed\"] {")
	if auto := block(":root:not([data-theme=\"day\"]) {"); !maps.Equal(auto, shed) {
		t.Errorf("the shed as chosen and as the device has it differ:\n%v\n%v", shed, auto)
	}
	for name := range day {
		if shed[name] == "" {
			t.Errorf("the shed has no --%s", name)
		}
	}
	return day, shed
}

// ratio is the contrast of two colours "#rrggbb".
// Source: W3C, WCAG 2.2, relative luminance and contrast ratio.
func ratio(t *testing.T, a, b string) float64 {
	t.Helper()
	luminance := func(hex string) float64 {
		if len(hex) != 7 {
			t.Fatalf("%q is no colour", hex)
		}
		sum := 0.0
		for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
			n, err := strconv.ParseUint(hex[1+2*i:3+2*i], 16, 8)
			if err != nil {
				t.Fatal(err)
			}
			v := float64(n) / 255
			if v <= 0.04045 {
				v /= 12.92
			} else {
				v = math.Pow((v+0.055)/1.055, 2.4)
			}
			sum += weight * v
		}
		return sum
	}
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// Every ink has at least 7:1 on every ground that it is used on, in both
// themes, and every control's edge 3:1 (WCAG 2.2, 1.4.6 and 1.4.11).
func TestContrastOfThePalette(t *testing.T) {
	if got := ratio(t, "#000000", "#ffffff"); math.Abs(got-21) > 1e-9 { // WCAG 2.2: black on white
		t.Fatalf("black on white is %v:1", got)
	}
	day, shed := themes(t)
	for name, theme := range map[string]map[string]string{"day": day, "shed": shed} {
		holds := func(ink, ground string, least float64) {
			t.Helper()
			if got := ratio(t, theme[ink], theme[ground]); got < least {
				t.Errorf("%s: %s on %s has %.2f:1, want %.0f:1", name, ink, ground, got, least)
			}
		}
		for _, ground := range []string{"paper", "sheet"} {
			for _, ink := range []string{"ink", "soft", "mark", "good"} {
				holds(ink, ground, 7)
			}
			holds("key-line", ground, 3)
		}
		for _, ink := range []string{"ink", "soft"} { // words on keys
			holds(ink, "key", 7)
		}
		holds("ink", "key-down", 7)
		holds("on-mark", "mark", 7)
		for _, pressed := range []string{"ink", "soft"} { // what is chosen stands in the paper's colour
			holds("paper", pressed, 7)
		}
		holds("sheet", "ink", 7)
	}
}

// No style sheet of the app names a colour of its own, which the palette's test
// would not see. On paper the palette is another, and held to the same.
func TestColoursComeFromThePalette(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("css", "*.css"))
	if err != nil || len(files) < 5 {
		t.Fatalf("%d style sheets: %v", len(files), err)
	}
	for _, file := range files {
		if filepath.Base(file) == "tokens.css" {
			continue
		}
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for i, line := range strings.Split(string(raw), "\n") {
			own := map[string]string{}
			for _, m := range property.FindAllStringSubmatch(line, -1) {
				if own[m[1]] = m[2]; len(m[2]) == 4 { // #abc is #aabbcc
					own[m[1]] = "#" + strings.Repeat(m[2][1:2], 2) + strings.Repeat(m[2][2:3], 2) + strings.Repeat(m[2][3:4], 2)
				}
			}
			for _, ink := range []string{"ink", "soft", "mark"} {
				if len(own) > 0 && ratio(t, own[ink], own["paper"]) < 7 {
					t.Errorf("%s:%d: %s on paper has less than 7:1", file, i+1, ink)
				}
			}
			line = property.ReplaceAllString(line, "")
			if _, body, ok := strings.Cut(line, "{"); ok && anyHex.MatchString(body+" ") || strings.Contains(line, "rgb(") || strings.Contains(line, "hsl(") {
				t.Errorf("%s:%d names a colour: %s", file, i+1, line)
			}
		}
	}
}
