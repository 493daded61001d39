package book

import (
	"strconv"
	"strings"

	"portwright/engine/unit"
)

// A target is the place that a set's path names.
type target struct {
	list string // "", "engine", "wheel", "windows" or "passes"
	id   string // of the window or pass
	key  string
}

// keyRemoved takes a window or pass out of the build and, set to false, back in.
const keyRemoved = "removed"

// keyPlace gives a window its place among the windows, from 1.
const keyPlace = "place"

// parsePath reads the path of a set.
func parsePath(path string) (target, error) {
	head, key, dotted := strings.Cut(path, ".")
	switch {
	case !dotted:
		switch path {
		case "number", "name", "note", "demo", "state":
			return target{key: path}, nil
		}
	case key == "":
	case head == "engine" || head == "wheel":
		return target{list: head, key: key}, nil
	case head == "extra":
		switch key {
		case "format", "version", "id", "number", "name", "note", "demo", "state", "engine", "wheel", "windows", "passes":
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
		Reason: `must be number, name, note, demo, state, engine.<key>, wheel.<key>, windows/<id>.<key>, passes/<id>.<key> or extra.<key>`}
}
