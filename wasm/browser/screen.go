//go:build js && wasm

package browser

import "syscall/js"

// screen keeps the screen awake while that is wanted. The browser takes the
// lock away whenever the page is hidden.
type screen struct {
	wanted bool
	asking bool
	lock   js.Value
}

func (s *screen) awake(on bool) {
	s.wanted = on
	if on {
		s.ask()
		return
	}
	if s.held() {
		s.lock.Call("release")
	}
	s.lock = js.Undefined()
}

func (s *screen) held() bool {
	return s.lock.Type() == js.TypeObject && !s.lock.Get("released").Truthy()
}

// ask asks for the lock when it is wanted, not held and the page is shown.
func (s *screen) ask() {
	wakeLock := global.Get("navigator").Get("wakeLock")
	if !s.wanted || s.asking || s.held() || !shown() || !callable(wakeLock, "request") {
		return
	}
	s.asking = true
	go func() {
		defer crashed()
		lock, err := await(wakeLock.Call("request", "screen"))
		s.asking = false
		if err != nil {
			return // a low battery, or a setting: the screen sleeps as usual
		}
		s.lock = lock
		if !s.wanted {
			s.awake(false)
		}
	}()
}

func shown() bool { return text(document.Get("visibilityState")) != "hidden" }

// perform has browser.js vibrate, sound or speak; a device that can't says nothing.
func perform(what string, args ...any) {
	if signs := global.Get("portwrightSigns"); callable(signs, what) {
		_ = try(func() { signs.Call(what, args...) })
	}
}

// appear sets data-theme and data-hand on the page; style sheets do the rest.
func appear(theme, hand string) {
	set := document.Get("documentElement").Get("dataset")
	for name, value := range map[string]string{"theme": theme, "hand": hand} {
		if value == "" {
			set.Delete(name)
		} else {
			set.Set(name, value)
		}
	}
}

// focusOn moves the focus to the element with this id, if there is one.
func focusOn(id string) {
	if el := document.Call("getElementById", id); el.Truthy() {
		el.Call("focus")
	}
}
