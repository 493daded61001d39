package build

import "strconv"

// A Stranger is a field that this version does not know. It is kept and has no
// effect: it may be of a newer version, or mistyped.
type Stranger struct {
	Path  string // of the part that it stands in, e.g. "passes[0].readings[2]", "" for the file itself
	Key   string
	Known []string // the keys that are known there
}

// Strangers lists the fields of a build that this version does not know, in
// the order of the file's parts.
func Strangers(b *Build) []Stranger {
	s := &strangers{}
	s.part("", b)
	return s.out
}

type strangers struct {
	ignore
	path string
	out  []Stranger
}

func (s *strangers) part(key string, p Part) {
	was := s.path
	defer func() { s.path = was }()
	s.path = s.at(key)
	known := sortedKeys(knownKeys(p))
	for _, k := range sortedKeys(*p.extra()) {
		s.out = append(s.out, Stranger{s.path, k, known})
	}
	p.fields(s)
}

func (s *strangers) list(key string, l list) {
	for i := range l.size() {
		s.part(key+"["+strconv.Itoa(i)+"]", l.at(i))
	}
}

func (s *strangers) some(key string, p Part) { s.part(key, p) }
func (s *strangers) own(key string, p Part)  { s.part(key, p) }
func (s *strangers) rows(key string, l list) { s.list(key, l) }
func (s *strangers) room(key string, p **Room) {
	if *p != nil {
		s.part(key, *p)
	}
}

func (s *strangers) at(key string) string {
	if s.path == "" || key == "" {
		return s.path + key
	}
	return s.path + "." + key
}
