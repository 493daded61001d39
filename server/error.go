// Package server is what runs on the shop PC: its domain and its errors. The
// packages below it each wrap one technology and don't know each other;
// cmd/portwright wires them together.
package server

import "errors"

// Code says what kind of error it is; adapters translate it (httpapi into a
// status).
type Code string

// Codes.
const (
	NotFound  Code = "not_found"
	WrongHost Code = "wrong_host" // the request names a host that this server is not
	NotAsked  Code = "method"     // the method has no meaning here
	Internal  Code = "internal"   // logged in full, shown bland
)

// Error is an error that a person may read.
type Error struct {
	Code    Code
	Message string
}

func (e *Error) Error() string { return e.Message }

// CodeOf returns the code of err, Internal for an error of another kind, ""
// for nil.
func CodeOf(err error) Code {
	if err == nil {
		return ""
	}
	var e *Error
	if errors.As(err, &e) {
		return e.Code
	}
	return Internal
}

// MessageOf returns what may be shown of err.
func MessageOf(err error) string {
	var e *Error
	if errors.As(err, &e) {
		return e.Message
	}
	return "Something went wrong on the shop PC; its log says what."
}
