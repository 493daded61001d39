package access

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"portwright/server"
	"portwright/server/wire"
)

// entry n of a device, true or forged.
func entry(device string, seq uint64, forged bool) json.RawMessage {
	return fmt.Appendf(nil, `{"device":%q,"seq":%d,"forged":%v}`, device, seq, forged)
}

// stretch is a run of a device's entries from the first to the last.
func stretch(device string, from, to uint64, forged bool) wire.Run {
	var c wire.Chain
	for seq := uint64(1); seq < from; seq++ {
		c = c.Next(entry(device, seq, false))
	}
	r := wire.Run{Device: device, From: from, Before: c.String()}
	for seq := from; seq <= to; seq++ {
		r.Entries = append(r.Entries, entry(device, seq, forged))
	}
	return r
}

// Whatever devices give, in whatever order, with losses of the store and
// restarts between: no line of a device on the list goes on beyond what the
// device itself brought, what others heal is taken, and a device that was taken
// off the list gives nothing.
func TestLinesOfDevices(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := open(t)
		d.Register.file = filepath.Join(t.TempDir(), "access.json")
		k := keeper(t)
		names := []string{"a", "b", "c"}
		tokens, written, brought, gone := map[string]string{}, map[string]uint64{}, map[string]uint64{}, map[string]string{}
		for _, name := range names {
			tokens[name] = d.paired(t, name)
		}
		lied := false // since the store was lost
		push := func(as string, run wire.Run) error {
			who, err := d.Who(tokens[as])
			if err == nil {
				_, err = d.Register.Push(who.ID, wire.Push{Device: as, Runs: []wire.Run{run}}, k.Push)
			}
			return err
		}
		check := func(as string, err error) {
			if got := string(server.CodeOf(err)); got != gone[as] {
				rt.Fatalf("%s, %q: %v", as, gone[as], err)
			}
		}
		for range rapid.IntRange(1, 25).Draw(rt, "steps") {
			as, of := rapid.SampledFrom(names).Draw(rt, "as"), rapid.SampledFrom(names).Draw(rt, "of")
			switch rapid.IntRange(0, 6).Draw(rt, "what") {
			case 0, 1: // writes, and brings all it has
				written[as] += uint64(rapid.IntRange(1, 4).Draw(rt, "entries"))
				check(as, push(as, stretch(as, 1, written[as], false)))
				if gone[as] == "" && !lied {
					brought[as] = written[as]
				} else {
					brought[as] = max(brought[as], k.Have().Have[as].Seq)
				}
			case 2: // gives what it holds of another
				check(as, push(as, stretch(of, 1, written[of], false)))
				if as != of && gone[as] == "" && !lied && gone[of] != wire.NoToken && k.Have().Have[of].Seq < brought[of] {
					rt.Fatalf("%s gave back %d of the %d entries of %s", as, k.Have().Have[of].Seq, brought[of], of)
				}
			case 3: // lies about what comes next of another
				if as == of {
					continue
				}
				lied = lied || gone[as] == ""
				check(as, push(as, stretch(of, k.Have().Have[of].Seq+1, k.Have().Have[of].Seq+3, true)))
			case 4: // the disk is lost, the list is not
				k, lied = keeper(t), false
			case 5:
				d = d.again(t)
			case 6:
				if who, err := d.Who(tokens[of]); err == nil {
					if err := d.Revoke(who.ID); err != nil {
						rt.Fatal(err)
					}
					gone[of] = wire.Revoked
				}
			}
			for _, name := range names {
				if have := k.Have().Have[name].Seq; have > brought[name] {
					rt.Fatalf("%s has %d entries, of which it brought %d itself", name, have, brought[name])
				}
			}
		}
	})
}
