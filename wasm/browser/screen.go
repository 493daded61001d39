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

const buzzMS = 30

// buzz vibrates shortly where the device can.
func buzz() {
	if navigator := global.Get("navigator"); callable(navigator, "vibrate") {
		_ = try(func() { navigator.Call("vibrate", buzzMS) })
	}
}

// say reads a text out, in place of what is being read out, where the device
// has a voice.
func say(what string) {
	synth, utterance := global.Get("speechSynthesis"), global.Get("SpeechSynthesisUtterance")
	if !callable(synth, "speak") || utterance.Type() != js.TypeFunction {
		return
	}
	_ = try(func() {
		synth.Call("cancel")
		synth.Call("speak", utterance.New(what))
	})
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
