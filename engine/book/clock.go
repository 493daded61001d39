package book

import "cmp"

// maxAheadMS is how far ahead of this device's own time another device's stamp
// may draw the clock. A phone whose clock is years ahead must not drag every
// other one there; its entries are taken all the same.
const maxAheadMS = 10 * 60 * 1000

// Next returns the clock of the next entry written on a device whose clock
// stands at c, when its time is nowMS. It is later than c, whatever the time
// says.
func (c Clock) Next(nowMS int64) Clock {
	switch {
	case nowMS > c.MS:
		return Clock{MS: nowMS}
	case c.Ctr == ^uint32(0):
		return Clock{MS: c.MS + 1}
	}
	return Clock{MS: c.MS, Ctr: c.Ctr + 1}
}

// Observe returns the clock after an entry of another device was taken in: the
// later of both, unless the other is more than ten minutes ahead of nowMS.
func (c Clock) Observe(other Clock, nowMS int64) Clock {
	if other.MS-nowMS > maxAheadMS || other.Compare(c) <= 0 {
		return c
	}
	return other
}

// Compare returns -1 when c is earlier than o, 1 when it is later, else 0.
func (c Clock) Compare(o Clock) int {
	return cmp.Or(cmp.Compare(c.MS, o.MS), cmp.Compare(c.Ctr, o.Ctr))
}

// Stamp gives items their place in the record of a device: IDs where they have
// none, sequence numbers after seq and clocks after clock. It returns the
// entries and what the device's sequence and clock are then.
func Stamp(items []Item, device string, seq uint64, clock Clock, nowMS int64, id func() string) ([]Entry, uint64, Clock) {
	entries := make([]Entry, len(items))
	for i, it := range items {
		seq++
		clock = clock.Next(nowMS)
		if it.ID == "" {
			it.ID = id()
		}
		entries[i] = Entry{ID: it.ID, Device: device, Seq: seq, Clock: clock, Build: it.Build, Kind: it.Kind, Body: it.Body}
	}
	return entries, seq, clock
}
