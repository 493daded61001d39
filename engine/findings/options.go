package findings

// Options say how findings are computed. The zero value is right for one file
// by itself.
type Options struct {
	// Apply names problems whose remedies are consented to for this run: each
	// is found and applied in turn. A code that no pass shows is an error.
	Apply []string
}

// What is taken where nothing was measured. Each is said in the results.
const (
	assumedScatter = 0.5  // deg; repeatability that people with a large wheel accept (common practice, no source)
	assumedDepth   = 0.1  // mm; a caliper's depth rod against a port's edge (common practice, no source)
	assumedDF      = 8.0  // an assumed scatter is trusted to about a quarter of itself: JCGM 100:2008, eq. (G.3)
	assumedStep    = 0.5  // deg
	depthStep      = 0.05 // mm; a caliper's vernier (common practice, no source)
	crownU         = 0.05 // mm; the crown's depth at TDC, measured (common practice, no source)
	crownUnknown   = 1.0  // mm either way; the crown's depth when it was not measured (common practice, no source)

	// A wheel zeroed without a stop: by the piston's highest point, which is
	// blind within about two degrees either way. Independent: in an engine of
	// stroke 34 mm and rod 60 mm 0.02 mm of travel span 2.45 deg each side.
	zeroByEye = 2.0 // deg either way
)
