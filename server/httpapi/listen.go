package httpapi

import (
	"context"
	"errors"
	"net"
	"net/http"
	"time"
)

// Run serves on the listener until the context ends, then lets answers under
// way finish for a moment and returns.
func Run(ctx context.Context, ln net.Listener, h http.Handler) error {
	srv := &http.Server{
		Handler:           h,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       15 * time.Second,
		WriteTimeout:      2 * time.Minute, // 4 MB to a phone at the edge of the Wi-Fi
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    16 << 10,
	}
	failed := make(chan error, 1)
	go func() { failed <- srv.Serve(ln) }()
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
