package trust

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/drive"
)

func TestChromiumDecides(t *testing.T) {
	certutil, ok := drive.Found(envCertutil, "certutil")
	if !ok {
		return
	}
	all, root := places(t)
	y := newYard(t, all)
	trustInHome(t, certutil, root)
	b := chrome.Start(t, chrome.Options{ProfileDir: t.TempDir(), Flags: []string{"--proxy-server=" + y.proxy.addr}})
	b.Goto(y.url)
	y.judge(t, all, b.Shows)
}

// trustInHome puts an authority where Chromium on Linux looks for a person's
// own: under the home folder, which is another one for this test.
func trustInHome(t *testing.T, certutil string, root []byte) {
	t.Helper()
	home := t.TempDir()
	t.Setenv("HOME", home)
	trustIn(t, certutil, filepath.Join(home, ".pki", "nssdb"), root)
}

func TestFirefoxDecides(t *testing.T) {
	certutil, ok := drive.Found(envCertutil, "certutil")
	if !ok {
		return
	}
	firefox, ok := drive.Found(drive.EnvFirefox, "firefox-esr", "firefox")
	if !ok {
		return
	}
	all, root := places(t)
	y := newYard(t, all)
	profile := t.TempDir()
	trustIn(t, certutil, profile, root)
	host, port, err := net.SplitHostPort(y.proxy.addr)
	if err != nil {
		t.Fatal(err)
	}
	// Everything by the proxy but this machine; nothing that phones home.
	prefs := fmt.Sprintf(`
user_pref("network.proxy.type", 1);
user_pref("network.proxy.http", %[1]q);
user_pref("network.proxy.http_port", %[2]s);
user_pref("network.proxy.ssl", %[1]q);
user_pref("network.proxy.ssl_port", %[2]s);
user_pref("network.captive-portal-service.enabled", false);
user_pref("network.connectivity-service.enabled", false);
user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("toolkit.telemetry.enabled", false);
user_pref("app.update.enabled", false);
user_pref("browser.shell.checkDefaultBrowser", false);
user_pref("browser.aboutwelcome.enabled", false);
user_pref("datareporting.policy.firstRunURL", "");
user_pref("security.enterprise_roots.enabled", false);
`, host, port)
	if err := os.WriteFile(filepath.Join(profile, "user.js"), []byte(prefs), 0o600); err != nil {
		t.Fatal(err)
	}
	said := &noted{}
	cmd := exec.Command(firefox, "--headless", "--no-remote", "--profile", profile, y.url)
	cmd.Env = append(os.Environ(), "HOME="+t.TempDir(), "MOZ_HEADLESS=1")
	cmd.Stdout, cmd.Stderr = said, said
	drive.OwnGroup(cmd)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { drive.EndGroup(cmd) })
	y.judge(t, all, said.String)
}
