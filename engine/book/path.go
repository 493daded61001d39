package book

import (
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// A target is the place that a set's path names.
type target struct {
	list string // "", "windows", "passes", or the name of a part: "engine", "wheel", "targets" ...
	id   string // of the window or pass
	key  string
}

// keyRemoved takes a window or pass out of the build and, set to false, back in.
const keyRemoved = "removed"

// keyPlace gives a window its place among the windows, from 1.
const keyPlace = "place"

// OrderPath is the order of the targets, the first the most important: their
// keys with spaces between.
const OrderPath = "targets.order"

// parsePath reads the path of a set.
func parsePath(path string) (target, error) {
	head, key, dotted := strings.Cut(path, ".")
	switch {
	case !dotted:
		switch path {
		case "number", "name", "note", "demo", "state", "moves":
			return target{key: path}, nil
		}
	case key == "":
	case isPart(head):
		return target{list: head, key: key}, nil
	case head == "extra":
		switch key {
		case "format", "version", "id", "number", "name", "note", "demo", "state", "engine", "wheel", "windows", "passes",
			"targets", "moves_allowed", "limits", "rules", "moves", "bites":
		default:
			return target{key: key}, nil
		}
	default:
		list, id, _ := strings.Cut(head, "/")
		if (list == "windows" || list == "passes") && id != "" && key != "id" {
			return target{list: list, id: id, key: key}, nil
		}
	}
	return target{}, &unit.InputError{Field: "path", Value: strconv.Quote(path),
		Reason: `must be number, name, note, demo, state, moves, engine.<key> (or wheel, targets, moves_allowed, limits, rules), windows/<id>.<key>, passes/<id>.<key> or extra.<key>`}
}

// isPart says whether a part of a build stands under a key.
func isPart(key string) bool {
	switch key {
	case "engine", "wheel", "targets", "moves_allowed", "limits", "rules":
		return true
	}
	return false
}

// partOf returns the part of a build that stands under a key, nil where none
// does.
func partOf(b *build.Build, key string) build.Part {
	switch key {
	case "engine":
		return &b.Engine
	case "wheel":
		return &b.Wheel
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
