package httpapi

import (
	"bytes"
	"embed"
	"net/http"
	"path"

	"github.com/gorilla/mux"

	"portwright/server"
	"portwright/static/release"
)

// Shop is what the Shop station shows and does. Its questions are answered on
// this machine alone, to a browser that came by the one-time link.
type Shop interface {
	// Enter trades the key of the one-time link for a token. Old is the one that
	// the browser had, "" for none.
	Enter(key, old string) (token string, err error)
	// State is what the station shows to one of its browsers, as JSON.
	State(browser string) any
	// NewCode makes a pairing code.
	NewCode()
	// Revoke refuses a device from now on; Forget takes it off the list.
	Revoke(id string) error
	Forget(id string) error
}

//go:embed shop
var shopFiles embed.FS

// shopPolicy lets nothing run but the station's own script.
const shopPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// addShop gives the station its page and its questions.
func (a *app) addShop(r *mux.Router, c Config) {
	ask := newAPI(c)
	for address, name := range map[string]string{"/shop": "shop.html", "/shop.js": "shop.js", "/shop.css": "shop.css"} {
		data, err := shopFiles.ReadFile("shop/" + name)
		if err != nil {
			panic(err) // it is embedded
		}
		data = bytes.ReplaceAll(data, []byte("__BASE__"), []byte(release.Base(a.build)))
		file := &asset{kind: kinds[path.Ext(name)], etag: release.Sum(data), plain: data}
		r.HandleFunc(address, func(w http.ResponseWriter, r *http.Request) {
			if !atThisPC(r) {
				refuse(w, r, onlyHere())
				return
			}
			w.Header().Set("Content-Security-Policy", shopPolicy)
			send(w, r, file, cacheAsk)
		})
	}
	ask.route(r, "v1/shop/enter", http.MethodPost, func(w http.ResponseWriter, r *http.Request) error {
		var q struct {
			Key string `json:"key"`
		}
		if !atThisPC(r) {
			return onlyHere()
		}
		if err := readJSON(w, r, maxSmall, &q); err != nil {
			return err
		}
		token, err := c.Shop.Enter(q.Key, bearer(r))
		if err != nil {
			return err
		}
		return sendValue(w, r, map[string]string{"token": token})
	})
	own := func(path, method string, do func(id string) error) {
		ask.route(r, path, method, func(w http.ResponseWriter, r *http.Request) error {
			if !atThisPC(r) {
				return onlyHere()
			}
			browser, err := ask.who(w, r)
			if err == nil && !browser.Shop {
				err = &server.Error{Code: server.NotYours, Message: "This browser did not come by the one-time link. Run: portwright link"}
			}
			var q struct {
				ID string `json:"id"`
			}
			if err == nil && method == http.MethodPost {
				err = readJSON(w, r, maxSmall, &q)
			}
			if err == nil {
				err = do(q.ID)
			}
			if err != nil {
				return err
			}
			return sendValue(w, r, c.Shop.State(browser.ID))
		})
	}
	own("v1/shop", http.MethodGet, func(string) error { return nil })
	own("v1/shop/code", http.MethodPost, func(string) error { c.Shop.NewCode(); return nil })
	own("v1/shop/revoke", http.MethodPost, c.Shop.Revoke)
	own("v1/shop/forget", http.MethodPost, c.Shop.Forget)
}

func onlyHere() error {
	return &server.Error{Code: server.NotFound, Message: "Shop opens on the shop PC itself, at the address with localhost in it that portwright serve prints, and not through a proxy."}
}
