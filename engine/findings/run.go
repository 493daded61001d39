package findings

import (
	"math"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// Format and Version mark what Run returns.
const (
	Format  = "portwright-findings"
	Version = 1
)

// Run returns what the readings of a build say, pass by pass, with the
// corrections that stand in the document and the remedies named in opt in
// force. The document is not changed.
//
// The error joins what can't be as *unit.InputError (see build.Check); a code
// in opt.Apply that is no problem of this build is one too.
func Run(b *build.Build, opt Options) (*Result, error) {
	if err := build.Check(b); err != nil {
		return nil, err
	}
	j := &job{Options: opt}
	b, err := applyAll(b, j)
	if err != nil {
		return nil, err
	}
	return run(b, j)
}

func applyAll(b *build.Build, j *job) (*build.Build, error) {
	for _, code := range j.Apply {
		var err error
		if b, err = applyCode(b, code, j); err != nil {
			return nil, err
		}
	}
	return b, nil
}

// job is one run: its options, and what it has worked out that all passes
// share.
type job struct {
	Options
	students
}

func run(b *build.Build, j *job) (*Result, error) {
	r := &Result{Format: Format, Version: Version, Passes: make([]PassResult, 0, len(b.Passes)), Comparisons: []Comparison{}}
	states := make([]*state, 0, len(b.Passes))
	for i := range b.Passes {
		s, err := newState(b, i, j, nil)
		if err != nil {
			return nil, err
		}
		states = append(states, s)
		r.Passes = append(r.Passes, s.result())
	}
	r.Comparisons = compare(states)
	return r, nil
}

// Apply returns a copy of the build with a problem's remedy added to the
// corrections of a pass, counted from 0. The copy shares everything that it
// does not change; taking the last correction out again undoes it.
func Apply(b *build.Build, pass int, p Problem) (*build.Build, error) {
	if pass < 0 || pass >= len(b.Passes) {
		return nil, &unit.InputError{Field: "pass", Value: strconv.Itoa(pass),
			Reason: unit.Sprintf("must be the place of a pass, 0 to %d", len(b.Passes)-1)}
	}
	if p.Remedy == nil {
		return nil, &unit.InputError{Field: "problem", Value: strconv.Quote(p.Code),
			Reason: "must have a remedy; this one is put right at the engine: " + p.Text}
	}
	out := *b
	out.Passes = append([]build.Pass(nil), b.Passes...)
	to := &out.Passes[pass]
	to.Corrections = append(append([]build.Correction(nil), to.Corrections...), *p.Remedy)
	return &out, nil
}

// applyCode applies the remedy of every problem with a code, in every pass.
// After each the pass is looked at again, so that two wild readings come out
// one after the other.
func applyCode(b *build.Build, code string, j *job) (*build.Build, error) {
	if !KnownCode(code) {
		return nil, &unit.InputError{Field: "--apply", Value: strconv.Quote(code),
			Reason: "must be one of " + strings.Join(Codes(), ", ")}
	}
	applied := false
	var without *Problem
	for i := range b.Passes {
		// Each round answers one more problem; a pass can't have more of one
		// kind than it has readings.
		for range len(b.Passes[i].Readings) + 1 {
			p, err := findCode(b, i, code, j)
			if err != nil {
				return nil, err
			}
			if p == nil {
				break
			}
			if p.Remedy == nil {
				without = p
				break
			}
			if b, err = Apply(b, i, *p); err != nil {
				return nil, err
			}
			applied = true
		}
	}
	switch {
	case applied:
		return b, nil
	case without != nil:
		return nil, &unit.InputError{Field: "--apply", Value: strconv.Quote(code),
			Reason: "must be a problem with a remedy; this one is put right at the engine: " + without.Text}
	}
	return nil, &unit.InputError{Field: "--apply", Value: strconv.Quote(code),
		Reason: "must be a problem that this file shows; run without it to see which there are"}
}

// findCode returns the first problem of a pass with a code, one with a remedy
// before one without.
func findCode(b *build.Build, pass int, code string, j *job) (*Problem, error) {
	s, err := newState(b, pass, j, nil)
	if err != nil {
		return nil, err
	}
	problems := s.diagnose()
	var found *Problem
	for i := range problems {
		if p := &problems[i]; p.Code == code && (found == nil || found.Remedy == nil && p.Remedy != nil) {
			found = p
		}
	}
	return found, nil
}

func tidied(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	t := unit.Tidy(v)
	return &t
}
