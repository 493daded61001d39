package build

import (
	"io"
	"strconv"
	"strings"

	"portwright/engine/unit"
)

// csvHeader names the columns of WriteCSV.
func csvHeader() []string {
	return []string{"build number", "build name", "pass", "cylinder", "kind", "window", "event", "when", "near", "way",
		"repeat", "value", "unit", "method", "feeler", "feeler unit", "side", "quarter", "struck", "at", "device"}
}

// WriteCSV writes the readings of a build as RFC 4180: a header, CRLF line ends,
// one row for each reading and each stop reading, pass by pass in the order
// taken, struck ones with their reason. kind is "reading" or "stop"; repeat
// counts the readings of one window and event, or the stop checks of one
// "when" and "near". Numbers have a decimal point.
//
// A text that a spreadsheet would take for a formula (it begins with = + - @,
// a tab or a line end) is written behind an apostrophe, which spreadsheets show
// as plain text. Number columns hold numbers alone and are not changed.
func WriteCSV(w io.Writer, b *Build) error {
	out := AppendCSV(nil, csvHeader())
	for i := range b.Passes {
		p := &b.Passes[i]
		rows := stopRows(p, func(s *StopCheck) bool { return s.When != WhenAfter })
		rows = append(rows, readingRows(p)...)
		rows = append(rows, stopRows(p, func(s *StopCheck) bool { return s.When == WhenAfter })...)
		for _, r := range rows {
			out = AppendCSV(out, r.cells(b, p))
		}
	}
	_, err := w.Write(out)
	return err
}

// AppendCSV appends a row. A field is put in quotes where it must be, and where
// its first byte is a space, which some programs drop. Line ends are CRLF, in a
// field too.
//
// Source: RFC 4180, section 2.
func AppendCSV(out []byte, fields []string) []byte {
	for i, f := range fields {
		if i > 0 {
			out = append(out, ',')
		}
		if !strings.ContainsAny(f, ",\"\r\n") && !strings.HasPrefix(f, " ") {
			out = append(out, f...)
			continue
		}
		out = append(out, '"')
		for _, c := range []byte(f) {
			switch c {
			case '"':
				out = append(out, `""`...)
			case '\n':
				out = append(out, "\r\n"...)
			case '\r':
			default:
				out = append(out, c)
			}
		}
		out = append(out, '"')
	}
	return append(out, "\r\n"...)
}

// csvRow is one row, its texts as they are.
type csvRow struct {
	kind, window, event, when, near, way      string
	repeat                                    int
	value                                     unit.Length
	method, side, quarter, struck, at, device string
	feeler                                    *unit.Length
}

func (r csvRow) cells(b *Build, p *Pass) []string {
	feeler, feelerUnit := "", ""
	if r.feeler != nil {
		feeler, feelerUnit = string(NumberJSON(r.feeler.Value)), unitOf(*r.feeler)
	}
	t := CSVText
	return []string{t(b.Number), t(b.Name), t(p.Name), strconv.Itoa(max(p.Cylinder, 1)), r.kind, t(r.window), t(r.event),
		t(r.when), t(r.near), t(r.way), strconv.Itoa(r.repeat), string(NumberJSON(r.value.Value)), string(r.value.Unit),
		t(r.method), feeler, feelerUnit, t(r.side), r.quarter, t(r.struck), t(r.at), t(r.device)}
}

func readingRows(p *Pass) []csvRow {
	repeat := map[[2]string]int{}
	rows := make([]csvRow, 0, len(p.Readings))
	for i := range p.Readings {
		r := &p.Readings[i]
		key := [2]string{r.Window, r.Event}
		repeat[key]++
		row := csvRow{kind: "reading", window: r.Window, event: r.Event, repeat: repeat[key], value: r.Value,
			method: r.Method, side: r.Side, struck: r.Struck, at: r.At, device: r.Device, feeler: r.FeelerMM}
		if row.value.Unit == "" {
			row.value.Unit = "deg"
			if p.Habit == HabitDepth {
				row.value.Unit = unit.MM
			}
		}
		if r.Quarter != 0 {
			row.quarter = strconv.Itoa(r.Quarter)
		}
		rows = append(rows, row)
	}
	return rows
}

func stopRows(p *Pass, wanted func(*StopCheck) bool) []csvRow {
	repeat := map[[2]string]int{}
	var rows []csvRow
	for i := range p.Stops {
		s := &p.Stops[i]
		if !wanted(s) {
			continue
		}
		key := [2]string{s.When, s.Near}
		repeat[key]++
		for j, v := range s.Readings {
			row := csvRow{kind: "stop", when: s.When, near: s.Near, way: s.WayOf(j), repeat: repeat[key],
				value: unit.Length{Value: v, Unit: "deg"}, struck: s.Struck, device: s.Device}
			if j < len(s.At) {
				row.at = s.At[j]
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// WayOf says how the stop was reached for reading i: "running" or "back".
func (s *StopCheck) WayOf(i int) string {
	if i > 0 || (len(s.Readings) == 1 && s.Way == WayBack) {
		return WayBack
	}
	return WayRunning
}

// CSVText keeps a spreadsheet from taking a text for a formula.
func CSVText(s string) string {
	if s != "" {
		switch s[0] {
		case '=', '+', '-', '@', '\t', '\r', '\n':
			return "'" + s
		}
	}
	return s
}
