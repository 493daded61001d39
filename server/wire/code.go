package wire

// Codes of refusals and errors, one table for both ends (status.go of httpapi
// translates them into HTTP).
const (
	Fork      = "fork"       // the same device and sequence with other bytes: rename the device and send again
	Gap       = "gap"        // entries between what is held and From are missing
	BadEntry  = "bad_entry"  // not an entry, or its device or sequence differs from the run's
	TooLarge  = "too_large"  // batch or entry beyond the bounds
	NoSpace   = "no_space"   // the shop PC's disk is nearly full; reading goes on
	NotNow    = "not_now"    // the store is rebuilding; try again
	BadAsk    = "bad_ask"    // a field of the question is missing or wrong
	WrongType = "wrong_type" // not JSON
	Internal  = "internal"
)

// Error is the body of every answer that is not 2xx.
type Error struct {
	Code    string `json:"code"`
	Message string `json:"message"`
	Field   string `json:"field,omitempty"`
}
