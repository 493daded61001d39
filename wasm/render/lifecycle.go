package render

import "github.com/vugu/vugu"

// firsts remembers which components were shown, to tell their first time.
type firsts struct {
	seen map[any]int // component -> the render it was last shown in
	pass int
}

// first says whether c is shown for the first time.
func (f *firsts) first(c any) bool {
	if f.seen == nil {
		f.seen = map[any]int{}
	}
	_, known := f.seen[c]
	f.seen[c] = f.pass
	return !known
}

// sweep forgets what is no longer shown; shown is how many were.
func (f *firsts) sweep(shown int) {
	if len(f.seen) > shown {
		for c, pass := range f.seen {
			if pass != f.pass {
				delete(f.seen, c)
			}
		}
	}
	f.pass++
}

type renderedPlain interface{ Rendered() }

type renderedWith interface {
	Rendered(ctx vugu.RenderedCtx)
}

func hasRendered(c any) bool {
	switch c.(type) {
	case renderedPlain, renderedWith:
		return true
	}
	return false
}

// shown is the context that Rendered gets.
type shown struct {
	env   vugu.EventEnv
	first bool
}

func (s *shown) EventEnv() vugu.EventEnv { return s.env }
func (s *shown) First() bool             { return s.first }

// lifecycle calls Rendered on every component that has it, inner ones before
// outer ones, the root last.
func (r *Renderer) lifecycle() {
	list := r.tree.rendered
	for _, c := range list {
		first := r.first.first(c)
		r.guarded("Rendered", func() {
			switch c := c.(type) {
			case renderedPlain:
				c.Rendered()
			case renderedWith:
				c.Rendered(&shown{env: r.EventEnv(), first: first})
			}
		})
	}
	r.first.sweep(len(list))
}

// env is vugu's view of the turns, for goroutines of components.
type env struct{ r *Renderer }

// EventEnv returns vugu's lock. Lock waits for the turn, so it is for
// goroutines only: handlers, Rendered and functions given to Do have it.
func (r *Renderer) EventEnv() vugu.EventEnv { return env{r} }

func (e env) Lock() { e.r.turns.enter() }

func (e env) UnlockOnly() { e.r.work() }

func (e env) UnlockRender() {
	e.r.dirty = true
	e.r.work()
}

func (e env) RLock()   { e.r.turns.enter() }
func (e env) RUnlock() { e.r.work() }
