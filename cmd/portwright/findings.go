package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/findings"
	"portwright/engine/unit"
)

// findingsArgs are the arguments of portwright findings.
type findingsArgs struct {
	file  string
	apply []string
	pass  int // from 1; 0: all
}

const findingsUsage = `usage: portwright findings [--apply CODE]... [--pass N] FILE

Prints what the readings of a build file say, as JSON.
  --apply CODE  carry out the remedy of this problem; may be given several times
  --pass N      print only the Nth pass
FILE may be - for standard input.
`

func findingsCommand(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	a, help, err := parseFindings(args)
	if help {
		fmt.Fprint(stdout, findingsUsage)
		return exitOK
	}
	if err != nil {
		fmt.Fprintln(stderr, err)
		fmt.Fprint(stderr, "\n"+findingsUsage)
		return exitInput
	}
	data, err := readInput(a.file, stdin, build.MaxBytes)
	if err != nil {
		return refuse(stderr, err)
	}
	b, err := build.Decode(data)
	if err != nil {
		return refuse(stderr, err)
	}
	warnMistyped(stderr, b)
	r, err := findings.Run(b, findings.Options{Apply: a.apply})
	if err != nil {
		return refuse(stderr, err)
	}
	if a.pass > len(r.Passes) {
		return refuse(stderr, &unit.InputError{Field: "--pass", Value: strconv.Itoa(a.pass),
			Reason: fmt.Sprintf("must be 1 to %d, the passes of this file", len(r.Passes))})
	}
	if a.pass > 0 {
		r.Passes = r.Passes[a.pass-1 : a.pass]
		r.Comparisons = ofPass(r.Comparisons, r.Passes[0])
	}
	out, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		fmt.Fprintln(stderr, "portwright findings:", err)
		return exitFailed
	}
	if _, err := stdout.Write(append(out, '\n')); err != nil {
		fmt.Fprintln(stderr, "portwright findings:", err)
		return exitFailed
	}
	return exitOK
}

// parseFindings reads the arguments; options may stand before or after FILE.
func parseFindings(args []string) (a findingsArgs, help bool, err error) {
	files := []string{}
	for i := 0; i < len(args); i++ {
		name, value, joined := strings.Cut(args[i], "=")
		switch name {
		case "-h", "-help", "--help":
			return a, true, nil
		case "-apply", "--apply", "-pass", "--pass":
			if !joined {
				if i++; i == len(args) {
					return a, false, fmt.Errorf("%s: must be followed by its value", name)
				}
				value = args[i]
			}
			if strings.HasSuffix(name, "apply") {
				a.apply = append(a.apply, value)
				continue
			}
			n, err := strconv.Atoi(value)
			if err != nil || n < 1 {
				return a, false, &unit.InputError{Field: "--pass", Value: strconv.Quote(value), Reason: "must be the number of a pass, 1 or more"}
			}
			a.pass = n
		default:
			if len(args[i]) > 1 && args[i][0] == '-' {
				return a, false, fmt.Errorf("%s: is not an option of findings", args[i])
			}
			files = append(files, args[i])
		}
	}
	if len(files) != 1 {
		return a, false, errors.New("findings: must be given one build file, or - for standard input")
	}
	a.file = files[0]
	return a, false, nil
}

// ofPass keeps the comparisons of one pass.
func ofPass(all []findings.Comparison, p findings.PassResult) []findings.Comparison {
	out := []findings.Comparison{}
	for _, c := range all {
		if c.Pass == p.Name && c.Cylinder == p.Cylinder {
			out = append(out, c)
		}
	}
	return out
}
