package drive

import (
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"portwright/wasm/e2e/chrome"
)

// miniBrowser is WebKitGTK's own browser, which Debian installs with the driver.
const miniBrowser = "/usr/lib/*/webkit*/MiniBrowser"

// Kit is a running WebKitGTK on a display of its own.
type Kit struct{ *remote }

// WebKit starts WebKitGTK under Xvfb; ok is false where one of both is not
// installed. The window can't be narrower than the browser's own tool bar.
func WebKit(t chrome.T, opt Options) (k *Kit, ok bool) {
	t.Helper()
	driver, ok := Found(EnvWebKit, "WebKitWebDriver")
	if !ok {
		return nil, false
	}
	xvfb, ok := Found(EnvDisplay, "Xvfb")
	if !ok {
		return nil, false
	}
	browsers, _ := filepath.Glob(miniBrowser)
	if len(browsers) == 0 {
		fmt.Fprintf(os.Stderr, "!! NOT RUN: there is no %s\n", miniBrowser)
		return nil, false
	}
	home, err := os.MkdirTemp("", "portwright-webkit-")
	if err != nil {
		t.Fatalf("webkit: %v", err)
	}
	screen, err := startDisplay(xvfb, home)
	if err != nil {
		t.Fatalf("webkit: %v", err)
	}
	port, err := freePort()
	if err != nil {
		t.Fatalf("webkit: %v", err)
	}
	cmd := exec.Command(driver, fmt.Sprintf("--port=%d", port))
	// The sandbox needs namespaces that a container has not; the rest draws
	// without a graphics card.
	cmd.Env = append(os.Environ(), "HOME="+home, "XDG_CONFIG_HOME="+home, "XDG_DATA_HOME="+home, "XDG_CACHE_HOME="+home, "DISPLAY="+screen.name, "GDK_BACKEND=x11",
		"WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS=1", "WEBKIT_DISABLE_DMABUF_RENDERER=1", "LIBGL_ALWAYS_SOFTWARE=1", "NO_AT_BRIDGE=1", "GSETTINGS_BACKEND=memory")
	if err := os.WriteFile(filepath.Join(home, "user-dirs.dirs"), fmt.Appendf(nil, "XDG_DOWNLOAD_DIR=%q\n", opt.Downloads), 0o600); err != nil {
		t.Fatalf("webkit: %v", err)
	}
	OwnGroup(cmd)
	if err := cmd.Start(); err != nil {
		t.Fatalf("webkit: %v", err)
	}
	k = &Kit{&remote{t: t, name: "webkit"}}
	t.Cleanup(func() {
		if k.s != nil {
			k.s.end()
		}
		EndGroup(cmd)
		screen.end()
		_ = os.RemoveAll(home)
	})
	s, err := newSession(fmt.Sprintf("http://127.0.0.1:%d", port), browsers[0], screen)
	if err != nil {
		t.Fatalf("webkit: %v", err)
	}
	k.s = s
	if err := s.resize(opt.Width, opt.Height); err != nil {
		t.Fatalf("webkit: %v", err)
	}
	return k, true
}

// newSession waits for the driver and starts the browser.
func newSession(url, browser string, screen *display) (*webdriver, error) {
	want := map[string]any{"capabilities": map[string]any{"alwaysMatch": map[string]any{
		"webkitgtk:browserOptions": map[string]any{"binary": browser, "args": []string{"--automation"}},
	}}}
	for until := time.Now().Add(20 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		err := ask(http.MethodGet, url+"/status", nil, nil)
		if err == nil {
			break
		}
		if time.Now().After(until) {
			return nil, fmt.Errorf("the driver does not answer: %w", err)
		}
	}
	var got struct{ SessionID string }
	if err := ask(http.MethodPost, url+"/session", want, &got); err != nil {
		return nil, err
	}
	return &webdriver{url: url + "/session/" + got.SessionID, display: screen}, nil
}

func freePort() (int, error) {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return 0, err
	}
	defer ln.Close()
	return ln.Addr().(*net.TCPAddr).Port, nil
}
