package app

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// gasketsPath is the list of gaskets at hand; biteStart begins the path of a
// bite that is measured, which no field of the book has.
const (
	gasketsPath = "moves_allowed.base_gaskets_mm"
	biteStart   = "bite/"
)

// StationOf is where a field is given.
func StationOf(path string) Station {
	for _, start := range [...]string{"targets.", "moves_allowed.", "limits.", "rules.", biteStart} {
		if strings.HasPrefix(path, start) {
			return AtCuts
		}
	}
	return AtEngine
}

// MoveAt is a move that can be made at this engine; Window has no ID where it
// is about none.
type MoveAt struct {
	Move   string
	Window build.Window
}

// Path names the move among those of its build.
func (m MoveAt) Path() string { return m.Move + "/" + m.Window.ID }

// MovesOf lists the moves that can be made, each window's by itself, in the
// order of work.
func MovesOf(b *build.Build) []MoveAt {
	piston := b.Engine.Intake == "" || b.Engine.Intake == build.IntakePistonPort
	var out []MoveAt
	for _, move := range build.MoveNames() {
		var kinds []string
		switch move {
		case build.MoveExhaustRoof, build.MoveExhaustWidth:
			kinds = []string{build.KindExhaust}
		case build.MoveTransferRoof:
			kinds = []string{build.KindTransfer, build.KindBoost}
		case build.MoveIntakeFloor:
			kinds = []string{build.KindIntake}
		default:
			if piston || move != build.MoveIntakeSkirt {
				out = append(out, MoveAt{Move: move})
			}
		}
		for _, w := range b.Windows {
			if slices.Contains(kinds, w.Kind) && (piston || w.Kind != build.KindIntake) {
				out = append(out, MoveAt{move, w})
			}
		}
	}
	return out
}

func moveAt(b *build.Build, path string) (MoveAt, bool) {
	for _, mv := range MovesOf(b) {
		if mv.Path() == path {
			return mv, true
		}
	}
	return MoveAt{}, false
}

// CutsGroups lists every field of station Cuts.
func CutsGroups(b *build.Build) []FieldGroup {
	var rooms, places, moves []string
	for _, r := range b.Allowed.Rooms() {
		rooms = append(rooms, r.Key())
	}
	for i := range min(maxPlaces, len(b.Allowed.BaseGaskets)+1) {
		places = append(places, strconv.Itoa(i))
	}
	for _, mv := range MovesOf(b) {
		moves = append(moves, mv.Path())
	}
	groups := []FieldGroup{{ID: "targets"}, {ID: "allowed"}, {ID: "gaskets"}, {ID: "limits"}, {ID: "rules"}, {ID: "tools"}, {ID: "bites"}}
	keys := [...][]string{build.TargetKeys(), rooms, places,
		strings.Fields("squish_min_mm exhaust_duration_max_deg transfer_duration_max_deg intake_duration_max_deg " +
			"blowdown_min_deg geometric_ratio_max trapped_ratio_max seal_land_min_mm"),
		strings.Fields("squish_least_mm exhaust_duration_most_deg intake_duration_most_deg geometric_ratio_most " +
			"trapped_ratio_most squish_velocity_most_m_s seal_land_least_mm ring_below_deck_least_mm floor_shroud_most_mm ring_land_least_mm"), rooms, moves}
	starts := strings.Fields("targets. moves_allowed. " + gasketsPath + "[ limits. rules. moves_allowed. " + biteStart)
	ends := [...]string{"", ".max", "]", "", "", ".step", ""}
	for i := range groups {
		for _, k := range keys[i] {
			f := FieldSpec{Path: starts[i] + k + ends[i], Kind: FieldNumber}
			if ends[i] != "" || strings.HasSuffix(k, "_mm") || starts[i] == biteStart && k != build.MoveMufflerOutlet+"/" {
				f.Kind = FieldLength
			}
			groups[i].Fields = append(groups[i].Fields, f)
		}
	}
	return groups
}

// planPart finds the part of a build that holds a field of station Cuts.
func planPart(b *build.Build, where string) build.Part {
	switch where {
	case "targets":
		return &b.Targets
	case "moves_allowed":
		return &b.Allowed
	case "limits":
		return &b.Limits
	case "rules":
		return &b.Rules
	}
	return nil
}

// roomField splits the path of a bound of a move, such as
// "moves_allowed.base_cut_mm.max".
func roomField(b *build.Build, path string) (room *build.Room, base, key string, ok bool) {
	for _, r := range b.Allowed.Rooms() {
		base = "moves_allowed." + r.Key()
		if key, ok = strings.CutPrefix(path, base+"."); !ok {
			continue
		}
		room = &build.Room{}
		if *r.Room != nil {
			*room = **r.Room
		}
		return room, base, key, true
	}
	return nil, "", "", false
}

// wholeRoom is the room of a move with one of its bounds set. A move that is
// allowed no further is so by CutsAllow alone.
func wholeRoom(b *build.Build, path string, value json.RawMessage) (base string, whole json.RawMessage, ok bool) {
	room, base, key, ok := roomField(b, path)
	if !ok {
		return "", nil, false
	}
	if value == nil {
		value = json.RawMessage("null")
	}
	if build.SetField(room, key, value) != nil {
		return base, value, true
	}
	whole, err := build.EncodePart(room)
	if err != nil {
		return base, value, true
	}
	return base, whole, true
}

// listAt is a field that holds a list of lengths, nil where it is none.
func listAt(b *build.Build, base string) []unit.Length {
	switch base {
	case gasketsPath:
		return b.Allowed.BaseGaskets
	case "engine.squish_mm":
		return b.Engine.Squish
	}
	for i := range b.Passes {
		if base == "passes/"+b.Passes[i].ID+".squish_mm" {
			return b.Passes[i].Squish
		}
	}
	return nil
}
