// Package alone stands in for a test, so that the browser harness can be used
// by programs that measure or take pictures.
package alone

import (
	"fmt"
	"os"
	"slices"
)

// Runner is what the harness reports to. A fatal report ends the work that
// Guard runs.
type Runner struct{ later []func() }

// stopped is why the work ended early.
type stopped string

func (r *Runner) Helper()                           {}
func (r *Runner) Logf(format string, args ...any)   { fmt.Printf(format+"\n", args...) }
func (r *Runner) Errorf(format string, args ...any) { fmt.Fprintf(os.Stderr, format+"\n", args...) }
func (r *Runner) Fatalf(format string, args ...any) { panic(stopped(fmt.Sprintf(format, args...))) }
func (r *Runner) Cleanup(f func())                  { r.later = append(r.later, f) }

// Must ends the work when err is not nil.
func (r *Runner) Must(err error) {
	if err != nil {
		r.Fatalf("%v", err)
	}
}

// Guard does the work and cleans up after it. The error is a fatal report.
func Guard(work func(r *Runner)) (err error) {
	r := &Runner{}
	defer func() {
		cause := recover()
		for _, f := range slices.Backward(r.later) {
			f()
		}
		if stop, ok := cause.(stopped); ok {
			err = fmt.Errorf("%s", string(stop))
		} else if cause != nil {
			panic(cause)
		}
	}()
	work(r)
	return nil
}
