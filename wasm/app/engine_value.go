package app

import (
	"encoding/json"
	"errors"
	"slices"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/unit"
)

// partAt finds the part of a build that holds a field, the field's key there,
// and the path under which package build speaks of it: "windows/<id>.chord_mm"
// is "windows[2].chord_mm" there.
func partAt(b *build.Build, path string) (part build.Part, key, named string, ok bool) {
	where, key, dotted := strings.Cut(path, ".")
	switch {
	case !dotted:
		return b, path, path, true
	case where == "engine":
		return &b.Engine, key, path, true
	case where == "wheel":
		return &b.Wheel, key, path, true
	case planPart(b, where) != nil:
		return planPart(b, where), key, path, true
	}
	list, id, _ := strings.Cut(where, "/")
	switch list {
	case "windows":
		if i := slices.IndexFunc(b.Windows, func(w build.Window) bool { return w.ID == id }); i >= 0 {
			return &b.Windows[i], key, "windows[" + strconv.Itoa(i) + "]." + key, true
		}
	case "passes":
		if i := slices.IndexFunc(b.Passes, func(p build.Pass) bool { return p.ID == id }); i >= 0 {
			return &b.Passes[i], key, "passes[" + strconv.Itoa(i) + "]." + key, true
		}
	}
	return nil, "", "", false
}

// Values are the known fields of a build as JSON, by path.
type Values map[string]json.RawMessage

// ValuesOf reads every field of a build once.
func ValuesOf(b *build.Build) Values {
	v := Values{}
	v.read("", b)
	v.read("engine.", &b.Engine)
	v.read("wheel.", &b.Wheel)
	for i := range b.Windows {
		v.read("windows/"+b.Windows[i].ID+".", &b.Windows[i])
	}
	for i := range b.Passes {
		v.read("passes/"+b.Passes[i].ID+".", &b.Passes[i])
	}
	for _, where := range [...]string{"targets", "moves_allowed", "limits", "rules"} {
		v.read(where+".", planPart(b, where))
	}
	for _, r := range b.Allowed.Rooms() {
		if *r.Room != nil {
			v.read("moves_allowed."+r.Key()+".", *r.Room)
		}
	}
	lists := []string{"engine.squish_mm", gasketsPath}
	for i := range b.Passes {
		lists = append(lists, "passes/"+b.Passes[i].ID+".squish_mm")
	}
	for _, base := range lists {
		for i, l := range listAt(b, base) {
			v[base+"["+strconv.Itoa(i)+"]"] = build.LengthJSON(l)
		}
	}
	return v
}

func (v Values) read(prefix string, p build.Part) {
	fields, err := build.Fields(p)
	if err != nil {
		return
	}
	for _, f := range fields {
		v[prefix+f.Key] = f.Value
	}
}

// Length is a field's length, nil when it is not known or no length.
func (v Values) Length(path string) *unit.Length {
	raw, ok := v[path]
	if !ok {
		return nil
	}
	l, err := build.ReadValue(raw)
	if err != nil {
		return nil
	}
	return &l
}

// Text is a field's value as words: a text without quotes, a number plainly;
// "" when it is not known.
func (v Values) Text(path string) string {
	raw, ok := v[path]
	if !ok {
		return ""
	}
	if s, ok := build.Text(raw); ok {
		return s
	}
	if n, ok := build.Number(raw); ok {
		return unit.Plain(n, 4)
	}
	return ""
}

// wholeField is what is to be set for a field to have a value, nil to make it
// not known: the field itself, for a place of a list the whole list.
func wholeField(b *build.Build, path string, value json.RawMessage) (setPath string, setValue json.RawMessage) {
	if base, whole, ok := wholeRoom(b, path, value); ok {
		return base, whole
	}
	base, place := splitPlace(path)
	if place < 0 {
		if value == nil {
			value = json.RawMessage("null")
		}
		return path, value
	}
	places := slices.Clone(listAt(b, base))
	l, err := build.ReadValue(value)
	switch {
	case value == nil && place < len(places):
		places = slices.Delete(places, place, place+1)
	case value == nil || err != nil:
	case place < len(places):
		places[place] = l
	default:
		places = append(places, l)
	}
	if len(places) == 0 {
		return base, json.RawMessage("null")
	}
	return base, build.LengthsJSON(places)
}

// withField is a copy of the build with one field set, and the path under
// which package build speaks of that field.
func withField(b *build.Build, path string, value json.RawMessage) (c *build.Build, named string, ok bool) {
	whole := *b
	c = &whole
	c.Windows, c.Passes, c.Targets.List = slices.Clone(b.Windows), slices.Clone(b.Passes), slices.Clone(b.Targets.List)
	part, key, named, ok := partAt(c, path)
	if !ok || build.SetField(part, key, value) != nil {
		return nil, named, false
	}
	if strings.HasPrefix(named, "windows[") && key == "name" {
		renamed(c, b, path)
	}
	return c, named, true
}

// wrongWith says what would be wrong with the build if a field were set: the
// field's own faults, and faults of others that were not there before.
func wrongWith(b *build.Build, path string, value json.RawMessage) []*unit.InputError {
	c, named, ok := withField(b, path, value)
	if !ok {
		part, key, _, there := partAt(&build.Build{Windows: slices.Clone(b.Windows), Passes: slices.Clone(b.Passes)}, path)
		if !there {
			return nil
		}
		faults := faultsOf(build.SetField(part, key, value))
		for _, f := range faults {
			f.Field = named
		}
		return faults
	}
	old := map[string]bool{}
	for _, f := range checked(b) {
		old[f.Error()] = true
	}
	var out []*unit.InputError
	for _, f := range checked(c) {
		if !old[f.Error()] || f.Field == named {
			out = append(out, f)
		}
	}
	return out
}

// checked lists what can't be in a build and in what is planned for it.
func checked(b *build.Build) []*unit.InputError {
	return append(faultsOf(build.Check(b)), faultsOf(build.CheckPlan(b))...)
}

// renamed lets the readings of c follow the window whose name was set.
func renamed(c, before *build.Build, path string) {
	was, _, _, _ := partAt(before, path)
	is, _, _, _ := partAt(c, path)
	from, to := was.(*build.Window).Name, is.(*build.Window).Name
	for i := range c.Passes {
		c.Passes[i].Readings = slices.Clone(c.Passes[i].Readings)
		for j := range c.Passes[i].Readings {
			if r := &c.Passes[i].Readings[j]; r.Window == from {
				r.Window = to
			}
		}
	}
}

// faultsOf takes a joined error apart.
func faultsOf(err error) []*unit.InputError {
	var one *unit.InputError
	var many interface{ Unwrap() []error }
	switch {
	case err == nil:
		return nil
	case errors.As(err, &many):
		var out []*unit.InputError
		for _, e := range many.Unwrap() {
			out = append(out, faultsOf(e)...)
		}
		return out
	case errors.As(err, &one):
		return []*unit.InputError{one}
	}
	return []*unit.InputError{{Reason: err.Error()}}
}
