package wire

// Pair asks for a token. POST /api/v1/pair, the one question that needs none.
type Pair struct {
	Code   string `json:"code"`   // as typed: case, spaces and hyphens don't count, O is 0, I and L are 1
	Device string `json:"device"` // under which the phone writes
	Name   string `json:"name"`   // for people: 1 to 40 printable characters
}

// PairAnswer is told once; the shop PC keeps only a hash of the token.
type PairAnswer struct {
	Token string `json:"token"`
}
