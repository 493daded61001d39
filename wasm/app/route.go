package app

import "strings"

// Route is an address in the app: the part after "#".
type Route struct {
	Station Station
	Build   string // "" at the book
	Field   string // of stations Engine and Cuts: the path of the field in hand; of Sheet: the build it is compared with
	Demo    bool   // the demo build, made when it is not there
}

// ParseRoute reads the part after "#": "" is the book, "demo" the demo build,
// "b/<build>/<station>" a build's station (engine, bench, findings, section,
// cuts or sheet; engine when it is left out), behind engine or cuts the path of
// a field, and behind sheet the build it is compared with, which may be the
// same. An
// address that means nothing leads to the book.
func ParseRoute(hash string) Route {
	parts := strings.SplitN(strings.TrimPrefix(hash, "#"), "/", 4)
	if parts[0] == "demo" {
		return Route{Station: AtBook, Demo: true}
	}
	if parts[0] != "b" || len(parts) < 2 || parts[1] == "" {
		return Route{Station: AtBook}
	}
	r := Route{Station: AtEngine, Build: parts[1]}
	if len(parts) > 2 {
		switch s := Station(parts[2]); s {
		case AtEngine, AtBench, AtFindings, AtCuts, AtSection, AtSheet:
			r.Station = s
		}
	}
	if len(parts) > 3 && (r.Station == AtSheet || r.Station == StationOf(parts[3])) {
		r.Field = parts[3]
	}
	return r
}

// Hash is the address that ParseRoute reads back as r.
func (r Route) Hash() string {
	switch {
	case r.Demo:
		return "demo"
	case r.Build == "" || r.Station == AtBook:
		return ""
	}
	hash := "b/" + r.Build + "/" + string(r.Station)
	if r.Field != "" {
		hash += "/" + r.Field
	}
	return hash
}
