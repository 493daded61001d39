package port

import "portwright/engine/unit"

// Centre is the dead centre that a window's open time lies around.
type Centre float64

// A window in the cylinder's upper part, closed by the crown, is open around
// BDC; a piston-port intake, closed by the skirt, around TDC.
const (
	AroundBDC Centre = 180
	AroundTDC Centre = 0
)

// SymmetricClosing returns the angle after TDC at which a window closes that
// opens at the given one, when the crank is not offset: the mirror image in
// the line through the dead centres.
//
//	C = 360 - O
func SymmetricClosing(opens float64) float64 { return unit.Turn(360 - opens) }

// SymmetricDuration returns the duration of a window of which the opening
// alone is known, when the crank is not offset.
//
//	D = 2 (180 - O) around BDC, 2 (360 - O) around TDC
func SymmetricDuration(opens float64, around Centre) float64 {
	if around == AroundTDC {
		return 2 * unit.Turn(-opens)
	}
	return 2 * (180 - unit.Turn(opens))
}

// SymmetricOpening returns the angle after TDC at which a window opens whose
// duration alone is known, when the crank is not offset: half the duration
// before the dead centre that it lies around.
//
//	O = centre - D/2 mod 360
func SymmetricOpening(duration float64, around Centre) float64 {
	return unit.Turn(float64(around) - duration/2)
}

// PairSum returns opening and closing added, brought to lie within half a turn
// of 360. True angles of a window that opens and closes by one edge on a crank
// without offset add to 360; a wheel that is z out makes it 360 + 2z.
func PairSum(opens, closes float64) float64 { return 360 + unit.Signed(opens+closes) }
