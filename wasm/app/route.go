package app

import "strings"

// Route is an address in the app: the part after "#".
type Route struct {
	Station Station
	Build   string // "" at the book
}

// ParseRoute reads the part after "#": "" is the book, "b/<build>/<station>" a
// build's station (engine, bench or findings; engine when it is left out). An
// address that means nothing leads to the book.
func ParseRoute(hash string) Route {
	parts := strings.Split(strings.TrimPrefix(hash, "#"), "/")
	if parts[0] != "b" || len(parts) < 2 || parts[1] == "" {
		return Route{Station: AtBook}
	}
	r := Route{Station: AtEngine, Build: parts[1]}
	if len(parts) > 2 {
		switch s := Station(parts[2]); s {
		case AtEngine, AtBench, AtFindings:
			r.Station = s
		}
	}
	return r
}

// Hash is the address that ParseRoute reads back as r.
func (r Route) Hash() string {
	if r.Build == "" || r.Station == AtBook {
		return ""
	}
	return "b/" + r.Build + "/" + string(r.Station)
}
