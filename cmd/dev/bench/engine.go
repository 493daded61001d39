package main

import (
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"portwright/cmd/dev/alone"
	"portwright/engine/build"
	"portwright/engine/build/demo"
	"portwright/engine/findings"
	"portwright/static/pack"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/served"
)

// findingsTimes measures the findings of the demo build, a full pass of five
// windows read three times each, here and in the slowed browser, and there also
// a cut list for it.
func findingsTimes(root string, r *alone.Runner) []row {
	var native []float64
	for range 201 {
		b, err := build.Decode(demo.Build())
		r.Must(err)
		start := time.Now()
		_, err = findings.Run(b, findings.Options{})
		r.Must(err)
		native = append(native, float64(time.Since(start).Microseconds())/1000)
	}
	url := measuringPage(root, r)
	b := phone(r, "")
	b.Goto(url)
	b.WaitFor(`typeof measured === "number"`, 2*time.Minute)
	web, cuts := chrome.MustEval[float64](b, "measured"), chrome.MustEval[float64](b, "planned")
	return []row{
		{"findings of a full pass, native, median of 201", "1 ms", fmt.Sprintf("%.2f ms", middle(native)), judge(middle(native), 1)},
		{"the same in the browser, CPU slowed 4x, median of 41", "16 ms", fmt.Sprintf("%.1f ms", web), judge(web, 16)},
		{"cut list for three targets there, median of 41", "50 ms", fmt.Sprintf("%.1f ms", cuts), judge(cuts, 50)},
	}
}

// measuringPage serves the measuring program alone on a page.
func measuringPage(root string, r *alone.Runner) string {
	code, err := pack.Compile(root, "./cmd/dev/bench/testdata/findings")
	r.Must(err)
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	r.Must(err)
	glue, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(goroot)), "lib", "wasm", "wasm_exec.js"))
	r.Must(err)
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	r.Must(err)
	srv := &http.Server{ReadHeaderTimeout: 5 * time.Second, Handler: http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		kind, body := "text/html", []byte(`<!doctype html><title>findings</title><link rel="icon" href="data:,"><script src="wasm_exec.js"></script><script src="start.js"></script>`)
		switch q.URL.Path {
		case "/wasm_exec.js":
			kind, body = "text/javascript", glue
		case "/start.js":
			kind, body = "text/javascript", []byte(`const go = new Go(); WebAssembly.instantiateStreaming(fetch("app.wasm"), go.importObject).then(r => go.run(r.instance));`)
		case "/app.wasm":
			kind, body = "application/wasm", code.Module
		}
		w.Header().Set("Content-Type", kind)
		_, _ = w.Write(body)
	})}
	go func() { _ = srv.Serve(ln) }()
	r.Cleanup(func() { _ = srv.Close() })
	return fmt.Sprintf("http://localhost:%d/", ln.Addr().(*net.TCPAddr).Port)
}

// serverStart measures from the start of the process to its first answer.
func serverStart(_ string, r *alone.Runner) []row {
	app := served.App(r)
	var took []float64
	for range 9 {
		app.Stop()
		begin := time.Now()
		app.Start()
		answer, err := http.Get(app.URL)
		r.Must(err)
		answer.Body.Close()
		took = append(took, time.Since(begin).Seconds())
	}
	return []row{{"server start to first answer, median of 9", "0.5 s", fmt.Sprintf("%.2f s (worst %.2f)", middle(took), share(took, 1)), judge(middle(took), 0.5)}}
}
