package sync

// Status is what a person is told.
type Status struct {
	Asking   bool   // a round is under way
	Gets     bool   // what the shop PC has and this phone lacks is on its way
	Lacks    int    // entries that the shop PC is not known to have
	Others   int    // of these: another device's, which the shop PC takes from that device alone
	Entries  int    // entries here when they were counted
	Code     string // why the last round did not end well; "" when it did: a code of package wire or one of these
	Said     string // the shop PC's own words to it
	SameMS   int64  // when both ends last held the same, 0 if never
	OffsetMS int64  // the shop PC's clock less this device's
	Address  string // that answered last
	Places   string // where else the shop PC says that it is, separated by spaces; "" when it did not
	Names    string // what people call the devices that wrote, a JSON object by device; "" when it did not say
}

// Codes of Status besides those of package wire.
const (
	Unreached = "unreached" // no address answered
	Garbled   = "garbled"   // an answer that is not the shop PC's, or not whole
	Storage   = "storage"   // the phone's own storage failed
	TooLong   = "too_long"  // an entry that is larger than one may be
	Endless   = "endless"   // a round that does not end
)

// Status returns what is known now.
func (m *Machine) Status() Status {
	s := m.status
	s.Asking, s.Entries = m.awake, m.entries
	s.Gets = m.awake && m.asked && !m.sent && m.behind()
	s.SameMS, s.OffsetMS, s.Address = m.saved.SameMS, m.saved.OffsetMS, m.saved.Address
	for _, l := range m.lines {
		s.Lacks += l.lacking()
		if l.closed() {
			s.Others += l.lacking()
		}
	}
	return s
}
