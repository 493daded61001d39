package e2e

import (
	"slices"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
)

// A device with two English voices, of which one sends the words away, and one
// that is not English.
const voices = `(() => {
  window.signs = [];
  window.local = true;
  Object.defineProperty(window, "SpeechSynthesisUtterance", { value: class { constructor(text) { this.text = text; } } });
  Object.defineProperty(window, "speechSynthesis", { value: {
    getVoices: () => [{ name: "away", lang: "en-GB", localService: false, default: true }, { name: "fremd", lang: "de-DE", localService: true }, { name: "here", lang: "en-US", localService: true }].filter(v => window.local || !v.localService),
    cancel() {}, speak(u) { window.signs.push(u.voice.name + ": " + u.text); },
  } });
  navigator.vibrate = ms => window.signs.push("vibrates");
  const start = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (...at) { window.signs.push("sounds"); return start.apply(this, at); };
})()`

// A kept value vibrates by itself, sounds and is spoken when that was chosen,
// and never by a voice that is not on the device.
func TestSignsOnTheDevice(t *testing.T) {
	p := openApp(t, voices)
	gives := func(what string, want ...string) {
		t.Helper()
		time.Sleep(200 * time.Millisecond)
		got := chrome.MustEval[[]string](p, `window.signs.splice(0)`)
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", what, got, want)
		}
	}
	p.toBench()
	p.reads("104.5")
	gives("by itself", "vibrates")
	p.Tap(".strip .place")
	p.TapText("Tone")
	p.TapText("Spoken")
	p.TapText("Vibration")
	shot(p.Page, "bench_signs")
	p.TapText("Back to the question")
	p.reads("104")
	gives("chosen", "here: exhaust opens, 104 degrees, kept, second reading, spread half a degree", "sounds")
	p.Do(`window.local = false`)
	p.reads("104")
	gives("without a voice of its own", "sounds")
	if errs := p.ConsoleErrors(); len(errs) > 0 {
		t.Errorf("the page reports %q", errs)
	}
}
