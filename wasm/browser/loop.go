package browser

import "portwright/wasm/app"

// Loop owns the model: messages go in, Update changes the model, the view is
// made once per batch, and the effects are carried out when it is on the
// screen. All of its methods but Put run one at a time: in main until the book
// is loaded, then in the renderer's turns.
type Loop struct {
	Model *app.Model
	Fresh func() app.Input // the time, and an ID for each message
	Run   func(app.Effect)
	Crash func(cause any) // says that the app has stopped

	Crashed func() bool // a fault outside of the loop has stopped the app

	inbox *Inbox
	turn  func() // takes what waits in a turn of the renderer
	due   []app.Effect
	dead  bool
}

// NewLoop returns a loop with an empty inbox.
func NewLoop(m *app.Model) *Loop { return &Loop{Model: m, inbox: NewInbox()} }

// Put takes a message from anywhere, in any goroutine, and never blocks.
func (l *Loop) Put(m app.Msg) {
	l.inbox.Put(m)
	if l.turn != nil {
		l.turn()
	}
}

// Open works without a view until the book is loaded: there is nothing to show
// before, and the page's own text stands there.
func (l *Loop) Open() {
	for !l.Model.Ready && !l.dead {
		l.take(l.inbox.Take())
		l.Rendered()
	}
}

// Live goes on in turns of the renderer. show puts the model into the view;
// the renderer draws it when the turn is over.
func (l *Loop) Live(turn func(func()), show func(*app.Model)) {
	view := func() {
		if !l.dead {
			l.safely(func() { show(l.Model) })
		}
	}
	l.turn = func() {
		turn(func() {
			// A turn that finds nothing was overtaken by one that took it all.
			if messages := l.inbox.Drain(); len(messages) > 0 {
				l.take(messages)
				view()
			}
		})
	}
	turn(view)
	l.turn()
}

// Rendered carries out the effects of what is on the screen now.
func (l *Loop) Rendered() {
	due := l.due
	l.due = nil
	for _, e := range due {
		l.safely(func() { l.Run(e) })
	}
}

// Stop ends the loop for a fault anywhere in the app: what goes on with a
// broken state could keep something wrong.
func (l *Loop) Stop(cause any) {
	if l.dead {
		return
	}
	l.dead = true
	l.due = nil
	l.Crash(cause)
}

func (l *Loop) take(messages []app.Msg) {
	for _, m := range messages {
		if l.dead || l.Crashed() {
			return
		}
		l.safely(func() { l.due = append(l.due, l.Model.Update(m, l.Fresh())...) })
	}
}

func (l *Loop) safely(f func()) {
	defer func() {
		if r := recover(); r != nil {
			l.Stop(r)
		}
	}()
	f()
}
