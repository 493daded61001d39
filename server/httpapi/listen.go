package httpapi

import (
	"context"
	"crypto/tls"
	"errors"
	"log"
	"net"
	"net/http"
	"time"

	"golang.org/x/time/rate"
)

// Run serves on the listener until the context ends, then lets answers under
// way finish for a moment and returns. With secure the answers go over TLS.
func Run(ctx context.Context, ln net.Listener, h http.Handler, secure *tls.Config) error {
	srv := &http.Server{
		Handler:           h,
		TLSConfig:         secure,
		ReadHeaderTimeout: 5 * time.Second, // also bounds the TLS handshake
		ReadTimeout:       15 * time.Second,
		WriteTimeout:      2 * time.Minute, // 4 MB to a phone at the edge of the Wi-Fi
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    16 << 10,
		HTTP2:             &http.HTTP2Config{MaxConcurrentStreams: 64},
		ErrorLog:          log.New(&fewLines{allow: rate.NewLimiter(rate.Every(10*time.Second), 10)}, "", 0),
	}
	ln = bound(ln, maxConns, maxConnsAddress)
	failed := make(chan error, 1)
	go func() {
		if secure == nil {
			failed <- srv.Serve(ln)
		} else {
			failed <- srv.ServeTLS(ln, "", "")
		}
	}()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	bounded, stop := context.WithTimeout(context.WithoutCancel(ctx), 3*time.Second)
	defer stop()
	if err := srv.Shutdown(bounded); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return srv.Close()
}

// fewLines logs what strangers cause, such as handshakes that fail, and drops
// what would fill the disk.
type fewLines struct{ allow *rate.Limiter }

func (f *fewLines) Write(line []byte) (int, error) {
	if f.allow.Allow() {
		log.Printf("%.300s", line)
	}
	return len(line), nil
}
