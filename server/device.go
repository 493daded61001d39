package server

// Device is one that was paired.
type Device struct {
	ID        string `json:"id"`
	Name      string `json:"name"`           // for people
	Shop      bool   `json:"shop,omitempty"` // the PC's own browser: may see and do what the Shop station does
	Names     []Mark `json:"names"`          // of the protocol, under which it writes
	PairedMS  int64  `json:"paired_ms"`
	SeenMS    int64  `json:"seen_ms,omitempty"`
	OffsetMS  int64  `json:"offset_ms,omitempty"` // the shop PC's clock less the device's, at its last push
	RevokedMS int64  `json:"revoked_ms,omitempty"`
}

// Mark is how far a device itself has brought the entries of one of its names.
type Mark struct {
	Device  string `json:"device"`
	Seq     uint64 `json:"seq"`
	SinceMS int64  `json:"since_ms,omitempty"` // of a name that came after pairing
}
