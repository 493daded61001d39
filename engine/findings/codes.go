package findings

import "slices"

// Problem codes.
const (
	CodeZeroError       = "zero_error"
	CodeWheelSlipped    = "wheel_slipped"
	CodeWrongSide       = "wrong_side_of_wheel"
	CodeReversed        = "direction_reversed"
	CodeImpossibleOrder = "impossible_order"
	CodeOffset          = "offset_signature"
	CodeWildReading     = "wild_reading"
	CodeShortStopArc    = "short_stop_arc"
	CodeSingleStop      = "single_stop"
	CodeUnitSlip        = "unit_slip"
	CodeMethodsMixed    = "methods_mixed"
	CodeSideToSide      = "side_to_side"
	CodeSymmetryAssumed = "symmetry_assumed"
	CodeFreePorting     = "free_porting"
	CodeRingOverPort    = "ring_over_port"
	CodePortTooWide     = "port_too_wide"
	CodeWireNotCrushed  = "wire_not_crushed"
	CodeSquishUneven    = "squish_uneven"
	CodeGeometryUnknown = "geometry_unknown"
	CodeBiteDisagrees   = "bite_disagrees"
)

// Codes returns every problem code.
func Codes() []string {
	return []string{
		CodeZeroError, CodeWheelSlipped, CodeWrongSide, CodeReversed, CodeImpossibleOrder, CodeOffset, CodeWildReading,
		CodeShortStopArc, CodeSingleStop, CodeUnitSlip, CodeMethodsMixed, CodeSideToSide, CodeSymmetryAssumed,
		CodeFreePorting, CodeRingOverPort, CodePortTooWide, CodeWireNotCrushed, CodeSquishUneven, CodeGeometryUnknown,
		CodeBiteDisagrees,
	}
}

// KnownCode says whether code is a problem code.
func KnownCode(code string) bool { return slices.Contains(Codes(), code) }
