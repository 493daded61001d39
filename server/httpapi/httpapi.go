// Package httpapi is the server's HTTP side: the app's files, with the headers
// that keep them whole, current and apart from other sites, and the interface
// of server/PROTOCOL.md.
package httpapi

import (
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"strings"

	"github.com/gorilla/mux"

	"portwright/server"
	"portwright/static/release"
)

// Config says what is served.
type Config struct {
	Dist     fs.FS        // the packed build
	Earlier  []fs.FS      // builds that phones may still have
	Names    func() Names // by which this machine goes besides localhost; asked each time, since addresses change; nil: none
	Withdraw bool         // take the app's version back: browsers drop what they kept of it
	Keeper   Keeper       // of the entries; nil: the interface is not there
	Access   Access       // who may ask; nil: everybody, as tests do
	Shop     Shop         // the station of the PC itself; nil: it is not there
	Here     bool         // programs on this machine may ask without a token, at its own names
}

// Names are what this machine is called.
type Names struct {
	Hosts   []string // shop-pc.local, 192.168.1.7
	Origins []string // where the app may have been opened besides this address: https://192.168.1.7:8443
}

func (c Config) names() Names {
	if c.Names == nil {
		return Names{}
	}
	return c.Names()
}

// ErrNothingPacked says what to do when the program holds no app.
var ErrNothingPacked = errors.New("this program holds no app: it was compiled without it. Run: go run ./cmd/dev build")

// app is everything that can be answered.
type app struct {
	build string
	top   map[string]*asset // by path: pages and files with one address for ever
	files map[string]*asset // by path below /b/, of every build
}

// New returns the handler of the whole site.
func New(c Config) (http.Handler, error) {
	rel, files, err := loadBuild(c.Dist)
	if errors.Is(err, release.ErrNone) {
		return nil, ErrNothingPacked
	}
	if err != nil {
		return nil, err
	}
	a := &app{build: rel.Build, files: files, top: map[string]*asset{}}
	if err := a.addTop(c, rel); err != nil {
		return nil, err
	}
	for _, dist := range c.Earlier {
		earlier, more, err := loadBuild(dist)
		if err != nil {
			return nil, fmt.Errorf("earlier build: %w", err)
		}
		if earlier.Build == rel.Build {
			continue
		}
		for path, file := range more {
			a.files[path] = file
		}
	}
	return guard(c, rel.Build, a.routes(c)), nil
}

// addTop gives the build's pages their addresses.
func (a *app) addTop(c Config, rel *release.Release) error {
	base := release.Base(rel.Build)
	for path, name := range map[string]string{
		"/": "index.html", "/index.html": "index.html", "/repair": "repair.html", "/manifest.webmanifest": "manifest.webmanifest",
	} {
		if a.top[path] = a.files[base+name]; a.top[path] == nil {
			return fmt.Errorf("build %s has no %s", rel.Build, name)
		}
	}
	for path, file := range a.files {
		if name, ok := strings.CutPrefix(path, base+"icon/"); ok {
			a.top["/icon/"+name] = file
		}
	}
	worker := release.Worker
	if c.Withdraw {
		worker = release.Withdrawn
	}
	var err error
	if a.top["/"+release.Worker], err = load(c.Dist, worker); err != nil {
		return err
	}
	a.top["/"+release.Name], err = load(c.Dist, release.Name)
	return err
}

func (a *app) routes(c Config) http.Handler {
	r := mux.NewRouter().SkipClean(true)
	top := func(w http.ResponseWriter, r *http.Request) { a.answer(w, r, a.top, cacheAsk) }
	for _, path := range []string{"/", "/index.html", "/repair", "/manifest.webmanifest", "/" + release.Worker, "/" + release.Name, "/icon/{name}"} {
		r.HandleFunc(path, top)
	}
	r.PathPrefix("/b/").HandlerFunc(func(w http.ResponseWriter, r *http.Request) { a.answer(w, r, a.files, cacheForEver) })
	r.NotFoundHandler = http.HandlerFunc(absent)
	r.HandleFunc("/trust", trusted)
	if c.Keeper != nil {
		addAPI(r, c)
	}
	if c.Shop != nil {
		a.addShop(r, c)
	}
	return r
}

// answer looks the path up as it stands: nothing is joined, listed or opened.
func (a *app) answer(w http.ResponseWriter, r *http.Request, from map[string]*asset, cache string) {
	file := from[r.URL.Path]
	if file == nil {
		absent(w, r)
		return
	}
	send(w, r, file, cache)
}

// trusted answers the set-up page of another port: whoever can read this over
// HTTPS trusts the certificate. It says nothing else.
func trusted(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Access-Control-Allow-Origin", "*")
	h.Set("Cross-Origin-Resource-Policy", "cross-origin")
	send(w, r, &asset{kind: kinds[".txt"], etag: release.Sum([]byte("trusted")), plain: []byte("trusted\n")}, cacheNever)
}

func absent(w http.ResponseWriter, r *http.Request) {
	refuse(w, r, &server.Error{Code: server.NotFound, Message: "There is nothing at this address. The app is at /"})
}
