package app

import (
	"cmp"
	"encoding/json"
	"strings"

	"portwright/engine/build"
)

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
	Names    string // what people call the devices that wrote, a JSON object by device; "" when it did not say
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
		set := m.Settings
		set.Places, set.Names = cmp.Or(msg.Places, set.Places), cmp.Or(msg.Names, set.Names)
		if set != m.Settings {
			m.Settings = set
			return []Effect{SaveSettings{set}}, true
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

// Called is what people call a device: the name it was paired by, or the end of
// what it writes under, which is random; both where two have one name.
func (m *Model) Called(device string) string {
	mark := device[max(0, len(device)-4):]
	names, _ := build.Split(json.RawMessage(m.Settings.Names)) // what is no object has none
	name, same := "", 0
	for i := range names {
		if names[i].Key == device {
			name, _ = build.Text(names[i].Value)
		}
	}
	for i := range names {
		if other, _ := build.Text(names[i].Value); other == name {
			same++
		}
	}
	switch {
	case name == "":
		return "device " + mark
	case same > 1:
		return name + " (" + mark + ")"
	}
	return name
}
