package view

import (
	"portwright/engine/unit"
	"portwright/wasm/app"
)

// clockDoubtMS is how far this device's clock may be off the shop PC's before
// that is said: entries of two devices are ordered by their clocks.
const clockDoubtMS = 2 * 60_000

// syncWords says where the entries are besides this device, in short sentences,
// the first of which is always there.
func syncWords(m *app.Model) []string {
	s, lacks := &m.Sync, m.Lacking()
	var out []string
	unknown := s.Code == "no_token" && m.Settings.Token != ""
	switch {
	case m.Storage.Entries == 0 && lacks == 0:
		out = append(out, "Nothing is in the book yet.")
	case lacks > 0:
		out = append(out, "All on this device. "+counted(lacks, "entry")+" not yet on the shop PC.")
	case !s.Told, unknown:
		out = append(out, "All on this device.")
	case s.SameMS == 0:
		out = append(out, "All on this device. Nothing is on a shop PC yet.")
	case s.Code == "":
		out = append(out, "On the shop PC, "+when(s.SameMS)+".")
	default:
		out = append(out, "All on this device, and on the shop PC as of "+when(s.SameMS)+".")
	}
	switch {
	case unknown:
		out = append(out, "This shop PC does not know this device. Whether it still has your entries is not known. Pair again.")
	case s.Code != "":
		out = append(out, troubleWords(s.Code, s.Said))
	case s.Gets:
		out = append(out, "Receiving ...")
	case s.Asking && lacks > s.Others:
		out = append(out, "Sending ...")
	}
	if s.Others > 0 {
		of := counted(s.Others, "entry") + " of another device: it brings them to the shop PC itself"
		if s.SameMS > 0 {
			of += "; not yet there " + when(s.SameMS)
		}
		out = append(out, of+".")
	}
	if off := s.OffsetMS; off > clockDoubtMS || off < -clockDoubtMS {
		way := " behind"
		if off < 0 {
			off, way = -off, " ahead of"
		}
		out = append(out, "This device's clock is "+unit.Plain(float64(off)/60_000, 0)+" minutes"+way+" the shop PC's.")
	}
	return out
}

// troubleWords says why the last sync did not end well.
func troubleWords(code, said string) string {
	switch code {
	case "unreached":
		return "Shop PC not reached; tries again."
	case "garbled", "not_found", "method":
		return "What answers at this address is no shop PC; tries again."
	case "no_space":
		return "The shop PC's disk is full; tries again."
	case "not_now", "internal", "too_many":
		return "The shop PC can't take anything at the moment; tries again."
	case "no_token":
		return "This device is not paired with the shop PC."
	case "too_long":
		return "One entry is too large for the shop PC. The book file holds it."
	case "storage":
		return "This device's own storage fails. " + said
	case "":
		return ""
	}
	if said == "" {
		said = code
	}
	return "The shop PC says: " + said
}
