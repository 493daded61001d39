package store

import (
	"bufio"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"portwright/server/wire"
)

var kills = flag.Int("kills", 200, "times a server is killed while phones push")

// pushForEver is the child: a server with two phones that push without end.
// Each acknowledged tip is written to a file before the next push.
func pushForEver(dir, ackFile string) {
	fatal := func(err error) {
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
	o := options(dir)
	o.Check = func(dir string) (Checked, error) { return CheckIndex(dir) } // of a killed program, not a damaged one
	s, err := Open(o)
	fatal(err)
	if len(s.Notices) > 0 {
		for _, n := range s.Notices {
			if !strings.Contains(n, "cut off and was not answered for") {
				fatal(fmt.Errorf("a kill needed more than a start: %q", n))
			}
		}
	}
	acks, err := os.OpenFile(ackFile, os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o600)
	fatal(err)
	fmt.Fprintf(acks, "start %d\n", s.Report.Entries)
	rnd := rand.New(rand.NewPCG(uint64(os.Getpid()), 1))
	writers := []*writer{{name: fmt.Sprintf("a-%d", os.Getpid()), batch: 7}, {name: fmt.Sprintf("b-%d", os.Getpid()), batch: 300}}
	for {
		w := writers[rnd.IntN(len(writers))]
		for n := 1 + rnd.IntN(20); n > 0; n -= w.batch {
			answer, err := s.Keeper.Push(w.push(min(n, w.batch)))
			fatal(err)
			tip := answer.Have[w.name]
			fmt.Fprintf(acks, "%s %d %s\n", w.name, tip.Seq, tip.Chain)
		}
	}
}

// writer is a phone that does nothing but write and push.
type writer struct {
	name  string
	batch int
	seq   uint64
	chain wire.Chain
}

// push returns n new entries.
func (w *writer) push(n int) wire.Push {
	r := wire.Run{Device: w.name, From: w.seq + 1, Before: w.chain.String()}
	for range n {
		w.seq++
		e := fmt.Appendf(nil, `{"device":%q,"seq":%d,"x":"%d"}`, w.name, w.seq, w.seq)
		w.chain = w.chain.Next(e)
		r.Entries = append(r.Entries, e)
	}
	return wire.Push{Device: w.name, Runs: []wire.Run{r}}
}

// A server that is killed at any moment has, at the next start, every entry
// that it acknowledged, and needs no mending.
func TestKilledServerLosesNothing(t *testing.T) {
	base := t.TempDir()
	dir, ackFile := filepath.Join(base, "data"), filepath.Join(base, "acks")
	n := *kills
	if testing.Short() {
		n = min(n, 20)
	}
	rnd := rand.New(rand.NewPCG(5, 5))
	for i := range n {
		child := exec.Command(os.Args[0], "push", dir, ackFile)
		var said strings.Builder
		child.Stderr = &said
		if err := child.Start(); err != nil {
			t.Fatal(err)
		}
		waitForStart(t, ackFile, i+1, child)
		time.Sleep(time.Duration(rnd.IntN(25_000)) * time.Microsecond)
		if err := child.Process.Kill(); err != nil { // SIGKILL
			t.Fatal(err)
		}
		if err := child.Wait(); err == nil || said.Len() > 0 {
			t.Fatalf("kill %d: the server ended by itself: %v, %s", i, err, said.String())
		}
	}
	acks := readAcks(t, ackFile)
	s := open(t, dir)
	defer shut(t, s)
	compare(t, s, acks)
	if s.Report.Rebuilt || s.Report.Salvaged > 0 {
		t.Errorf("mended: %+v", s.Report)
	}
	if entries := s.Keeper.Have().Entries; entries < uint64(n) {
		t.Errorf("%d entries after %d kills; hardly anything was pushed", entries, n)
	}
	if len(acks) < 3*n {
		t.Errorf("%d acknowledgements before %d kills; the servers die too early to try anything", len(acks), n)
	}
	t.Logf("%d kills, %d acknowledgements, %d entries", n, len(acks), s.Keeper.Have().Entries)
}

// waitForStart waits until the n-th server is up.
func waitForStart(t *testing.T, ackFile string, n int, child *exec.Cmd) {
	t.Helper()
	for range 3000 {
		b, _ := os.ReadFile(ackFile)
		if strings.Count(string(b), "start ") >= n {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	child.Process.Kill()
	t.Fatalf("server %d does not start: %v", n, child.Stderr)
}

type ack struct {
	device, chain string
	seq           uint64
}

func readAcks(t *testing.T, name string) (out []ack) {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for sc := bufio.NewScanner(f); sc.Scan(); {
		var a ack
		if n, _ := fmt.Sscanf(sc.Text(), "%s %d %s", &a.device, &a.seq, &a.chain); n == 3 && len(a.chain) == 64 {
			out = append(out, a)
		}
	}
	return out
}

// compare pulls everything and sees that each acknowledged chain is there.
func compare(t *testing.T, s *Store, acks []ack) {
	t.Helper()
	chains := map[string][]wire.Chain{}
	answer, err := s.Keeper.Pull("", 0, "", 500)
	for ; err == nil; answer, err = s.Keeper.Pull(answer.Epoch, answer.Next, answer.Mark, 500) {
		for _, e := range answer.Entries {
			device, seq, err := wire.Address(e)
			if err != nil {
				t.Fatal(err)
			}
			c := chains[device]
			if c == nil {
				c = []wire.Chain{{}}
			}
			if seq != uint64(len(c)) {
				t.Fatalf("device %s: entry %d comes after %d", device, seq, len(c)-1)
			}
			chains[device] = append(c, c[seq-1].Next(e))
		}
		if !answer.More {
			break
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range acks {
		if c := chains[a.device]; a.seq >= uint64(len(c)) || c[a.seq].String() != a.chain {
			t.Fatalf("device %s: entry %d was acknowledged and is not there", a.device, a.seq)
		}
	}
}
