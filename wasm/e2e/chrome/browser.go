package chrome

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"sync"
	"time"

	"github.com/chromedp/chromedp"
)

// T is the part of testing.TB that the harness needs, so that a measuring
// program can use it too.
type T interface {
	Helper()
	Logf(format string, args ...any)
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
	Cleanup(func())
}

// Options say which browser to start. The zero value is a 1280 x 800 window
// with a fresh profile.
type Options struct {
	ProfileDir    string        // kept after Close; empty: a temporary one
	Width, Height int           // CSS pixels
	Scale         float64       // device pixels per CSS pixel; 0 means 1
	Mobile        bool          // a phone: touch, viewport tag, overlay scrollbars
	CPUSlow       float64       // 4 makes the page's CPU 4 times slower
	Dark          bool          // prefers-color-scheme: dark
	ReducedMotion bool          // prefers-reduced-motion: reduce
	Flags         []string      // extra command line flags, "--name" or "--name=value"
	Patience      time.Duration // longest wait of one step; 0 means 20 s
}

// Browser is one running browser process. Its first tab is the embedded Page.
type Browser struct {
	*Page

	t       T
	opt     Options
	path    string
	profile string
	temp    bool

	mu     sync.Mutex
	cmd    *exec.Cmd
	cancel context.CancelFunc
	gone   bool
}

// Start starts a browser and arranges for its end with the test.
func Start(t T, opt Options) *Browser {
	t.Helper()
	path, err := Find()
	if err != nil {
		t.Fatalf("%v", err)
	}
	if opt.Width == 0 || opt.Height == 0 {
		opt.Width, opt.Height = 1280, 800
	}
	if opt.Scale == 0 {
		opt.Scale = 1
	}
	if opt.Patience == 0 {
		opt.Patience = 20 * time.Second
	}
	b := &Browser{t: t, opt: opt, path: path, profile: opt.ProfileDir, gone: true}
	if b.profile == "" {
		if b.profile, err = os.MkdirTemp("", "portwright-chrome-"); err != nil {
			t.Fatalf("chrome: a folder for the profile: %v", err)
		}
		b.temp = true
	}
	t.Cleanup(func() {
		b.Close()
		if b.temp {
			removeAll(b.profile)
		}
	})
	b.launch(&reports{})
	return b
}

// launch starts the process and opens the first tab.
func (b *Browser) launch(rep *reports) {
	b.t.Helper()
	flags := append([]chromedp.ExecAllocatorOption{}, chromedp.DefaultExecAllocatorOptions[:]...)
	flags = append(flags,
		chromedp.ExecPath(b.path),
		chromedp.UserDataDir(b.profile),
		chromedp.WindowSize(b.opt.Width, b.opt.Height),
		chromedp.Flag("disable-gpu", true),
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.Flag("no-pings", true),
		// Nothing but this machine: a test must not depend on the network.
		chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND, EXCLUDE localhost, EXCLUDE *.localhost, EXCLUDE 127.0.0.1, EXCLUDE [::1]"),
		chromedp.ModifyCmdFunc(func(cmd *exec.Cmd) {
			ownGroup(cmd)
			b.mu.Lock()
			b.cmd = cmd
			b.mu.Unlock()
		}),
	)
	for _, f := range b.opt.Flags {
		name, value, has := strings.Cut(strings.TrimLeft(f, "-"), "=")
		if has {
			flags = append(flags, chromedp.Flag(name, value))
		} else {
			flags = append(flags, chromedp.Flag(name, true))
		}
	}
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), flags...)
	ctx, stopTab := chromedp.NewContext(alloc)
	b.mu.Lock()
	b.gone = false
	b.cancel = func() { stopTab(); stopAlloc() }
	b.mu.Unlock()

	// The first call binds the process to its context, so it gets the whole
	// context and is bounded from outside.
	if err := bounded(30*time.Second, func() error { return chromedp.Do(ctx) }); err != nil {
		b.Kill9()
		b.t.Fatalf("chrome: %s did not start: %v", b.path, err)
	}
	page := &Page{b: b, t: b.t, ctx: ctx, reports: rep}
	if err := page.prepare(); err != nil {
		b.Kill9()
		b.t.Fatalf("chrome: the first tab: %v", err)
	}
	b.Page = page
}

// NewTab opens another page of the same browser, in its own window so that
// both count as visible. It ends with the browser or with its Close.
func (b *Browser) NewTab() *Page {
	b.t.Helper()
	ctx, stop := chromedp.NewContext(b.ctx)
	if err := bounded(b.opt.Patience, func() error { return chromedp.Do(ctx) }); err != nil {
		stop()
		b.t.Fatalf("chrome: a new tab: %v", err)
	}
	page := &Page{b: b, t: b.t, ctx: ctx, stop: stop, reports: &reports{}}
	if err := page.prepare(); err != nil {
		b.t.Fatalf("chrome: a new tab: %v", err)
	}
	return page
}

// PID is the process id of the browser, which is also its process group.
func (b *Browser) PID() int {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.gone || b.cmd == nil || b.cmd.Process == nil {
		return 0
	}
	return b.cmd.Process.Pid
}

// Kill9 kills the browser and all its processes at once, as a flat battery
// would, and returns when they are gone. The profile stays for Restart.
func (b *Browser) Kill9() {
	b.mu.Lock()
	cmd, cancel, gone := b.cmd, b.cancel, b.gone
	b.gone = true
	b.mu.Unlock()
	if gone {
		return
	}
	if cmd != nil && cmd.Process != nil {
		killGroup(cmd.Process, b.profile)
	}
	_ = bounded(5*time.Second, func() error { cancel(); return nil })
}

// Restart starts the browser again with the same profile, after Kill9 or
// Close; a running one is closed first. Reports of the page are kept.
func (b *Browser) Restart() {
	b.t.Helper()
	b.Close()
	b.launch(b.reports)
}

// Close ends the browser. A kept profile is closed in order, so that the
// browser writes what it holds back; a temporary one is killed.
func (b *Browser) Close() {
	b.mu.Lock()
	gone := b.gone
	b.mu.Unlock()
	if gone {
		return
	}
	if !b.temp && b.Page != nil {
		ctx, stop := context.WithTimeout(b.ctx, 8*time.Second)
		_ = bounded(10*time.Second, func() error { return chromedp.Cancel(ctx) })
		stop()
	}
	b.Kill9()
}

// Profile is the folder of the profile.
func (b *Browser) Profile() string { return b.profile }

// bounded runs f and gives up waiting for it after d.
func bounded(d time.Duration, f func() error) error {
	done := make(chan error, 1)
	go func() { done <- f() }()
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case err := <-done:
		return err
	case <-timer.C:
		return fmt.Errorf("no answer within %v", d)
	}
}

// removeAll removes a profile; a last process may still be writing in it.
func removeAll(dir string) {
	for range 20 {
		if os.RemoveAll(dir) == nil {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
}
