package sheet

import (
	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/sum"
)

// Of collects the sheet of a build with its plan, where the build has targets
// or moves. Where no plan can be made, the sheet says why, and noPlan is the
// error of plan.Run. Errors are those of New.
func Of(b *build.Build, opt Options) (s *Sheet, noPlan, err error) {
	if len(b.Moves) > 0 || len(b.Targets.List) > 0 || len(b.Targets.Extra) > 0 {
		if opt.Plan, noPlan = plan.Run(b, plan.Options{Apply: opt.Findings.Apply}); noPlan != nil {
			opt.Plan, opt.NoPlan = nil, noPlan.Error()
		}
	}
	s, err = New(b, opt)
	return s, noPlan, err
}

// Digest is by what the bytes of a file can be known again.
func Digest(file []byte) string {
	const digits = "0123456789abcdef" // package encoding/hex brings fmt with it
	out := "SHA-256 "
	for _, c := range sum.SHA256(file) {
		out += digits[c>>4:c>>4+1] + digits[c&15:c&15+1]
	}
	return out
}
