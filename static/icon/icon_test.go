package icon

import (
	"image/png"
	"math"
	"os"
	"testing"
)

// The committed files are what the source draws.
func TestCommittedIconsAreCurrent(t *testing.T) {
	svg, err := os.ReadFile(SVGName)
	if err != nil {
		t.Fatal(err)
	}
	if string(svg) != SVG() {
		t.Errorf("%s is not what the source draws: run go run ./static/icon/gen", SVGName)
	}
	for _, m := range Made {
		f, err := os.Open(m.Name)
		if err != nil {
			t.Fatal(err)
		}
		got, err := png.Decode(f)
		f.Close()
		if err != nil {
			t.Fatalf("%s: %v", m.Name, err)
		}
		want := Draw(m.Side, m.Maskable)
		if got.Bounds() != want.Bounds() {
			t.Fatalf("%s is %v, want %v", m.Name, got.Bounds(), want.Bounds())
		}
		differ := 0
		for y := range m.Side {
			for x := range m.Side {
				// One step of 8 bit is left for machines that round otherwise.
				r, g, b, a := got.At(x, y).RGBA()
				R, G, B, A := want.At(x, y).RGBA()
				for _, d := range []float64{float64(r) - float64(R), float64(g) - float64(G), float64(b) - float64(B), float64(a) - float64(A)} {
					if math.Abs(d) > 0x202 {
						differ++
					}
				}
			}
		}
		if differ > 0 {
			t.Errorf("%s differs from what the source draws in %d samples: run go run ./static/icon/gen", m.Name, differ)
		}
	}
}

// A maskable icon may lose everything outside the circle of 40 % of its side
// (Web App Manifest, section "Icon masks and safe zone"): there must be paper
// alone.
func TestMaskableKeepsInsideTheSafeZone(t *testing.T) {
	img := Draw(256, true)
	for y := range 256 {
		for x := range 256 {
			c := img.NRGBAAt(x, y)
			if c.A != 255 {
				t.Fatalf("pixel %d,%d is not opaque: a mask would show through", x, y)
			}
			if math.Hypot(float64(x)-127.5, float64(y)-127.5) > 0.4*256+2 && c != paper {
				t.Fatalf("pixel %d,%d lies outside the safe zone and is not paper: %v", x, y, c)
			}
		}
	}
}
