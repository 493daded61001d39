package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"strconv"
	"strings"

	"portwright/engine/build"
	"portwright/engine/plan"
	"portwright/engine/unit"
)

const planUsage = `usage: portwright plan [--apply CODE]... [--pass N] [--text] FILE

Prints the cut list for the targets of a build file, as JSON: which moves, how
much, the first bite of each, what the wheel reads afterwards, and warnings. A
file with moves in it asks what exactly those come to.
  --apply CODE  carry out the remedy of this finding; may be given several times
  --pass N      start from the Nth pass as it was read; else from the last, with
                every bite made since
  --text        for reading, not as JSON
FILE may be - for standard input.
`

// codes collects an option that may be given several times.
type codes []string

func (c *codes) String() string     { return fmt.Sprint(*c) }
func (c *codes) Set(s string) error { *c = append(*c, s); return nil }

func planCommand(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	fs := flag.NewFlagSet("plan", flag.ContinueOnError)
	var apply codes
	fs.Var(&apply, "apply", "")
	pass := fs.String("pass", "", "")
	text := fs.Bool("text", false, "")
	fs.Bool("json", true, "")
	names, status, done := parseArgs(fs, args, planUsage, 1, 1, stdout, stderr)
	if done {
		return status
	}
	opt := plan.Options{Apply: apply}
	if *pass != "" {
		n, err := strconv.Atoi(*pass)
		if err != nil || n < 1 {
			return refuse(stderr, &unit.InputError{Field: "--pass", Value: strconv.Quote(*pass), Reason: "must be the number of a pass, 1 or more"})
		}
		opt.Pass = n
	}
	data, err := readInput(names[0], stdin, build.MaxBytes)
	if err != nil {
		return refuse(stderr, err)
	}
	b, err := build.Decode(data)
	if err != nil {
		return refuse(stderr, err)
	}
	if err := errors.Join(build.Check(b), build.CheckPlan(b)); err != nil {
		return refuse(stderr, err)
	}
	warnMistyped(stderr, b)
	r, err := plan.Run(b, opt)
	if err != nil {
		return refuse(stderr, err)
	}
	if *text {
		err = planText(stdout, r)
	} else {
		var out []byte
		if out, err = json.MarshalIndent(r, "", "  "); err == nil {
			_, err = stdout.Write(append(out, '\n'))
		}
	}
	if err != nil {
		return fail(stderr, err)
	}
	return exitOK
}

// planText prints a plan for a person.
func planText(w io.Writer, r *plan.Result) error {
	out := &lines{w: w}
	out.say("Cylinder %d, from pass %q: %s. %s", r.Cylinder, r.Pass, r.Status, r.Text)
	for i, m := range r.Moves {
		out.say("")
		out.say("%d. %s", i+1, stepText(&m))
		switch {
		case m.U95MM != nil:
			out.say("   +- %s mm. %s", unit.Up(*m.U95MM, 2), m.Text)
		case m.Text != "":
			out.say("   %s", m.Text)
		}
		sayReadings(out, "after the first bite, ", m.WheelBite)
		sayReadings(out, "", m.WheelAfter)
		if m.SquishAfter != nil {
			out.say("   squish then %s mm", unit.Fixed(*m.SquishAfter, 2))
		}
	}
	out.say("")
	for _, row := range plan.Table(&r.Now, &r.After) {
		decimals := 2
		switch row.Unit {
		case "s/m":
			decimals = 6
		case "deg", "m/s":
			decimals = 1
		}
		out.say("%-26s %10s %10s %10s  %s", row.Name, number(row.Now, decimals), number(row.After, decimals), number(row.Change, decimals), row.Unit)
	}
	for _, m := range r.Misses {
		out.say("Missed: %s, wanted %s, reached %s", nameOf(m.Target), number(&m.Wanted, 2), number(m.Reached, 2))
	}
	if len(r.Warnings) > 0 {
		out.say("")
	}
	for _, v := range r.Warnings {
		out.say("! %s", v.Text)
	}
	return out.err
}

func sayReadings(out *lines, when string, rs []plan.Reading) {
	for _, rd := range rs {
		if rd.ReadsMM != nil {
			out.say("   %s%s: depth %.2f mm", when, rd.Window, *rd.ReadsMM)
		} else {
			quarter := ""
			if rd.Quarter > 0 {
				quarter = fmt.Sprintf(", in quarter %d from TDC", rd.Quarter)
			}
			out.say("   %s%s %s: the wheel reads %s%s", when, rd.Window, rd.Event, unit.Fixed(*rd.ReadsDeg, 1), quarter)
		}
	}
}

func stepText(m *plan.Step) string {
	name := plan.Name(m.Move)
	if m.Window != "" {
		name += " (" + m.Window + ")"
	}
	switch {
	case m.ToMM != nil:
		return fmt.Sprintf("%s: %.2f mm in place of %.2f", name, *m.ToMM, *m.ToMM-*m.ByMM)
	case m.ToMM2 != nil:
		return fmt.Sprintf("%s: %.0f mm2", name, *m.ToMM2)
	}
	if *m.ByMM < 0.005 {
		return name + ": less than 0.01 mm"
	}
	return fmt.Sprintf("%s: %.2f mm (%.1f thou)", name, *m.ByMM, *m.ByMM/0.0254)
}

// nameOf names a target for a person, with its unit.
func nameOf(key string) string {
	for _, n := range plan.NumberNames() {
		if n.Key == key {
			return strings.TrimSuffix(n.Name+" in "+n.Unit, " in ")
		}
	}
	return key
}

func number(v *float64, decimals int) string {
	if v == nil {
		return "-"
	}
	return unit.Plain(*v, decimals)
}

// lines writes lines until one fails.
type lines struct {
	w   io.Writer
	err error
}

func (l *lines) say(form string, args ...any) {
	if l.err == nil {
		_, l.err = fmt.Fprintf(l.w, form+"\n", args...)
	}
}
