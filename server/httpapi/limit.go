package httpapi

import (
	"net"
	"net/http"
	"net/netip"
	"sync"
	"time"

	"golang.org/x/time/rate"

	"portwright/server"
)

// How often one may ask: a burst, then so many a second. A phone that gives
// 10,000 entries asks about 50 times.
const (
	strangerRate, strangerBurst = 60, 600   // each address, with or without a token
	deviceRate, deviceBurst     = 100, 1000 // each paired device, wherever it asks from
	maxBuckets                  = 4096      // addresses or devices that are remembered
)

// buckets bounds how often each of many asks. The zero value is not ready.
type buckets struct {
	rate  rate.Limit
	burst int

	mu  sync.Mutex
	all map[string]*bucket
}

type bucket struct {
	*rate.Limiter
	used time.Time
}

func newBuckets(perSecond rate.Limit, burst int) *buckets {
	return &buckets{rate: perSecond, burst: burst, all: map[string]*bucket{}}
}

// allow says whether who may ask now.
func (b *buckets) allow(who string) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	now := time.Now()
	one := b.all[who]
	if one == nil {
		if len(b.all) >= maxBuckets {
			b.clear(now)
		}
		one = &bucket{Limiter: rate.NewLimiter(b.rate, b.burst)}
		b.all[who] = one
	}
	one.used = now
	return one.AllowN(now, 1)
}

// clear forgets those that are full again, and when that is not enough the one
// used longest ago: forgetting an empty one would give its owner a new burst.
func (b *buckets) clear(now time.Time) {
	oldest := ""
	for who, one := range b.all {
		if one.TokensAt(now) >= float64(b.burst) {
			delete(b.all, who)
		} else if oldest == "" || one.used.Before(b.all[oldest].used) {
			oldest = who
		}
	}
	if len(b.all) >= maxBuckets {
		delete(b.all, oldest)
	}
}

// addressOf is the address that asks; of IPv6 the network of 64 bits, which is
// one machine's to choose within.
func addressOf(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return network(host)
}

func network(host string) string {
	ip, err := netip.ParseAddr(host)
	if err != nil {
		return host
	}
	if ip = ip.Unmap().WithZone(""); ip.Is6() {
		if p, err := ip.Prefix(64); err == nil {
			return p.String()
		}
	}
	return ip.String()
}

// limited answers those who ask too often; they are told when to come again.
func limited(b *buckets, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !b.allow(addressOf(r)) {
			refuse(w, r, tooMany(w))
			return
		}
		next.ServeHTTP(w, r)
	})
}

func tooMany(w http.ResponseWriter) error {
	w.Header().Set("Retry-After", "2")
	return &server.Error{Code: server.TooMany, Message: "Too many requests from here at one time. Wait 2 seconds and ask again."}
}

// Limited bounds how often each address asks a handler of its own.
func Limited(next http.Handler) http.Handler {
	return limited(newBuckets(strangerRate, strangerBurst), next)
}
