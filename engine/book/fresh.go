package book

import "portwright/engine/build"

// Fresh returns a copy of a build without the IDs of its parts, to be taken in
// as a new build beside the one it came from. Its corrections go by place.
func Fresh(b *build.Build) (*build.Build, error) {
	data, err := build.Encode(b)
	if err != nil {
		return nil, err
	}
	c, err := build.Decode(data)
	if err != nil {
		return nil, err
	}
	c.ID = ""
	for i := range c.Windows {
		c.Windows[i].ID = ""
	}
	for i := range c.Passes {
		freshPass(&c.Passes[i])
	}
	for i := range c.Bites {
		c.Bites[i].ID = ""
	}
	return c, nil
}

func freshPass(p *build.Pass) {
	p.ID = ""
	for j := range p.Stops {
		p.Stops[j].ID, p.Stops[j].IDs = "", nil
	}
	places := map[string]int{}
	for j := range p.Readings {
		places[p.Readings[j].ID] = j + 1
		p.Readings[j].ID = ""
	}
	delete(places, "")
	for j := range p.Corrections {
		c := &p.Corrections[j]
		if n, ok := places[c.AfterID]; ok {
			c.After = n
		}
		if len(c.IDs) > 0 {
			c.Readings = nil
			for _, id := range c.IDs {
				if n, ok := places[id]; ok {
					c.Readings = append(c.Readings, n)
				}
			}
		}
		c.ID, c.AfterID, c.IDs = "", "", nil
	}
}
