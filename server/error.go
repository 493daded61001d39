package server

import (
	"errors"

	"portwright/server/wire"
)

// Code says what kind of error it is; adapters translate it (httpapi into a
// status). The codes are those of the protocol.
type Code string

// Codes.
const (
	NotFound  Code = wire.NotFound
	WrongHost Code = wire.WrongHost // the request names a host that this server is not
	NotAsked  Code = wire.Method    // the method has no meaning here
	BadAsk    Code = wire.BadAsk
	NoToken   Code = wire.NoToken
	Revoked   Code = wire.Revoked
	CrossSite Code = wire.CrossSite
	WrongCode Code = wire.WrongCode
	NotYours  Code = wire.NotYours
	NameTaken Code = wire.NameTaken
	NoCode    Code = wire.NoCode
	TooMany   Code = wire.TooMany
	TooLarge  Code = wire.TooLarge
	WrongType Code = wire.WrongType
	NotNow    Code = wire.NotNow
	NoSpace   Code = wire.NoSpace
	Internal  Code = wire.Internal // logged in full, shown bland
)

// Error is an error that a person may read.
type Error struct {
	Code    Code
	Message string
	Field   string // of the question, when one is at fault
	Err     error  // for the log alone
}

func (e *Error) Error() string {
	if e.Err != nil {
		return e.Message + ": " + e.Err.Error()
	}
	return e.Message
}

func (e *Error) Unwrap() error { return e.Err }

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

// FieldOf returns the field of the question that is at fault, "" if none is.
func FieldOf(err error) string {
	var e *Error
	if errors.As(err, &e) {
		return e.Field
	}
	return ""
}
