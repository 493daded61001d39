package offline

import (
	"bytes"
	"encoding/json"
	"image"
	_ "image/png"
	"io/fs"
	"path"
	"strings"
	"testing"

	"portwright/wasm/e2e/chrome"
)

type manifest struct {
	ID, Name, Display, Scope string
	ShortName                string `json:"short_name"`
	StartURL                 string `json:"start_url"`
	ThemeColor               string `json:"theme_color"`
	BackgroundColor          string `json:"background_color"`
	Icons                    []struct{ Src, Sizes, Type, Purpose string }
}

// What Chromium asks of an installable app (developer.chrome.com, "What does
// it take to be installable?"): a name, a start page, display standalone, PNG
// icons of 192 and 512 pixels. The maskable one is for Android's shapes.
func TestManifest(t *testing.T) {
	a := packed(t, "stub", "a")
	var m manifest
	if err := json.Unmarshal(a.file(t, "manifest.webmanifest"), &m); err != nil {
		t.Fatal(err)
	}
	for name, got := range map[string]string{"id": m.ID, "start_url": m.StartURL, "scope": m.Scope} {
		if got != "/" {
			t.Errorf("%s is %q, want /", name, got)
		}
	}
	if m.Name == "" || m.ShortName == "" || len(m.ShortName) > 12 || m.Display != "standalone" || m.ThemeColor == "" || m.BackgroundColor == "" {
		t.Errorf("the manifest is not complete: %+v", m)
	}
	have := map[string]bool{}
	for _, icon := range m.Icons {
		data, err := fs.ReadFile(a.dist, "b/"+a.id+icon.Src)
		if err != nil {
			t.Errorf("icon: %v", err)
			continue
		}
		if path.Ext(icon.Src) != ".png" {
			continue
		}
		have[icon.Sizes+" "+icon.Purpose] = true
		conf, kind, err := image.DecodeConfig(bytes.NewReader(data))
		if err != nil || kind != "png" || icon.Type != "image/png" {
			t.Errorf("%s is %s, %v, declared as %s", icon.Src, kind, err, icon.Type)
		}
		if conf.Width != conf.Height || !strings.HasPrefix(icon.Sizes, itoa(conf.Width)+"x") {
			t.Errorf("%s is %d x %d, declared as %s", icon.Src, conf.Width, conf.Height, icon.Sizes)
		}
	}
	for _, want := range []string{"192x192 any", "512x512 any", "512x512 maskable"} {
		if !have[want] {
			t.Errorf("there is no icon for %s", want)
		}
	}
}

func itoa(n int) string {
	b, _ := json.Marshal(n)
	return string(b)
}

func TestInstallable(t *testing.T) {
	a := packed(t, "stub", "a")
	s := newSite(t, a)
	b := phone(t)
	installed(s, b.Page, a)
	if errs := b.InstallErrors(); len(errs) > 0 {
		t.Errorf("the browser finds in the way of installing: %q", errs)
	}
	b.Goto(s.URL) // the manifest's start page
	showsBuild(b.Page, a)
	if got := chrome.MustEval[string](b, `navigator.serviceWorker.controller?.scriptURL`); got != s.URL+"sw.js" {
		t.Errorf("the start page is controlled by %q", got)
	}
	s.down()
	b.Goto(s.URL)
	showsBuild(b.Page, a)
	for _, icon := range []string{"wheel-192.png", "wheel-512.png", "wheel-maskable-512.png", "wheel.svg"} {
		if n := chrome.MustEval[int](b, `fetch("/icon/`+icon+`", { cache: "no-store" }).then(a => a.status)`); n != 200 {
			t.Errorf("without the server /icon/%s answers %d", icon, n)
		}
	}
}

// The page says something before the app is there, in a real document: a name,
// a language, a description, one heading, and no inline script or style that
// the policy would refuse.
func TestOpeningPageBeforeTheApp(t *testing.T) {
	a := packed(t, "hang", "a")
	s := newSite(t, a)
	b := phone(t)
	b.Goto(s.URL)
	b.WaitFor(`document.querySelector("#opening h1").getBoundingClientRect().height > 20`, soon)
	if got := b.Text("#opening"); !strings.Contains(got, "Portwright") || !strings.Contains(got, "Opening the book") {
		t.Errorf("before the app the page says %q", got)
	}
	b.WaitFor(`!document.querySelector("#opening-slow").hidden`, soon)
	if wide := chrome.MustEval[int](b, `document.documentElement.scrollWidth`); wide > 360 {
		t.Errorf("the opening page is %d px wide on a screen of 360", wide)
	}
	if lang := chrome.MustEval[string](b, `document.documentElement.lang`); lang != "en" {
		t.Errorf("language %q", lang)
	}
	b.Tap("#opening-slow a")
	onRepair(b.Page)
	if wide := chrome.MustEval[int](b, `document.documentElement.scrollWidth`); wide > 360 {
		t.Errorf("the repair page is %d px wide on a screen of 360", wide)
	}
	if errs := b.ConsoleErrors(); len(errs) > 0 {
		t.Errorf("reports: %q", errs)
	}
}
