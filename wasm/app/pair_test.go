package app

import "testing"

func TestPairing(t *testing.T) {
	unpaired := func() *Model {
		m := New()
		m.Ready, m.Device = true, "d-1"
		m.Update(SyncTold{Code: "no_token"}, Input{})
		return m
	}
	m := unpaired()
	if !m.Unpaired() {
		t.Error("a device without a token is not asked for the code")
	}
	if fx := m.Update(PairNow{}, Input{}); m.Pair.Asking || m.Pair.Said == "" || has[Pair](fx) != nil {
		t.Errorf("without a code: %+v, %v", m.Pair, fx)
	}
	m.Update(PairCode{"7kq2 m9xd"}, Input{})
	if m.Pair.Said != "" {
		t.Error("the fault outlives what it was about")
	}
	fx := m.Update(PairNow{}, Input{})
	if ask := has[Pair](fx); ask == nil || *ask != (Pair{Code: "7kq2 m9xd", Device: "d-1", Name: "Phone"}) {
		t.Errorf("asked %v", fx)
	}
	if fx := m.Update(PairNow{}, Input{}); has[Pair](fx) != nil {
		t.Error("asked twice")
	}
	m.Update(Paired{Said: "code: is not the one at Shop on the PC. 4 more tries."}, Input{})
	if m.Pair.Asking || m.Pair.Code != "7kq2 m9xd" || m.Alert == "" || m.Settings.Token != "" || !m.Unpaired() {
		t.Errorf("after a wrong code: %+v", m.Pair)
	}
	m.Update(PairName{" bench "}, Input{})
	if ask := has[Pair](m.Update(PairNow{}, Input{})); ask == nil || ask.Name != "bench" {
		t.Errorf("named %+v", ask)
	}
	fx = m.Update(Paired{Token: "secret"}, Input{})
	save, sync := has[SaveSettings](fx), has[Sync](fx)
	if save == nil || save.Settings.Token != "secret" || sync == nil || sync.Token != "secret" || !sync.Eager || m.Unpaired() || m.Pair != (PairState{}) || m.Alert != "" {
		t.Errorf("paired: %v, %+v", fx, m.Pair)
	}
	fx = m.Update(SyncTold{Places: "https://a.local:8443 https://192.168.1.7:8443"}, Input{})
	if save := has[SaveSettings](fx); save == nil || save.Settings.Token != "secret" {
		t.Errorf("other addresses are not kept: %v", fx)
	}
	if ask := has[Sync](m.Update(SyncNow{}, Input{})); ask == nil || len(ask.Addresses) != 3 || ask.Addresses[2] != "https://192.168.1.7:8443" {
		t.Errorf("asked at %+v", ask)
	}
	m.Update(SyncTold{Code: "revoked"}, Input{})
	if !m.Unpaired() {
		t.Error("a revoked device is not asked for a new code")
	}
	// Another window got one.
	fx = m.Update(BookLoaded{Device: "d-1", Settings: Settings{Token: "newer", Theme: "day"}}, Input{})
	if ask := has[Sync](fx); ask == nil || ask.Token != "newer" || m.Settings.Theme != "" {
		t.Errorf("asked %+v, settings %+v", ask, m.Settings)
	}
}

// has returns the effect of a kind, nil if there is none.
func has[E Effect](fx []Effect) *E {
	for _, f := range fx {
		if e, ok := f.(E); ok {
			return &e
		}
	}
	return nil
}
