package app

import "strings"

// SyncStatus is how the sync with the shop PC stands (package sync tells it).
type SyncStatus struct {
	Asking   bool   // a round is under way
	Gets     bool   // what the shop PC has and this device lacks is on its way
	Lacks    int    // entries that the shop PC is not known to have
	Others   int    // of these: another device's, which the shop PC takes from that device alone
	Entries  int    // entries here when they were counted
	Code     string // why the last round did not end well, "" when it did
	Said     string // the shop PC's own words to that
	SameMS   int64  // when both last held the same, 0 if never
	OffsetMS int64  // the shop PC's clock less this device's
	Address  string // that answered last
	Places   string // where else the shop PC says that it is, separated by spaces; "" when it did not
}

// SyncState is the status as far as it is known.
type SyncState struct {
	SyncStatus
	Told bool // something was told since the start
}

// Lacking is how many entries are not known to be on the shop PC, those
// included that were kept since they were counted.
func (m *Model) Lacking() int {
	return m.Sync.Lacks + max(0, m.Storage.Entries-m.Sync.Entries)
}

// Intents about the sync.
type (
	// SyncNow asks for a round at once.
	SyncNow struct{}
)

func (SyncNow) msg() {}

func (m *Model) updateSync(msg Msg) ([]Effect, bool) {
	switch msg := msg.(type) {
	case SyncTold:
		m.Sync.SyncStatus, m.Sync.Told = SyncStatus(msg), true
		m.Storage.Entries = max(m.Storage.Entries, msg.Entries)
		if msg.Places != "" && msg.Places != m.Settings.Places {
			m.Settings.Places = msg.Places
			return []Effect{SaveSettings{m.Settings}}, true
		}
	case CameIn:
		return m.otherTab(OtherTab(msg)), true
	case Online:
		return m.sync(true), true
	case SyncNow:
		return m.sync(true), true
	default:
		return nil, false
	}
	return nil, true
}

// sync asks for a round with what is set on this device.
func (m *Model) sync(eager bool) []Effect {
	if !m.Ready || m.Device == "" {
		return nil
	}
	return []Effect{Sync{Addresses: append([]string{""}, strings.Fields(m.Settings.Places)...), Token: m.Settings.Token, Eager: eager}}
}
