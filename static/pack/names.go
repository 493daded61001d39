package pack

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"portwright/static/release"
)

// namesFile is the file of a build that says which function has which number.
// The app never reads it and no phone keeps it: a stack trace tells program
// counters, and Named puts the names to them.
const namesFile = "names.txt"

// What stands in the memory in place of the functions' names. The runtime takes
// a goroutine that began in a function of its own package for one of its own,
// and takes the name of a method apart when a wrapper is called through nil.
//
// Source: the Go source tree, runtime/traceback.go (isSystemGoroutine,
// showfuncinfo) and runtime/error.go (panicwrap), Go 1.26.
const (
	nameOfRuntime   = "runtime.f"
	methodOfRuntime = "runtime.(*T).M"
	nameOfOthers    = "f.f"
	methodOfOthers  = "f.(*T).M"
)

// namesRead are the names that the runtime compares with.
//
// Source: the Go source tree, runtime/stkframe.go (argMapInternal), Go 1.26.
var namesRead = []string{"reflect.makeFuncStub", "reflect.methodValueCall"}

// A program counter is a function's number times 65536, plus the place inside.
//
// Source: the Go source tree, cmd/link/internal/wasm/asm.go (assignAddress), Go 1.26.
const (
	funcName  = 4 // offset of the name in a function
	funcShift = 16
)

// dropNames takes the functions' names out of the memory and returns them in
// namesFile's form: a line for each, its number in hexadecimal before it.
func dropNames(memory []segment) ([]byte, error) {
	head, err := header(memory)
	if err != nil {
		return nil, err
	}
	word := func(i int) int { return int(binary.LittleEndian.Uint64(head[8+8*i:])) }
	n, at := word(wordFuncs), word(wordFuncAt)
	names := head[word(wordNames):word(wordUnits)]
	is := slices.Clone(names)
	clear(is)
	free, placed := 1, map[string]int{} // at 0 there is no name
	place := func(name string) (int, error) {
		if off, ok := placed[name]; ok {
			return off, nil
		}
		off := free
		if free += len(name) + 1; free > len(is) {
			return 0, errors.New("no room for the names that stay")
		}
		copy(is[off:], name)
		placed[name] = off
		return off, nil
	}
	var list bytes.Buffer
	for i := range n {
		number := binary.LittleEndian.Uint32(head[at+8*i:])
		f := at + int(binary.LittleEndian.Uint32(head[at+8*i+4:]))
		off := int(binary.LittleEndian.Uint32(head[f+funcName:]))
		if off >= len(names) {
			return nil, fmt.Errorf("the name of function %d of %d lies at %d of %d", i, n, off, len(names))
		}
		was, _, _ := bytes.Cut(names[off:], []byte{0})
		fmt.Fprintf(&list, "%x %s\n", number, was)
		to, err := place(nameLeft(string(was)))
		if err != nil {
			return nil, err
		}
		binary.LittleEndian.PutUint32(head[f+funcName:], uint32(to))
	}
	copy(names, is)
	return list.Bytes(), nil
}

func nameLeft(was string) string {
	method := strings.Contains(was, ".(*")
	switch {
	case slices.Contains(namesRead, was):
		return was
	case strings.HasPrefix(was, "runtime.") && method:
		return methodOfRuntime
	case strings.HasPrefix(was, "runtime."):
		return nameOfRuntime
	case method:
		return methodOfOthers
	}
	return nameOfOthers
}

// NamesOf returns the names of the build packed in dist, in namesFile's form.
// A trace that tells its build must be of this one.
func NamesOf(dist fs.FS, trace []byte) ([]byte, error) {
	rel, err := release.Read(dist)
	if err != nil {
		return nil, err
	}
	if m := tracedBuild.FindSubmatch(trace); m != nil && string(m[1]) != rel.Build {
		return nil, fmt.Errorf("the trace is of build %s, packed is %s: give that build's own file %s%s", m[1], rel.Build, release.Base(string(m[1])), namesFile)
	}
	return fs.ReadFile(dist, release.File{Path: release.Base(rel.Build) + namesFile}.Inside())
}

var (
	tracedBuild   = regexp.MustCompile(`\bbuild ([0-9a-f]{16})\b`)
	tracedCounter = regexp.MustCompile(`\bpc=0x([0-9a-f]+)`)
)

// Named returns the trace with a function's name behind each program counter.
// A trace without any is refused, and so are names of another form.
func Named(trace, names []byte) ([]byte, error) {
	byNumber := map[uint64]string{}
	for i, line := range strings.Split(strings.TrimSuffix(string(names), "\n"), "\n") {
		number, name, _ := strings.Cut(line, " ")
		n, err := strconv.ParseUint(number, 16, 64)
		if err != nil || name == "" {
			return nil, fmt.Errorf("line %d of the names is %q, want a hexadecimal number and a name", i+1, line)
		}
		byNumber[n] = name
	}
	if !tracedCounter.Match(trace) {
		return nil, errors.New("the trace has no program counter: nothing like pc=0x13f20007 is in it")
	}
	return tracedCounter.ReplaceAllFunc(trace, func(found []byte) []byte {
		pc, err := strconv.ParseUint(string(found[len("pc=0x"):]), 16, 64)
		name, ok := byNumber[pc>>funcShift]
		if err != nil || !ok {
			name = "(no function of these names)"
		}
		return append(slices.Clone(found), " "+name...)
	}), nil
}
