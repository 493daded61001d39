// Command bench measures what design budgets exist for and prints them as a
// table. It judges and does not fail: a busy machine is no fault of the
// program. Start it with
//
//	go run ./cmd/dev bench
//
// which builds the program that is measured. Words behind it measure only what
// they name: bench sync.
package main

import (
	"fmt"
	"os"
	"runtime"
	"slices"
	"strings"

	"portwright/cmd/dev/alone"
	"portwright/static/pack"
)

// row is one line of the table.
type row struct {
	what, budget, measured string
	held                   verdict
}

type verdict int

const (
	told verdict = iota // measured without a budget
	held
	over
	broken // could not be measured
)

func (v verdict) String() string { return [...]string{"", "held", "OVER", "NOT MEASURED"}[v] }

func judge(measured, budget float64) verdict {
	if measured <= budget {
		return held
	}
	return over
}

func main() {
	root, err := pack.Root()
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
	busy := load() // before this program adds its own
	measures := []struct {
		what string
		run  func(root string, r *alone.Runner) []row
	}{
		{"size of the WebAssembly", sizes},
		{"opening the app", opening},
		{"findings", findingsTimes},
		{"server start", serverStart},
		{"sync", syncTimes},
		{"start with a full store", fullStart},
		{"histories", moreHistories},
		{"key tap to painted digit", keyTap},
		{"section view frame", sectionFrames},
	}
	var rows []row
	only := strings.Join(os.Args[1:], " ")
	for _, m := range measures {
		if !strings.Contains(m.what, only) {
			continue
		}
		fmt.Printf("measuring: %s\n", m.what)
		var got []row
		if err := alone.Guard(func(r *alone.Runner) { got = m.run(root, r) }); err != nil {
			fmt.Fprintf(os.Stderr, "%s: %v\n", m.what, err)
			got = []row{{what: m.what, held: broken}}
		}
		rows = append(rows, got...)
	}
	table(rows)
	if busy > 0 {
		fmt.Printf("\nThe machine was busy with other work (load %.1f on %d cores): times are longer than they are on a quiet one.\n", busy, runtime.NumCPU())
	}
}

// load is the number of programs that wanted to run of late, where the system
// tells it and when it is more than the cores that there are.
func load() float64 {
	text, err := os.ReadFile("/proc/loadavg")
	if err != nil {
		return 0
	}
	var one, five float64
	if _, err := fmt.Sscan(string(text), &one, &five); err != nil || five < 1.25*float64(runtime.NumCPU()) {
		return 0
	}
	return five
}

func table(rows []row) {
	fmt.Printf("\n%-62s %-22s %-30s %s\n", "what", "budget", "measured", "")
	for _, r := range rows {
		fmt.Println(strings.TrimRight(fmt.Sprintf("%-62s %-22s %-30s %s", r.what, r.budget, r.measured, r.held), " "))
	}
}

// middle is the median of at least one value.
func middle(v []float64) float64 { return share(v, 0.5) }

// share is the value that this share of the values does not exceed.
func share(v []float64, p float64) float64 {
	s := slices.Sorted(slices.Values(v))
	return s[min(int(p*float64(len(s))), len(s)-1)]
}
