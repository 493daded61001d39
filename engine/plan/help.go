package plan

import "slices"

// freedBy returns the moves that are not allowed and would, each by itself, let
// limits that contradict each other hold together.
func (p *problem) freedBy() (help []string) {
	for j := range p.vars {
		if p.vars[j].allowed {
			continue
		}
		q := *p
		q.vars = append([]variable(nil), p.vars...)
		q.vars[j].allowed = true
		if name := Name(p.vars[j].move); !slices.Contains(help, name) && q.best().ok {
			help = append(help, name)
		}
	}
	return help
}
