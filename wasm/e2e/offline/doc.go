// Package offline tests in a real browser that the app starts without a
// network, that a new version is installed whole or not at all, and that the
// book can be saved whatever is broken.
package offline
