package render

// reconcile makes the children of a parent show want and returns them. What
// stays the same at both ends is patched in place; in between children are
// matched, the rest is removed or made, and the fewest possible are moved.
func (t *tree) reconcile(parent uint32, kids []*mount, want []child) []*mount {
	if len(want) == 0 {
		for _, k := range kids {
			t.remove(k)
		}
		return nil
	}
	head := 0
	for head < len(kids) && head < len(want) && kids[head].fits(&want[head]) {
		head++
	}
	tail := 0
	for tail < len(kids)-head && tail < len(want)-head && kids[len(kids)-1-tail].fits(&want[len(want)-1-tail]) {
		tail++
	}
	oldMid, newMid := kids[head:len(kids)-tail], want[head:len(want)-tail]
	from := match(oldMid, newMid)

	used := make([]bool, len(oldMid))
	for _, f := range from {
		if f >= 0 {
			used[f] = true
		}
	}
	for i, k := range oldMid {
		if !used[i] {
			t.remove(k)
		}
	}

	next := kids
	if len(oldMid) > 0 || len(newMid) > 0 {
		next = make([]*mount, len(want))
		copy(next, kids[:head])
		copy(next[len(want)-tail:], kids[len(kids)-tail:])
	}
	for i := range want {
		c := &want[i]
		mid := i - head
		switch {
		case mid < 0 || mid >= len(newMid):
			t.patch(next[i], c)
		case from[mid] >= 0:
			next[i] = oldMid[from[mid]]
			t.patch(next[i], c)
		default:
			next[i] = t.create(c)
		}
		if c.ends != nil {
			t.rendered = append(t.rendered, *c.ends...)
		}
	}
	if len(newMid) > 0 {
		t.place(parent, next, head, from)
	}
	return next
}

// fits says whether the mounted node can be made into c and is the same child.
func (m *mount) fits(c *child) bool { return m.kind == c.kind && m.key == c.key }

// slot is what has to be equal for a keyed child to be the same.
type slot struct {
	key  key
	kind kind
}

// match finds for each wanted child the mounted one to take, or -1. Equal keys
// come first; of several equal ones the first takes the first. What is left
// without a name is taken in order of equal kind, so that a component whose
// instance changed keeps its element.
func match(kids []*mount, want []child) []int {
	from := make([]int, len(want))
	for i := range from {
		from[i] = -1
	}
	if len(kids) == 0 || len(want) == 0 {
		return from
	}
	bySlot := make(map[slot]int, len(kids)) // the first that is free
	next := make([]int, len(kids))          // the one after it
	for i := len(kids) - 1; i >= 0; i-- {
		if kids[i].key == (key{}) {
			continue
		}
		s := slot{kids[i].key, kids[i].kind}
		next[i] = -1
		if j, ok := bySlot[s]; ok {
			next[i] = j
		}
		bySlot[s] = i
	}
	used := make([]bool, len(kids))
	for i := range want {
		if want[i].key == (key{}) {
			continue
		}
		s := slot{want[i].key, want[i].kind}
		if j, ok := bySlot[s]; ok && j >= 0 {
			from[i], used[j], bySlot[s] = j, true, next[j]
		}
	}
	inOrder(kids, want, from, used)
	return from
}

// inOrder gives the nameless children that are left those of equal kind, in
// order.
func inOrder(kids []*mount, want []child, from []int, used []bool) {
	free := make(map[kind][]int)
	for j, k := range kids {
		if !used[j] && k.key.name == "" {
			free[k.kind] = append(free[k.kind], j)
		}
	}
	if len(free) == 0 {
		return
	}
	for i := range want {
		c := &want[i]
		if from[i] >= 0 || c.key.name != "" {
			continue
		}
		if list := free[c.kind]; len(list) > 0 {
			from[i], free[c.kind] = list[0], list[1:]
		}
	}
}

// place inserts new children and moves those that are out of order. from
// belongs to the children after head; a child with -1 is new. The longest run
// of kept children in rising order stays where it is.
func (t *tree) place(parent uint32, next []*mount, head int, from []int) {
	stay := rising(from)
	for i := len(from) - 1; i >= 0; i-- {
		if stay[i] {
			continue
		}
		before := uint32(0)
		if at := head + i + 1; at < len(next) {
			before = next[at].id
		}
		t.prog.op(opInsert, parent, next[head+i].id, before)
	}
}

// rising marks a longest strictly rising subsequence of the numbers >= 0
// (patience sorting, Fredman 1975, from memory: O(n log n)).
func rising(list []int) []bool {
	marked := make([]bool, len(list))
	var ends []int // ends[k]: index of the smallest end of a run of length k+1
	prev := make([]int, len(list))
	for i, v := range list {
		if v < 0 {
			continue
		}
		lo, hi := 0, len(ends)
		for lo < hi {
			mid := (lo + hi) / 2
			if list[ends[mid]] < v {
				lo = mid + 1
			} else {
				hi = mid
			}
		}
		prev[i] = -1
		if lo > 0 {
			prev[i] = ends[lo-1]
		}
		if lo == len(ends) {
			ends = append(ends, i)
		} else {
			ends[lo] = i
		}
	}
	if len(ends) == 0 {
		return marked
	}
	for i := ends[len(ends)-1]; i >= 0; i = prev[i] {
		marked[i] = true
	}
	return marked
}
