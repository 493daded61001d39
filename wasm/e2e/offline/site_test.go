package offline

import (
	"context"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"portwright/server/httpapi"
	"portwright/static/pack"
	"portwright/static/release"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/drive"
)

// version is one packed build of a small app.
type version struct {
	id   string
	dist fs.FS
}

var (
	workDir  string
	compiled sync.Map // app's folder: func() (*pack.App, error)
	versions sync.Map // app and stamp: func() (version, error)
)

func TestMain(m *testing.M) {
	os.Exit(func() int {
		dir, err := os.MkdirTemp("", "portwright-offline-")
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
		defer os.RemoveAll(dir)
		workDir = dir
		return m.Run()
	}())
}

// packed returns the build of one of the apps in testdata with a stamp; the
// same app with another stamp is another build.
func packed(t *testing.T, app, stamp string) version {
	t.Helper()
	return packedMain(t, "./wasm/e2e/offline/testdata/"+app, stamp)
}

func packedMain(t *testing.T, main, stamp string) version {
	t.Helper()
	root, err := pack.Root()
	if err != nil {
		t.Fatal(err)
	}
	compile, _ := compiled.LoadOrStore(main, sync.OnceValues(func() (*pack.App, error) { return pack.Compile(root, main) }))
	build, _ := versions.LoadOrStore(main+" "+stamp, sync.OnceValues(func() (version, error) {
		code, err := compile.(func() (*pack.App, error))()
		if err != nil {
			return version{}, err
		}
		dir := filepath.Join(workDir, filepath.Base(main)+"-"+stamp)
		res, err := pack.Build(pack.Options{Root: root, Out: dir, App: code, Stamp: stamp, Fast: true})
		if err != nil {
			return version{}, err
		}
		return version{id: res.Build, dist: os.DirFS(dir)}, nil
	}))
	v, err := build.(func() (version, error))()
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// file returns a file of the version by its name below the base.
func (v version) file(t *testing.T, name string) []byte {
	t.Helper()
	data, err := fs.ReadFile(v.dist, "b/"+v.id+"/"+name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func (v version) path(name string) string { return release.Base(v.id) + name }

// A fault answers a request in place of the server; false: it does not apply.
type fault func(w http.ResponseWriter, r *http.Request) bool

// site is a server at one address whose build, faults and presence change.
type site struct {
	URL string

	t    *testing.T
	addr string

	mu      sync.Mutex
	handler http.Handler
	fault   fault
	asked   []string // paths, in order
	stop    func()
}

func newSite(t *testing.T, v version) *site {
	t.Helper()
	s := &site{t: t, addr: "127.0.0.1:0"}
	s.serve(httpapi.Config{Dist: v.dist})
	s.up()
	t.Cleanup(s.down)
	return s
}

// serve changes what is served.
func (s *site) serve(c httpapi.Config) {
	s.t.Helper()
	h, err := httpapi.New(c)
	if err != nil {
		s.t.Fatal(err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.handler = h
}

// update serves another version, as a new program on the shop PC does that
// keeps the one before.
func (s *site) update(to version, before ...version) {
	s.t.Helper()
	c := httpapi.Config{Dist: to.dist}
	for _, v := range before {
		c.Earlier = append(c.Earlier, v.dist)
	}
	s.serve(c)
}

func (s *site) harm(f fault) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.fault = f
}

// requests returns how often a path was asked for.
func (s *site) requests(path string) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := 0
	for _, p := range s.asked {
		if p == path {
			n++
		}
	}
	return n
}

func (s *site) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	s.asked = append(s.asked, r.URL.Path)
	h, f := s.handler, s.fault
	s.mu.Unlock()
	if f == nil || !f(w, r) {
		h.ServeHTTP(w, r)
	}
}

// up listens at the site's address; down leaves nothing that answers there.
func (s *site) up() {
	s.t.Helper()
	ln, err := net.Listen("tcp", s.addr)
	if err != nil {
		s.t.Fatal(err)
	}
	s.addr = ln.Addr().String()
	s.URL = fmt.Sprintf("http://localhost:%d/", ln.Addr().(*net.TCPAddr).Port)
	srv := &http.Server{Handler: s, ReadHeaderTimeout: 5 * time.Second}
	go func() { _ = srv.Serve(ln) }()
	s.mu.Lock()
	s.stop = func() { _ = srv.Close() }
	s.mu.Unlock()
}

func (s *site) down() {
	s.mu.Lock()
	stop := s.stop
	s.stop = nil
	s.mu.Unlock()
	if stop != nil {
		stop()
	}
	until := time.Now().Add(5 * time.Second)
	for time.Now().Before(until) {
		ctx, end := context.WithTimeout(context.Background(), time.Second)
		conn, err := new(net.Dialer).DialContext(ctx, "tcp", s.addr)
		end()
		if err != nil {
			return
		}
		conn.Close()
	}
}

// phone opens a browser of phone size with a profile that outlives restarts.
func phone(t *testing.T) *chrome.Browser {
	t.Helper()
	return chrome.Start(t, chrome.Options{ProfileDir: t.TempDir(), Width: 360, Height: 640, Mobile: true})
}

const soon = 15 * time.Second

// showsBuild waits until the page shows the app of this version.
func showsBuild(p drive.Page, v version) {
	p.WaitFor(fmt.Sprintf(`document.querySelector("#build")?.textContent === %q && document.querySelector("#opening").hidden`, v.id), soon)
}

// installed opens the version and waits until it could start without a server.
func installed(s *site, p drive.Page, v version) {
	s.t.Helper()
	p.Goto(s.URL)
	showsBuild(p, v)
	p.WaitFor(`document.querySelector("#offline").textContent === "yes" && !!navigator.serviceWorker.controller`, soon)
}

// checkForUpdate makes the browser look for a new version and waits for what
// becomes of it: "installed", "redundant" or "none".
func checkForUpdate(p *chrome.Page) string { return chrome.MustEval[string](p, checking) }

const checking = `(async () => {
		const reg = await navigator.serviceWorker.getRegistration("/");
		const found = new Promise(done => reg.addEventListener("updatefound", () => done(reg.installing), { once: true }));
		try { await reg.update(); } catch (err) { return "none"; }
		const worker = await Promise.race([found, new Promise(done => setTimeout(() => done(reg.installing || reg.waiting), 1500))]);
		if (!worker) return "none";
		if (worker.state === "installing") await new Promise(done => worker.addEventListener("statechange", done, { once: true }));
		return worker.state;
	})()`

// caches lists the kept builds.
func caches(p *chrome.Page) []string {
	return chrome.MustEval[[]string](p, `caches.keys().then(names => names.filter(n => n !== "portwright-order").sort())`)
}

// onRepair waits for the repair page.
func onRepair(p drive.Page) {
	p.WaitFor(`location.pathname === "/repair" && document.querySelector("h1")?.textContent === "Repair"`, soon)
}
