package setup

import (
	"fmt"
	"image/color"
	"strings"

	"github.com/boombuler/barcode/qr"
)

// QR is a QR code (ISO/IEC 18004) as a path of squares of one unit, the dark
// ones, without the quiet zone of 4 units that belongs round it.
type QR struct {
	Size int    `json:"size"`
	Path string `json:"path"`
}

// Draw returns the code of a text, readable with a quarter of it dirty.
func Draw(text string) (QR, error) {
	code, err := qr.Encode(text, qr.Q, qr.Auto)
	if err != nil {
		return QR{}, fmt.Errorf("QR code of %q: %w", text, err)
	}
	var path strings.Builder
	size := code.Bounds().Dx()
	for y := range size {
		for x := range size {
			if grey, _ := color.GrayModel.Convert(code.At(x, y)).(color.Gray); grey.Y < 128 {
				fmt.Fprintf(&path, "M%d %dh1v1h-1z", x, y)
			}
		}
	}
	return QR{size, path.String()}, nil
}

// ViewBox is the box of an SVG round the code and its quiet zone.
func (q QR) ViewBox() string { return fmt.Sprintf("-4 -4 %d %d", q.Size+8, q.Size+8) }
