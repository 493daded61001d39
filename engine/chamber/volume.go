package chamber

import "math"

// VolumeOf returns the volume in cm3 that a depth in mm takes over the whole
// bore: what lowering a cylinder by it takes from the clearance volume.
//
//	V = A_p t/1000
func VolumeOf(bore, depth float64) float64 { return area(bore) * depth / 1000 }

// BandArea returns the area in mm2 of a squish band of a width in mm, measured
// from the bore inwards. A width of half the bore or more is the whole bore.
//
//	A_band = pi (B^2 - (B - 2w)^2)/4
func BandArea(bore, width float64) float64 {
	return area(bore) - area(math.Max(bore-2*math.Max(width, 0), 0))
}

// BandShare returns the squish area ratio.
//
//	SAR = A_band/A_p = 1 - (1 - 2w/B)^2
func BandShare(bore, width float64) float64 { return BandArea(bore, width) / area(bore) }

// HeldShare returns which share of the charge at TDC lies in the band's gap z,
// in mm, the clearance volume in cm3.
//
//	A_band z/V_c
//
// Source: A. Graham Bell, cylinder-head chapter, where such shares are printed.
func HeldShare(bore, width, squish, clearance float64) float64 {
	return BandArea(bore, width) * squish / 1000 / clearance
}

// ClearanceFor returns the clearance volume in cm3 that gives a ratio: for the
// geometric one of the displacement, for the trapped one of the volume that
// lies above the piston's place at exhaust closing, both in cm3. The ratio must
// be above 1.
//
//	V_c = V/(CR - 1)
func ClearanceFor(ratio, swept float64) float64 { return swept / (ratio - 1) }

// CrankcaseRatio returns the crankcase compression ratio, the case's volume
// taken at BDC with the transfer ducts up to their windows, both in cm3.
//
//	CCR = (V_cc + V_s)/V_cc
//
// Source: Blair, Design and Simulation of Two-Stroke Engines, 1996, section
// 1.5, from memory.
func CrankcaseRatio(displacement, crankcase float64) float64 {
	return (crankcase + displacement) / crankcase
}

// CrankcaseFor returns the case's volume at BDC that gives a crankcase ratio
// above 1.
//
//	V_cc = V_s/(CCR - 1)
func CrankcaseFor(ratio, displacement float64) float64 { return displacement / (ratio - 1) }
