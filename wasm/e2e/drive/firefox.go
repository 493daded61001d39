package drive

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"portwright/wasm/e2e/chrome"
)

// Options say which window to open; Downloads is where files go.
type Options struct {
	Width, Height int // CSS pixels
	Downloads     string
}

// quiet keeps Firefox to this machine, without questions and first-run pages.
// The profile is an ordinary one, not a private window: that has no service
// worker.
const quiet = `
user_pref("remote.active-protocols", 1);
user_pref("browser.download.folderList", 2);
user_pref("browser.download.dir", %q);
user_pref("browser.download.useDownloadDir", true);
user_pref("browser.download.always_ask_before_handling_new_types", false);
user_pref("network.captive-portal-service.enabled", false);
user_pref("network.connectivity-service.enabled", false);
user_pref("network.dns.disabled", true);
user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("datareporting.policy.firstRunURL", "");
user_pref("toolkit.telemetry.enabled", false);
user_pref("app.update.enabled", false);
user_pref("app.normandy.enabled", false);
user_pref("extensions.update.enabled", false);
user_pref("services.settings.server", "http://127.0.0.1:9/");
user_pref("browser.safebrowsing.malware.enabled", false);
user_pref("browser.safebrowsing.phishing.enabled", false);
user_pref("browser.shell.checkDefaultBrowser", false);
user_pref("browser.aboutwelcome.enabled", false);
user_pref("browser.startup.page", 0);
user_pref("browser.sessionstore.resume_from_crash", false);
user_pref("toolkit.startup.max_resumed_crashes", -1);
`

// Fox is a running Firefox with a profile of its own.
type Fox struct {
	*remote
	path, profile string
	opt           Options
}

// Firefox starts Firefox without a window; ok is false where it is not
// installed.
func Firefox(t chrome.T, opt Options) (f *Fox, ok bool) {
	t.Helper()
	path, ok := Found(EnvFirefox, "firefox-esr", "firefox")
	if !ok {
		return nil, false
	}
	profile, err := os.MkdirTemp("", "portwright-firefox-")
	if err == nil {
		err = os.WriteFile(filepath.Join(profile, "user.js"), fmt.Appendf(nil, quiet, opt.Downloads), 0o600)
	}
	if err != nil {
		t.Fatalf("firefox: a profile: %v", err)
	}
	f = &Fox{remote: &remote{t: t, name: "firefox"}, path: path, profile: profile, opt: opt}
	t.Cleanup(func() {
		f.Kill()
		_ = os.RemoveAll(profile)
	})
	f.Start()
	return f, true
}

// Kill ends Firefox and all its processes at once, as a flat battery would.
func (f *Fox) Kill() {
	if f.s != nil {
		f.s.end()
		f.s = nil
	}
}

// Start starts Firefox, after Kill again with the same profile.
func (f *Fox) Start() {
	f.t.Helper()
	told := filepath.Join(f.profile, "WebDriverBiDiServer.json")
	_ = os.Remove(told)
	cmd := exec.Command(f.path, "--headless", "--no-remote", "--profile", f.profile, "--remote-debugging-port=0")
	cmd.Env = append(os.Environ(), "HOME="+f.profile, "MOZ_HEADLESS=1")
	OwnGroup(cmd)
	if err := cmd.Start(); err != nil {
		f.t.Fatalf("firefox: %v", err)
	}
	end := func() { EndGroup(cmd) }
	s, err := f.connect(told, end)
	if err != nil {
		end()
		f.t.Fatalf("firefox: %v", err)
	}
	f.s = s
	size := map[string]any{"width": f.opt.Width, "height": f.opt.Height}
	if err := s.call("browsingContext.setViewport", map[string]any{"context": s.tab, "viewport": size}, nil); err != nil {
		f.t.Fatalf("firefox: %v", err)
	}
}

// connect waits until Firefox has written where it listens.
func (f *Fox) connect(told string, end func()) (*bidi, error) {
	for until := time.Now().Add(60 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		var at struct {
			Host string `json:"ws_host"`
			Port int    `json:"ws_port"`
		}
		data, err := os.ReadFile(told)
		if err == nil {
			err = json.Unmarshal(data, &at)
		}
		if err == nil && at.Port != 0 {
			return dialBidi(fmt.Sprintf("ws://%s:%d/session", at.Host, at.Port), end)
		}
		if time.Now().After(until) {
			return nil, fmt.Errorf("it does not say where it listens: %v", err)
		}
	}
}
