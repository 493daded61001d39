package chrome

import (
	"time"

	"github.com/chromedp/cdproto/input"
)

// Hold touches the first element that matches at its centre and lifts the
// finger after d, as a gloved hand does that presses slowly. It does not wait
// for the element to be at rest.
func (p *Page) Hold(selector string, d time.Duration) {
	p.t.Helper()
	at := MustEval[spot](p, "(() => { "+Aim+"\nreturn aim.spot(aim.bySelector("+quote(selector)+")); })()")
	if at.Why != "" {
		p.fail("chrome: can't touch %s: %s", selector, at.Why)
	}
	one := 1.0
	down := input.DispatchTouchEventParams{
		Type:        input.DispatchTouchEventTypeTouchStart,
		TouchPoints: []*input.TouchPoint{{X: at.X, Y: at.Y, RadiusX: &one, RadiusY: &one, Force: &one}},
	}
	if _, err := call(p, input.DispatchTouchEvent, down); err != nil {
		p.fail("chrome: touching %s: %v", selector, err)
	}
	time.Sleep(d)
	up := input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchEnd, TouchPoints: []*input.TouchPoint{}}
	if _, err := call(p, input.DispatchTouchEvent, up); err != nil {
		p.fail("chrome: letting go of %s: %v", selector, err)
	}
}
