package access

import (
	"fmt"
	"slices"

	"portwright/server"
	"portwright/server/wire"
)

// Push hands a push of a paired device on, after taking out what is not the
// device's to give, and remembers how far it brought its own entries.
//
// Its own entries a device gives without bound. Those of another it gives only
// to heal: where another paired (or revoked) device speaks for a name, its
// entries are taken from others up to where that device itself brought them
// once. So nobody continues another's line, but a shop PC that lost entries
// gets them back from whoever holds them. Names for which nobody speaks (from
// a book file, or after the list was lost) are taken from everybody.
func (r *Register) Push(id string, p wire.Push, push func(wire.Push) (wire.PushAnswer, error)) (wire.PushAnswer, error) {
	refused, err := r.admit(id, &p)
	if err != nil {
		return wire.PushAnswer{}, err
	}
	answer, err := push(p)
	if err != nil {
		return answer, err
	}
	for _, no := range refused { // a run that stopped earlier has its reason
		if !slices.ContainsFunc(answer.Refused, func(other wire.Refusal) bool { return other.Device == no.Device }) {
			answer.Refused = append(answer.Refused, no)
		}
	}
	answer.Names = r.called(answer.Have)
	return answer, r.brought(id, p, answer)
}

// called is what people call the devices that wrote, as far as they are on the
// list.
func (r *Register) called(have wire.Have) map[string]string {
	r.mu.Lock()
	defer r.mu.Unlock()
	names := map[string]string{}
	for _, d := range r.rows {
		for _, m := range d.Names {
			if _, ok := have[m.Device]; ok {
				names[m.Device] = d.Name
			}
		}
	}
	return names
}

// admit bounds the runs of a push.
func (r *Register) admit(id string, p *wire.Push) ([]wire.Refusal, error) {
	if wire.CheckDevice(p.Device) != nil {
		return nil, nil // what is wrong with it the keeper says
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if err := r.adopt(id, p.Device); err != nil {
		return nil, err
	}
	var refused []wire.Refusal
	p.Runs = slices.Clone(p.Runs)
	for i := range p.Runs {
		run := &p.Runs[i]
		owner := r.owner(run.Device)
		if owner == nil || owner.ID == id {
			continue
		}
		last := owner.mark(run.Device).Seq
		room := uint64(0)
		if run.From > 0 && run.From <= last {
			room = last - run.From + 1
		}
		if uint64(len(run.Entries)) <= room {
			continue
		}
		run.Entries = run.Entries[:room]
		refused = append(refused, wire.Refusal{Device: run.Device, Seq: run.From + room, Code: wire.NotYours, Message: fmt.Sprintf(
			"Entries of %q are taken from other devices up to number %d, as far as it brought them itself. What follows it brings when it comes by; if it is lost for good, forget it at Shop on the PC.", owner.Name, last)})
	}
	return refused, nil
}

// adopt sees to it that a device speaks under its own name. A device whose
// line forked goes on under a new name; that becomes one of its names. The
// caller holds mu.
func (r *Register) adopt(id, device string) error {
	owner := r.owner(device)
	if owner != nil && owner.ID == id {
		return nil
	}
	if owner != nil {
		return &server.Error{Code: server.NotYours, Field: "device", Message: fmt.Sprintf("device: %s is another device on the shop PC's list, %q.", device, owner.Name)}
	}
	i := slices.IndexFunc(r.rows, func(d *row) bool { return d.ID == id })
	if i < 0 {
		return &server.Error{Code: server.NoToken, Message: "The shop PC does not know this device any more. Pair it again."}
	}
	d := r.rows[i]
	if len(d.Names) >= maxNames {
		return &server.Error{Code: server.NotYours, Field: "device", Message: fmt.Sprintf("device: this device has written under %d names already. Revoke it at Shop on the PC and pair it again.", maxNames)}
	}
	d.Names = append(d.Names, server.Mark{Device: device, SinceMS: r.now().UnixMilli()})
	if err := r.save(); err != nil {
		d.Names = d.Names[:len(d.Names)-1]
		return err
	}
	return nil
}

// brought notes the device's clock and how far its own entries are here.
func (r *Register) brought(id string, p wire.Push, a wire.PushAnswer) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	i := slices.IndexFunc(r.rows, func(d *row) bool { return d.ID == id })
	if i < 0 {
		return nil // forgotten meanwhile
	}
	d := r.rows[i]
	d.OffsetMS, r.dirty = a.ServerMS-p.NowMS, true
	grown := false
	for j := range d.Names {
		if m := &d.Names[j]; a.Have[m.Device].Seq > m.Seq {
			m.Seq, grown = a.Have[m.Device].Seq, true
		}
	}
	if !grown {
		if len(r.owed) > 0 {
			_ = r.save() // tried again later
		}
		return nil
	}
	return r.save()
}
