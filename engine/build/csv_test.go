package build_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"portwright/engine/build"
	"portwright/engine/unit"
)

func csvOf(t *testing.T, b *build.Build) string {
	t.Helper()
	var out bytes.Buffer
	if err := build.WriteCSV(&out, b); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func TestCSV(t *testing.T) {
	b := &build.Build{Number: "2026-014", Name: "=SUM(A1)", Windows: []build.Window{{Name: "front, left", Kind: "transfer"}},
		Passes: []build.Pass{
			{Name: `"as" received`,
				Stops: []build.StopCheck{
					{When: "after", Near: "tdc", Readings: []float64{22.5}, Way: build.WayBack, Struck: "pointer\nmoved"},
					{When: "before", Near: "tdc", Readings: []float64{341, 23}, At: []string{"", "2026-03-14T09:12:20Z"}, Device: "d1"}},
				Readings: []build.Reading{
					{Window: "front, left", Event: "opens", Value: unit.Length{Value: 121.5}, Method: "feeler", FeelerMM: &unit.Length{Value: 8, Unit: unit.Thou}, Side: "down", Quarter: 2},
					{Window: "front, left", Event: "opens", Value: unit.Length{Value: 131.5}, Struck: "-misread"}}},
			{Name: "depths", Cylinder: 2, Habit: build.HabitDepth, Readings: []build.Reading{
				{Window: "front, left", Event: "opens", Value: unit.Length{Value: 1.145, Unit: unit.Inch}, At: "2026-03-14T10:00:00Z", Device: "d2"},
				{Window: "front, left", Event: "opens", Value: unit.Length{Value: 29.1}}}},
		}}
	// RFC 4180: CRLF line ends, quotes doubled, fields with comma, quote or line
	// end in quotes; a text that looks like a formula stands behind an apostrophe.
	want := strings.ReplaceAll(`build number,build name,pass,cylinder,kind,window,event,when,near,way,repeat,value,unit,method,feeler,feeler unit,side,quarter,struck,at,device
2026-014,'=SUM(A1),"""as"" received",1,stop,,,before,tdc,running,1,341,deg,,,,,,,,d1
2026-014,'=SUM(A1),"""as"" received",1,stop,,,before,tdc,back,1,23,deg,,,,,,,2026-03-14T09:12:20Z,d1
2026-014,'=SUM(A1),"""as"" received",1,reading,"front, left",opens,,,,1,121.5,deg,feeler,8,thou,down,2,,,
2026-014,'=SUM(A1),"""as"" received",1,reading,"front, left",opens,,,,2,131.5,deg,,,,,,'-misread,,
2026-014,'=SUM(A1),"""as"" received",1,stop,,,after,tdc,back,1,22.5,deg,,,,,,"pointer
moved",,
2026-014,'=SUM(A1),depths,2,reading,"front, left",opens,,,,1,1.145,in,,,,,,,2026-03-14T10:00:00Z,d2
2026-014,'=SUM(A1),depths,2,reading,"front, left",opens,,,,2,29.1,mm,,,,,,,,
`, "\n", "\r\n")
	if got := csvOf(t, b); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// encoding/csv reads the demo back: a row for each of the 24 readings and 4
// stop readings, no cell a formula.
func TestCSVOfTheDemoReadsBack(t *testing.T) {
	b, err := build.Decode(read(t, root+"builds/demo.json"))
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(csvOf(t, b))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 1+24+4 {
		t.Errorf("%d rows", len(rows))
	}
	for _, row := range rows {
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@\t\r\n", rune(cell[0])) {
				t.Errorf("a spreadsheet takes %q for a formula", cell)
			}
		}
	}
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestCSVTellsOfAFullDisk(t *testing.T) {
	if build.WriteCSV(fullDisk{}, &build.Build{}) == nil {
		t.Error("no error")
	}
}

// Independent: encoding/csv writes the same bytes.
func TestCSVAgainstEncodingCSV(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		field := rapid.StringOf(rapid.SampledFrom([]rune("ab ,;\"'\r\n\té.=")))
		name, window, struck := field.Draw(t, "name"), field.Draw(t, "window"), field.Draw(t, "struck")
		b := &build.Build{Number: "1", Name: name, Passes: []build.Pass{{Readings: []build.Reading{{Window: window, Event: "opens", Value: unit.Length{Value: 1}, Struck: struck}}}}}
		var got, want bytes.Buffer
		if err := build.WriteCSV(&got, b); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(bytes.NewReader(got.Bytes())).ReadAll()
		if err != nil || len(rows) != 2 {
			t.Fatalf("%q: %v", got.String(), err)
		}
		for column, text := range map[int]string{1: name, 5: window, 18: struck} {
			if text != "" && strings.ContainsRune("=+-@\t\r\n", rune(text[0])) {
				text = "'" + text
			}
			rows[1][column] = text // a reader has lost which line ends it had
		}
		w := csv.NewWriter(&want)
		w.UseCRLF = true
		if err := w.WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		if got.String() != want.String() {
			t.Fatalf("got\n%q\nencoding/csv\n%q", got.String(), want.String())
		}
	})
}
