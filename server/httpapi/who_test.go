package httpapi

import (
	"context"
	"net"
	"net/http"
	"net/http/httptest"
	"testing"
)

// Programs on this machine ask without a token where that is allowed; nobody
// who comes from elsewhere, or through a proxy, does.
func TestQuestionsFromHere(t *testing.T) {
	y := newYard(t)
	open := handler(t, Config{Dist: buildA(), Keeper: y.keeper, Access: y.list, Names: named("shop.local"), Here: true})
	shut := handler(t, Config{Dist: buildA(), Keeper: y.keeper, Access: y.list, Names: named("shop.local")})
	loop, lan := net.IPv4(127, 0, 0, 1), net.IPv4(192, 0, 2, 7)
	for _, c := range []struct {
		name, from, host string
		to               net.IP
		header           []string
		status           int
	}{
		{"a program here", "127.0.0.1:5", "localhost:8080", loop, nil, 200},
		{"over IPv6", "[::1]:5", "[::1]:8080", net.IPv6loopback, nil, 200},
		{"from the network", "192.0.2.9:5", "localhost:8080", lan, nil, 401},
		{"from the network, to loopback", "192.0.2.9:5", "localhost:8080", loop, nil, 401},
		{"to the network's address", "127.0.0.1:5", "localhost:8080", lan, nil, 401},
		{"under another name", "127.0.0.1:5", "shop.local", loop, nil, 401},
		{"through a proxy", "127.0.0.1:5", "localhost", loop, []string{"X-Forwarded-For", "192.0.2.9"}, 401},
		{"through a proxy that says so", "127.0.0.1:5", "localhost", loop, []string{"Forwarded", "for=192.0.2.9"}, 401},
		{"with a revoked token", "127.0.0.1:5", "localhost", loop, []string{"Authorization", "Bearer " + y.revoked}, 401},
		{"with a token", "127.0.0.1:5", "localhost", loop, []string{"Authorization", "Bearer " + y.a}, 200},
		{"with the word alone", "127.0.0.1:5", "localhost", loop, []string{"Authorization", "Bearer"}, 401},
	} {
		for i, h := range []http.Handler{open, shut} {
			r := httptest.NewRequest("GET", "http://localhost/api/v1/have", nil)
			r.RemoteAddr, r.Host = c.from, c.host
			r = r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, &net.TCPAddr{IP: c.to, Port: 8080}))
			for i := 0; i+1 < len(c.header); i += 2 {
				r.Header.Set(c.header[i], c.header[i+1])
			}
			w := httptest.NewRecorder()
			h.ServeHTTP(w, r)
			want := c.status
			if i == 1 && r.Header.Get("Authorization") == "" {
				want = 401
			}
			if w.Code != want {
				t.Errorf("%s: %d, want %d", c.name, w.Code, want)
			}
		}
	}
}
