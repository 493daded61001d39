package browser

import (
	"slices"
	"testing"

	"portwright/wasm/app"
)

// turns stands in for the renderer: one at a time, queued while one is taken,
// drawn once when nothing is left.
type turns struct {
	taken  bool
	queue  []func()
	drawn  func()
	draws  int
	shows  int    // how often a view was made
	inside func() // runs in the middle of the next turn, once
}

func (r *turns) do(f func()) {
	r.queue = append(r.queue, f)
	if r.taken {
		return
	}
	r.taken = true
	for len(r.queue) > 0 {
		for len(r.queue) > 0 {
			next := r.queue[0]
			r.queue = r.queue[1:]
			if in := r.inside; in != nil {
				r.inside = nil
				in()
			}
			next()
		}
		r.draws++
		r.drawn()
	}
	r.taken = false
}

// opened returns a loop whose book is loaded and the record of what it ran.
func opened(t *testing.T) (*Loop, *turns, *[]app.Effect, *[]any) {
	t.Helper()
	l := NewLoop(app.New())
	var ran []app.Effect
	var causes []any
	l.Fresh = func() app.Input { return app.Input{NowMS: 1, Fresh: "0190aaaa-0000-7000-8000-00000000ffff"} }
	l.Crash = func(cause any) { causes = append(causes, cause) }
	l.Crashed = func() bool { return false }
	l.Run = func(e app.Effect) {
		ran = append(ran, e)
		if _, ok := e.(app.LoadBook); ok && !l.Model.Ready {
			l.Put(app.BookLoaded{Device: "d"}) // answered from within an effect
		}
	}
	l.Put(app.Started{})
	l.Open()
	r := &turns{}
	r.drawn = l.Rendered
	l.Live(r.do, func(*app.Model) { r.shows++ })
	ran, r.draws, r.shows = nil, 0, 0
	return l, r, &ran, &causes
}

func TestEffectsRunOnceAndAfterTheirView(t *testing.T) {
	l, r, ran, _ := opened(t)
	shown := 0
	l.Run = func(e app.Effect) {
		*ran = append(*ran, e)
		shown = r.draws
	}
	l.Put(app.Go{Hash: "b/x/bench"})
	if len(*ran) != 1 || (*ran)[0] != (app.GoTo{Hash: "b/x/bench"}) || shown != 1 {
		t.Errorf("ran %v after %d draws, want GoTo once after the first", *ran, shown)
	}
}

func TestMessagesOfOneTurnAreDrawnOnce(t *testing.T) {
	l, r, ran, _ := opened(t)
	r.inside = func() {
		for _, hash := range []string{"1", "2", "3"} {
			l.Put(app.Go{Hash: hash})
		}
	}
	l.Put(app.Go{Hash: "0"})
	want := []app.Effect{app.GoTo{Hash: "0"}, app.GoTo{Hash: "1"}, app.GoTo{Hash: "2"}, app.GoTo{Hash: "3"}}
	if !slices.Equal(*ran, want) || r.draws != 1 || r.shows != 1 {
		t.Errorf("ran %v in %d draws of %d views, want %v in 1 of 1", *ran, r.draws, r.shows, want)
	}
}

func TestAFaultStopsTheLoopOnceAndForAll(t *testing.T) {
	l, _, ran, causes := opened(t)
	l.Run = func(e app.Effect) { panic("no such effect") }
	l.Put(app.Go{Hash: "x"})
	l.Put(app.Go{Hash: "y"})
	if len(*causes) != 1 || (*causes)[0] != "no such effect" || len(*ran) != 0 {
		t.Errorf("causes %v, ran %v", *causes, *ran)
	}

	l, _, ran, causes = opened(t)
	l.Model = nil // every Update panics now
	l.Put(app.Go{Hash: "x"})
	l.Put(app.Go{Hash: "y"})
	if len(*causes) != 1 || len(*ran) != 0 {
		t.Errorf("a fault in Update: causes %v, ran %v", *causes, *ran)
	}
}

func TestAFaultElsewhereStopsTheLoop(t *testing.T) {
	l, _, ran, _ := opened(t)
	l.Crashed = func() bool { return true }
	l.Put(app.Go{Hash: "x"})
	if len(*ran) != 0 {
		t.Errorf("ran %v behind the message that the app has stopped", *ran)
	}
}
