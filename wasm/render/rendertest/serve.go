//go:build !js

package rendertest

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"portwright/wasm/render"
)

// Policy is the strictest policy that the app itself lives under.
const Policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; connect-src 'self'; img-src 'self' data: blob:; font-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

const html = `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>Scenes</title><link rel="icon" href="data:,">
<link rel="stylesheet" href="/style.css">
<script src="/watch.js"></script><script src="/wasm_exec.js"></script><script src="/render.js"></script><script src="/boot.js" defer></script></head>
<body><div id="app"><p id="shell">opening</p></div></body></html>`

// watch collects what the policy refuses, before anything else runs.
const watch = `"use strict";
window.refused = []; window.seen = [];
document.addEventListener("securitypolicyviolation", e => refused.push(e.violatedDirective + " " + e.blockedURI + " " + e.sample));
if (location.search.includes("old")) delete Element.prototype.moveBefore;`

// boot starts the page's program and keeps it where a test can look into it.
const boot = `"use strict";
window.go = new Go();
window.functions = 0; // made by js.FuncOf
const make = go._makeFuncWrapper;
go._makeFuncWrapper = id => { functions++; return make.call(go, id); };
WebAssembly.instantiateStreaming(fetch("/page.wasm"), go.importObject).then(m => { window.ended = go.run(m.instance).then(() => { window.dead = true; }); });`

const style = `button { min-width: 48px; min-height: 30px } #scroll { height: 60px; overflow: auto }`

// Build compiles the page into dir and returns the file. flags go to the
// linker ("-s -w" for a size as shipped).
func Build(dir, flags string) (string, error) {
	out := filepath.Join(dir, "page.wasm")
	cmd := exec.Command("go", "build", "-trimpath", "-ldflags", flags, "-o", out, "portwright/wasm/render/rendertest/page")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if text, err := cmd.CombinedOutput(); err != nil {
		return "", fmt.Errorf("building the page: %w\n%s", err, text)
	}
	return out, nil
}

// Serve serves the page with a compiled program under Policy; "/#edit" shows
// scene "edit". "?old" takes moveBefore away, which only newer browsers have.
func Serve(wasm string) (*httptest.Server, error) {
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("asking for GOROOT: %w", err)
	}
	support, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return nil, err
	}
	text := func(kind, body string) http.HandlerFunc {
		return func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", kind)
			_, _ = w.Write([]byte(body))
		}
	}
	mux := http.NewServeMux()
	mux.HandleFunc("/{$}", text("text/html; charset=utf-8", html))
	mux.HandleFunc("/style.css", text("text/css", style))
	mux.HandleFunc("/watch.js", text("text/javascript", watch))
	mux.HandleFunc("/wasm_exec.js", text("text/javascript", string(support)))
	mux.HandleFunc("/render.js", text("text/javascript", render.Script))
	mux.HandleFunc("/boot.js", text("text/javascript", boot))
	mux.HandleFunc("/page.wasm", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "application/wasm")
		w.Header().Set("Cache-Control", "max-age=3600") // lets the browser keep what it compiled
		http.ServeFile(w, r, wasm)
	})
	return httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", Policy)
		w.Header().Set("X-Content-Type-Options", "nosniff")
		mux.ServeHTTP(w, r)
	})), nil
}
