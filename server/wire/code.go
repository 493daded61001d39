package wire

// Codes of refusals: a run, or the rest of it, was not taken, and the other
// runs of the push were.
const (
	Fork       = "fork"        // Seq is the first entry with other bytes than the shop PC's: rename the branch, send it again
	ForkBefore = "fork_before" // the entries before From differ somewhere: ask with an earlier From until the first is found
	Gap        = "gap"         // entries between what is held and From are missing
	BadEntry   = "bad_entry"   // not an entry, or its device or sequence differs from the run's
	NotYours   = "not_yours"   // entries of another device beyond what it brought itself; as an error: the push names another device as its sender
)

// Codes of errors: the whole request was refused and nothing was written.
const (
	BadAsk    = "bad_ask"    // a field of the question is missing or wrong
	NoToken   = "no_token"   // without a token, or with one that is not known: pair
	Revoked   = "revoked"    // the device was taken off the list
	CrossSite = "cross_site" // a page of another site asked
	WrongCode = "wrong_code" // not the pairing code that is in force
	NotFound  = "not_found"  // nothing at this address
	Method    = "method"     // the method has no meaning here
	NameTaken = "name_taken" // a device that is paired writes under this name
	NoCode    = "no_code"    // no pairing code is in force
	TooLarge  = "too_large"  // batch or entry beyond the bounds
	WrongType = "wrong_type" // not JSON, or a compression that is not known
	WrongHost = "wrong_host" // the request names a host that this server is not
	TooMany   = "too_many"   // too many requests; Retry-After says when again
	Internal  = "internal"   // the shop PC's log says what
	NotNow    = "not_now"    // the store can't write at the moment; try again
	NoSpace   = "no_space"   // the shop PC's disk is nearly full; reading goes on
)

// Error is the body of every answer of the interface that is not 2xx.
type Error struct {
	Code    string `json:"code"`
	Message string `json:"message"`
	Field   string `json:"field,omitempty"`
}

func (e *Error) Error() string { return e.Message }

// statuses is the table of both ends; each code stands once, and of the
// codes with one status the first is what the status alone means.
var statuses = [...]struct {
	code   string
	status int // RFC 9110, section 15; 507: RFC 4918, 11.5
}{
	{BadAsk, 400}, {NoToken, 401}, {Revoked, 401}, {CrossSite, 403}, {WrongCode, 403}, {NotYours, 403}, {NotFound, 404}, {Method, 405},
	{NameTaken, 409}, {NoCode, 410}, {TooLarge, 413}, {WrongType, 415}, {WrongHost, 421}, {TooMany, 429}, // 429: RFC 6585, 4
	{Internal, 500}, {NotNow, 503}, {NoSpace, 507},
}

// Status returns the HTTP status of an error's code, 500 for one that is not
// known.
func Status(code string) int {
	for _, row := range statuses {
		if row.code == code {
			return row.status
		}
	}
	return 500
}

// CodeOf returns the code of an HTTP status, for an answer whose body is not
// ours: Internal for one that is not known.
func CodeOf(status int) string {
	for _, row := range statuses {
		if row.status == status {
			return row.code
		}
	}
	return Internal
}
