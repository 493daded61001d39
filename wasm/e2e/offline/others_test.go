package offline

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"portwright/wasm/e2e/drive"
)

// others runs a test in the browsers besides Chromium that are installed.
func others(t *testing.T, run func(t *testing.T, p drive.Page)) {
	t.Run("firefox", func(t *testing.T) {
		t.Parallel()
		if p, ok := drive.Firefox(t, drive.Options{Width: 360, Height: 640, Downloads: t.TempDir()}); ok {
			run(t, p)
		}
	})
	t.Run("webkit", func(t *testing.T) {
		t.Parallel()
		if p, ok := drive.WebKit(t, drive.Options{Width: 360, Height: 640, Downloads: t.TempDir()}); ok {
			run(t, p)
		}
	})
}

// Each browser installs a version whole or not at all, lets it wait for a tap,
// starts without the server, and mends what was damaged.
func TestVersionsInOtherBrowsers(t *testing.T) {
	a, next := packed(t, "stub", "a"), packed(t, "stub", "b")
	others(t, func(t *testing.T, p drive.Page) {
		check := func(want string) {
			t.Helper()
			if got := drive.Eval[string](t, p, checking); got != want {
				t.Fatalf("the install ended as %q, want %q", got, want)
			}
		}
		s := newSite(t, a)
		installed(s, p, a)
		s.down()
		p.Reload()
		showsBuild(p, a)
		s.up()

		s.update(next, a)
		s.harm(faults(next.path("app.code"), next.file(t, "app.code"), s)["one bit wrong"])
		check("redundant")
		p.WaitFor(fmt.Sprintf(`caches.keys().then(n => !n.includes("portwright-%s"))`, next.id), soon)
		s.harm(nil)
		p.Tap("#draft")
		p.TypeKeys("104.5")
		check("installed")
		p.WaitFor(waits(next), soon)
		time.Sleep(1500 * time.Millisecond) // time enough for a reload that must not come
		showsBuild(p, a)
		if got := drive.Eval[string](t, p, `document.querySelector("#draft").value`); got != "104.5" {
			t.Errorf("the draft is %q after the new version was installed", got)
		}
		p.Tap("#update")
		showsBuild(p, next)
		names := drive.Eval[[]string](t, p, `caches.keys().then(names => names.filter(n => n !== "portwright-order").sort())`)
		if want := sorted("portwright-"+a.id, "portwright-"+next.id); !slices.Equal(names, want) {
			t.Errorf("kept are %v, want own and previous %v", names, want)
		}

		drive.Eval[bool](t, p, put(next, `"<html>login</html>"`))
		p.Reload()
		showsBuild(p, next) // with the server there it heals by itself
		drive.Eval[bool](t, p, put(next, `"<html>login</html>"`))
		s.down()
		p.Goto(s.URL)
		onRepair(p)
		s.up()
		p.Tap("#check")
		p.WaitFor(`document.querySelector("#said").textContent.includes("1 fetched again")`, soon)
		s.down()
		p.Tap("#open")
		showsBuild(p, next)
	})
}
