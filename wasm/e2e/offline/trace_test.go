package offline

import (
	"strings"
	"testing"

	"portwright/static/pack"
	"portwright/wasm/e2e/chrome"
)

// A fault in the model ends in plain words. The trace in the console has no
// names, for the app carries none; with those of its build it tells where.
func TestATraceIsNamedByItsBuild(t *testing.T) {
	v := packed(t, "fault", "a")
	b := phone(t)
	b.Before(`window.errors = []; const say = console.error; console.error = (...said) => { errors.push(said.join(" ")); say(...said); };`)
	b.Goto(newSite(t, v).URL)
	b.WaitFor(`document.querySelector("#crashed")`, soon)
	trace := chrome.MustEval[string](b, `errors.join("\n")`)
	if strings.Contains(trace, "Update") {
		t.Errorf("the app has names in it:\n%s", trace)
	}
	named := withNames(t, v, trace)
	at := 0
	for _, want := range []string{
		"build " + v.id,
		" portwright/wasm/browser.Crash\n", " portwright/wasm/browser.(*Loop).Stop\n", " runtime.gopanic\n",
		" portwright/wasm/app.(*Model).Update\n", " portwright/wasm/browser.(*Loop).take\n", " main.main\n",
	} {
		i := strings.Index(named[at:], want)
		if i < 0 {
			t.Fatalf("no %q, or not after what was called from there:\n%s", want, named)
		}
		at += i
	}
}

// A panic that nothing catches is printed by the runtime itself.
func TestTheRuntimesOwnTraceIsNamed(t *testing.T) {
	v := packed(t, "crash", "a")
	b := phone(t)
	b.Before(`const log = console.log; console.log = (...said) => { sessionStorage.said = (sessionStorage.said || "") + said.join(" ") + "\n"; log(...said); };`)
	b.Goto(newSite(t, v).URL)
	onRepair(b.Page)
	named := withNames(t, v, chrome.MustEval[string](b, `sessionStorage.said`))
	if !strings.Contains(named, "panic: on purpose") || !strings.Contains(named, " main.main\n") {
		t.Errorf("the trace is\n%s", named)
	}
}

func withNames(t *testing.T, v version, trace string) string {
	t.Helper()
	names, err := pack.NamesOf(v.dist, []byte(trace))
	if err != nil {
		t.Fatal(err)
	}
	named, err := pack.Named([]byte(trace), names)
	if err != nil {
		t.Fatalf("%v:\n%s", err, trace)
	}
	return string(named)
}
