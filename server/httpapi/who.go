package httpapi

import (
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"

	"portwright/server"
	"portwright/server/wire"
)

// Access says who may ask.
type Access interface {
	// Who returns the paired device that a token is of.
	Who(token string) (server.Device, error)
	// Push hands on what of a push is the device's to give.
	Push(id string, p wire.Push, push func(wire.Push) (wire.PushAnswer, error)) (wire.PushAnswer, error)
	// Pair takes a device in that knows the code.
	Pair(p wire.Pair, from string) (wire.PairAnswer, error)
}

// known lets paired devices ask, each not too often.
func (a *api) known(answer func(w http.ResponseWriter, r *http.Request, device string) error) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		if a.access == nil || a.here && fromHere(r) {
			return answer(w, r, "")
		}
		device, err := a.who(w, r)
		if err != nil {
			return err
		}
		return answer(w, r, device.ID)
	}
}

// who asks.
func (a *api) who(w http.ResponseWriter, r *http.Request) (server.Device, error) {
	device, err := a.access.Who(bearer(r))
	if err != nil {
		w.Header().Set("WWW-Authenticate", `Bearer realm="Portwright"`)
		return device, err
	}
	if !a.devices.allow(device.ID) {
		return device, tooMany(w)
	}
	return device, nil
}

// bearer is the token of a request (RFC 6750, 2.1), "" when it has none. Two
// are none: it is not ours to choose.
func bearer(r *http.Request) string {
	all := r.Header.Values("Authorization")
	if len(all) != 1 {
		return ""
	}
	scheme, token, _ := strings.Cut(all[0], " ")
	if !strings.EqualFold(scheme, "Bearer") {
		return ""
	}
	return strings.TrimSpace(token)
}

// fromHere says whether a question without a token comes from this machine.
func fromHere(r *http.Request) bool {
	return len(r.Header.Values("Authorization")) == 0 && atThisPC(r)
}

// atThisPC says whether a question comes from a program on this machine,
// straight, to one of the machine's own names: not through a proxy, which would
// let everybody in that it lets in.
func atThisPC(r *http.Request) bool {
	from, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil || !from.Addr().Unmap().IsLoopback() || !slices.Contains(ownHosts, hostName(r.Host)) {
		return false
	}
	if to, ok := r.Context().Value(http.LocalAddrContextKey).(*net.TCPAddr); !ok || !to.IP.IsLoopback() {
		return false
	}
	for _, name := range []string{"Forwarded", "Via", "X-Forwarded-For", "X-Forwarded-Host", "X-Real-Ip"} {
		if len(r.Header.Values(name)) > 0 {
			return false
		}
	}
	return true
}

// maxSmall bounds a question that is not a batch.
const maxSmall = 4 << 10

func (a *api) pair(w http.ResponseWriter, r *http.Request) error {
	var p wire.Pair
	if err := readJSON(w, r, maxSmall, &p); err != nil {
		return err
	}
	answer, err := a.access.Pair(p, addressOf(r))
	if err != nil {
		return err
	}
	return sendValue(w, r, answer)
}
