package book

import (
	"bytes"
	"math"
	"slices"
	"sort"
	"strings"

	"portwright/engine/build"
)

// setFields gives every field the value that is in force.
func (s *folding) setFields() {
	for _, r := range s.registers {
		heads := r.heads()
		ids := make([]string, len(heads))
		for i, h := range heads {
			ids[i] = h.Entry
		}
		s.out.heads[r.path] = ids
		t, err := parsePath(r.path)
		if err != nil {
			continue // a strike: read where its reading is placed
		}
		// The usual scatter a device worked out itself: there is nothing to choose.
		// Nor is there in the targets' order: one more tap sets it.
		if c, ok := conflict(r.path, heads); ok && r.path != OrderPath && !strings.HasPrefix(t.key, "usual_scatter") {
			s.out.Conflicts = append(s.out.Conflicts, c)
		}
		if t.key == keyRemoved && t.id != "" {
			s.setRemoved(t, heads[0])
			continue
		}
		if t.key == keyPlace && t.list == "windows" && s.setPlace(t, heads[0]) {
			continue
		}
		if r.path == OrderPath && s.setOrder(heads[0]) {
			continue
		}
		if err := build.SetField(s.part(t), t.key, heads[0].Value); err != nil {
			s.unread(heads[0].Entry, err.Error())
		}
	}
}

func (s *folding) setRemoved(t target, v Value) {
	id := ""
	if string(v.Value) == "true" {
		id = v.Entry
	}
	if t.list == "windows" {
		s.byWindow[t.id].removed = id
	} else {
		s.byPass[t.id].removed = id
	}
}

// setPlace gives a window its place; a value that is no number from 1 is some
// other program's field and no place.
func (s *folding) setPlace(t target, v Value) bool {
	place, ok := build.Number(bytes.TrimSpace(v.Value))
	if !ok || place < 1 {
		return false
	}
	s.byWindow[t.id].place = place
	return true
}

// setOrder gives the targets their order; what does not begin with a target is
// some other program's field.
func (s *folding) setOrder(v Value) bool {
	text, _ := build.Text(v.Value)
	keys := strings.Fields(text)
	if len(keys) == 0 || !slices.Contains(build.TargetKeys(), keys[0]) {
		return false
	}
	s.order = keys
	return true
}

// struck returns the reason why a reading does not count, or "".
func (s *folding) struck(id string) string {
	r := s.byPath["strikes/"+id]
	if r == nil {
		return ""
	}
	reason, _ := build.Text(r.heads()[0].Value)
	return reason
}

// bringBackRead puts a window or pass back that was read or cut after it was
// taken out: another device did not know of the removal, and what it kept must
// show.
func (s *folding) bringBackRead() {
	if !slices.ContainsFunc(s.registers, func(r *register) bool { return strings.HasSuffix(r.path, "."+keyRemoved) }) {
		return
	}
	at := make(map[string]int)
	for i := range s.entries {
		at[s.entries[i].ID] = i
	}
	back := func(removed *string, reading string) {
		if *removed != "" && at[reading] > at[*removed] {
			*removed = ""
		}
	}
	for i := range s.readings {
		r := &s.readings[i]
		if w := s.byWindow[r.body.Window]; w != nil {
			back(&w.removed, r.ID)
		}
		if p := s.byPass[r.body.Pass]; p != nil {
			back(&p.removed, r.ID)
		}
	}
	for _, st := range s.stops {
		if p := s.byPass[st.body.Pass]; p != nil {
			back(&p.removed, st.ID)
		}
	}
	for i := range s.bites {
		b := &s.bites[i]
		if w := s.byWindow[b.body.Window]; w != nil {
			back(&w.removed, b.ID)
		}
		if p := s.byPass[b.body.Pass]; p != nil {
			back(&p.removed, b.ID)
		}
	}
}

// assemble puts the windows and passes into the build: windows with a place
// first, by place, then the others, each in order of first set. Nobody is asked
// to choose about what is not in it.
func (s *folding) assemble() {
	s.out.Conflicts = slices.DeleteFunc(s.out.Conflicts, func(c Conflict) bool {
		t, err := parsePath(c.Path)
		if err != nil || t.key == keyRemoved {
			return false
		}
		w, p := s.byWindow[t.id], s.byPass[t.id]
		return t.list == "windows" && w.removed != "" || t.list == "passes" && p.removed != ""
	})
	sort.SliceStable(s.windows, func(i, j int) bool { return rank(s.windows[i].place) < rank(s.windows[j].place) })
	sort.SliceStable(s.out.Build.Targets.List, func(i, j int) bool { return s.wantedAt(i) < s.wantedAt(j) })
	for _, w := range s.windows {
		if w.removed == "" {
			s.out.Build.Windows = append(s.out.Build.Windows, w.window)
		} else {
			s.out.Removed = append(s.out.Removed, Removed{"windows/" + w.id, w.window.Name})
		}
	}
	for _, p := range s.passes {
		if p.removed == "" {
			s.out.Build.Passes = append(s.out.Build.Passes, p.pass)
		} else {
			s.out.Removed = append(s.out.Removed, Removed{"passes/" + p.id, p.pass.Name})
		}
	}
}

// wantedAt is where the ith target stands; those without a place come last.
func (s *folding) wantedAt(i int) int {
	if at := slices.Index(s.order, s.out.Build.Targets.List[i].Key); at >= 0 {
		return at
	}
	return len(s.order)
}

// rank orders places; a window without one stands behind those with one.
func rank(place float64) float64 {
	if place == 0 {
		return math.Inf(1)
	}
	return place
}

// listWaiting lists what is said of entries that have not arrived.
func (s *folding) listWaiting() {
	if len(s.waits) == 0 {
		return
	}
	known := make(map[string]bool)
	for i := range s.readings {
		known[s.readings[i].ID] = true
	}
	for _, e := range s.stops {
		known[e.ID] = true
	}
	for _, e := range s.corrects {
		known[e.ID] = true
	}
	for _, e := range s.bites {
		known[e.ID] = true
	}
	for _, w := range s.waits {
		if !known[w.target] {
			s.out.Waiting = append(s.out.Waiting, w.entry)
		}
	}
}
