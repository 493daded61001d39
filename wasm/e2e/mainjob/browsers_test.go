package mainjob

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/drive"
	"portwright/wasm/e2e/served"
)

// A browser is one that the job is done in.
type browser struct {
	drive.Page
	name      string
	downloads string
	die       func() // a flat battery, and a new start; nil where a new start has a new profile
}

const width, height = 360, 640

// each runs a test in every browser that is installed; Chromium has to be.
func each(t *testing.T, run func(t *testing.T, b *browser)) {
	t.Run("chromium", func(t *testing.T) {
		t.Parallel() // mostly waiting for the page
		dir := t.TempDir()
		p := chrome.Start(t, chrome.Options{Width: width, Height: height, Mobile: true})
		p.Downloads(dir)
		run(t, &browser{p, "chromium", dir, func() { p.Kill9(); p.Restart(); p.Downloads(dir) }})
	})
	t.Run("firefox", func(t *testing.T) {
		t.Parallel() // mostly waiting for the page
		dir := t.TempDir()
		if p, ok := drive.Firefox(t, drive.Options{Width: width, Height: height, Downloads: dir}); ok {
			run(t, &browser{p, "firefox", dir, func() { p.Kill(); p.Start() }})
		}
	})
	t.Run("webkit", func(t *testing.T) {
		t.Parallel() // mostly waiting for the page
		dir := t.TempDir()
		if p, ok := drive.WebKit(t, drive.Options{Width: width, Height: height, Downloads: dir}); ok {
			run(t, &browser{p, "webkit", dir, nil})
		}
	})
}

const soon = 20 * time.Second

// open opens the app and waits until it is there without a network.
func (b *browser) open(t *testing.T) *served.Server {
	t.Helper()
	app := served.App(t)
	b.Goto(app.URL)
	b.WaitFor(`document.querySelector("[data-station=book]")`, 2*soon)
	b.WaitFor(`isSecureContext && portwright.offline === "yes"`, 2*soon)
	return app
}

// look measures what is shown, and keeps a picture for a person when SHOTS names
// a folder.
func (w *worker) look(name string) {
	w.t.Helper()
	for _, fault := range drive.Eval[[]string](w.t, w.Page, drive.Measure) {
		w.t.Errorf("%s: %s", name, fault)
	}
	if dir := os.Getenv("SHOTS"); dir != "" {
		w.Screenshot(filepath.Join(dir, name+"_"+w.name+".png"))
	}
}
