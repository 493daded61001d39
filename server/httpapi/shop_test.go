package httpapi

import (
	"context"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"portwright/server"
	"portwright/server/access"
)

// desk is a Shop that notes what it was asked.
type desk struct {
	*access.Register
	did []string
}

func (d *desk) NewCode()              { d.did = append(d.did, "code") }
func (d *desk) State(own string) any  { return map[string]string{"own": own} }
func (d *desk) Revoke(s string) error { d.did = append(d.did, "revoke "+s); return nil }
func (d *desk) Forget(s string) error {
	return &server.Error{Code: server.NotFound, Field: "id", Message: "id: no " + s}
}

// Shop answers on this machine alone, to a browser that came by the link, and
// to no phone and no page of another site.
func TestShop(t *testing.T) {
	y := newYard(t)
	d := &desk{Register: y.list}
	h := handler(t, Config{Dist: buildA(), Keeper: y.keeper, Access: y.list, Shop: d, Names: named("shop.local")})
	token, err := y.list.Enter(y.list.Link(), "")
	if err != nil {
		t.Fatal(err)
	}
	const here, away = "127.0.0.1:5", "192.0.2.9:5"
	for _, c := range []struct {
		name, method, path, from, token, body string
		header                                []string
		status                                int
		want                                  string
	}{
		{"the page", "GET", "/shop", here, "", "", nil, 200, "css/tokens.css"},
		{"its script", "GET", "/shop.js", here, "", "", nil, 200, "use strict"},
		{"its style", "GET", "/shop.css", here, "", "", nil, 200, ".shop"},
		{"the page, from the network", "GET", "/shop", away, "", "", nil, 404, "on the shop PC itself"},
		{"the page, through a proxy", "GET", "/shop", here, "", "", []string{"X-Forwarded-For", "192.0.2.9"}, 404, ""},
		{"the page, rebinding", "GET", "/shop", here, "", "", []string{"Host", "evil.example"}, 421, ""},
		{"the page, under the network's name", "GET", "/shop", here, "", "", []string{"Host", "shop.local"}, 404, ""},
		{"how things stand", "GET", "/api/v1/shop", here, token, "", nil, 200, `"own":"`},
		{"a code", "POST", "/api/v1/shop/code", here, token, "{}", nil, 200, `"own":"`},
		{"revoking", "POST", "/api/v1/shop/revoke", here, token, `{"id":"x"}`, nil, 200, `"own":"`},
		{"forgetting nobody", "POST", "/api/v1/shop/forget", here, token, `{"id":"x"}`, nil, 404, `"field":"id"`},
		{"without a token", "GET", "/api/v1/shop", here, "", "", nil, 401, "no_token"},
		{"a phone's token", "POST", "/api/v1/shop/code", here, y.a, "{}", nil, 403, "not_yours"},
		{"a revoked one", "POST", "/api/v1/shop/code", here, y.revoked, "{}", nil, 401, "revoked"},
		{"from the network", "POST", "/api/v1/shop/code", away, token, "{}", nil, 404, "not_found"},
		{"entering from the network", "POST", "/api/v1/shop/enter", away, "", `{"key":"` + y.list.Link() + `"}`, nil, 404, "not_found"},
		{"entering with nothing", "POST", "/api/v1/shop/enter", here, "", `{"key":""}`, nil, 403, "wrong_code"},
		{"a page of another site", "POST", "/api/v1/shop/code", here, token, "{}", []string{"Origin", "https://evil.example", "Sec-Fetch-Site", "cross-site"}, 403, "cross_site"},
		{"a form", "POST", "/api/v1/shop/code", here, token, "{}", []string{"Content-Type", "text/plain"}, 415, "wrong_type"},
		{"too much", "POST", "/api/v1/shop/revoke", here, token, `{"id":"` + strings.Repeat("x", maxSmall) + `"}`, nil, 413, "too_large"},
		{"by GET", "GET", "/api/v1/shop/code", here, token, "", nil, 405, "method"},
	} {
		r := httptest.NewRequest(c.method, "http://localhost"+c.path, strings.NewReader(c.body))
		r.RemoteAddr, r.Host = c.from, "localhost:8080"
		r = r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 8080}))
		r.Header.Set("Content-Type", isJSON)
		if c.token != "" {
			r.Header.Set("Authorization", "Bearer "+c.token)
		}
		for i := 0; i+1 < len(c.header); i += 2 {
			if c.header[i] == "Host" {
				r.Host = c.header[i+1]
			} else {
				r.Header.Set(c.header[i], c.header[i+1])
			}
		}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != c.status || !strings.Contains(w.Body.String(), c.want) {
			t.Errorf("%s: %d, %.200s; want %d, %q", c.name, w.Code, w.Body, c.status, c.want)
		}
		policy := w.Header().Get("Content-Security-Policy")
		if strings.HasPrefix(c.path, "/shop") && c.status == 200 && (policy != shopPolicy || strings.Contains(policy, "unsafe")) {
			t.Errorf("%s: the policy is %q", c.name, policy)
		}
	}
	if got := strings.Join(d.did, ", "); got != "code, revoke x" {
		t.Errorf("it was asked for: %s", got)
	}
}

// The set-up page, at another port, may read that it is trusted, and that
// alone.
func TestTrustIsToldToOthers(t *testing.T) {
	h := site(t, keeper(t))
	w := ask(h, "GET", "http://localhost/trust", "Origin", "http://192.168.1.7:8081")
	if w.Code != 200 || w.Body.String() != "trusted\n" || w.Header().Get("Access-Control-Allow-Origin") != "*" || w.Header().Get("Cross-Origin-Resource-Policy") != "cross-origin" {
		t.Errorf("%d, %q, %v", w.Code, w.Body, w.Header())
	}
	if got := ask(h, "GET", "http://localhost/", "Origin", "http://192.168.1.7:8081").Header(); got.Get("Access-Control-Allow-Origin") != "" {
		t.Errorf("the app's page too: %v", got)
	}
}
