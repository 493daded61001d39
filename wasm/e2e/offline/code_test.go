package offline

import (
	"testing"

	"portwright/wasm/e2e/chrome"
)

// unlike makes the module of what the server sends and returns "" when it is
// byte for byte the one that was linked, whose SHA-256 the service worker has.
const unlike = `(async () => {
  const worker = await (await fetch("/sw.js")).text();
  const [path, sum] = JSON.parse(/^const CODE = (.*?);/m.exec(worker)[1]);
  const sent = new Uint8Array(await (await fetch(path, { cache: "no-store" })).arrayBuffer());
  if (String.fromCharCode(...sent.subarray(1, 4)) !== "pws") return "what is sent is not squeezed";
  const made = portwrightModule(sent);
  const is = btoa(String.fromCharCode(...new Uint8Array(await crypto.subtle.digest("SHA-256", made))));
  if (is !== sum) return "the module has SHA-256 " + is + ", want " + sum;
  if (!WebAssembly.validate(made)) return "the module is not valid";
  if (portwrightModule(made) !== made) return "a module does not stay as it is";
  try { portwrightModule(sent.subarray(0, sent.length - 9)); return "half of it is taken for whole"; } catch { return ""; }
})()`

func TestCodeBecomesTheModule(t *testing.T) {
	for what, v := range map[string]version{"the app": realApp(t, "a"), "a small one": packed(t, "stub", "a")} {
		s := newSite(t, v)
		b := phone(t)
		b.Goto(s.URL)
		b.WaitFor(`self.portwrightModule`, soon)
		if fault := chrome.MustEval[string](b, unlike); fault != "" {
			t.Errorf("%s: %s", what, fault)
		}
	}
}
