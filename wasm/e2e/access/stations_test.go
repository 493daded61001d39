package access

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"portwright/wasm/e2e/served"
)

func (l *looker) at(station string) {
	l.t.Helper()
	l.WaitFor(fmt.Sprintf(`document.querySelector("[data-station=%s]") && document.fonts.status === "loaded"`, station), soon)
}

func (l *looker) shows(selector string) {
	l.t.Helper()
	l.WaitFor(fmt.Sprintf(`document.querySelector(%q)`, selector), soon)
}

func (l *looker) station(link string) {
	l.t.Helper()
	l.Do(fmt.Sprintf(`location.hash = [...document.querySelectorAll(".stations a")].find(a => a.textContent.trim() === %q).getAttribute("href")`, link))
}

func TestBenchIsAccessible(t *testing.T) {
	t.Parallel()
	app := served.App(t)
	l := start(t)
	l.Goto(app.URL)
	l.at("book")
	l.Tap("#whole-build")
	l.at("engine")
	l.TapText("Bench")
	l.at("bench")
	l.look("bench which windows")
	l.TapText("Exhaust, two transfers, intake")
	l.shows("#question")
	l.look("bench stop")
	l.TapText("help")
	l.shows(".over")
	l.look("bench help at the stop")
	l.TapText("Back to the keys")
	l.keep("341")
	l.keep("23")
	l.look("bench question")
	l.type_("104.5")
	l.look("bench typed")
	l.Tap(".pad .keep")
	l.ticked()
	l.keep("105")
	l.look("bench kept")
	l.Tap(".pad .keep")
	l.shows(".refuse")
	l.look("bench refused")
	l.type_("115")
	l.Tap(".pad .keep")
	l.shows(".over[data-kind=odd]")
	l.look("bench odd")
	time.Sleep(600 * time.Millisecond)
	l.TapText("Keep 115 all the same")
	l.ticked()
	l.TapText("back")
	l.look("bench gone back")
	l.TapText("method: light")
	l.shows(".over[data-kind=method]")
	l.look("bench method")
	l.TapText("Light through the port")
	l.Tap(".tape .chip")
	l.shows(".over[data-kind=strike]")
	l.look("bench strike")
	time.Sleep(300 * time.Millisecond)
	l.TapText("Misread")
	l.shows(".chip[data-struck]")
	l.look("bench struck")
	l.Tap(".strip .place")
	l.shows(".all[data-open]")
	l.look("bench list")
	l.TapText("Pass: as received")
	l.shows(".over[data-kind=pass]")
	l.look("bench pass")
	l.TapText("New pass “after base cut”")
	l.WaitFor(`document.querySelector(".where")?.textContent.trim() === "after base cut"`, soon)
	l.look("bench second pass")
	l.Tap(".strip .place")
	l.TapText("Depths")
	l.WaitFor(`document.querySelector(".ask").innerText.includes("from the cylinder top")`, soon)
	l.look("bench depth")
}

// A first look to its end, and the states between: the quarter of a wheel with
// four scales, and everything asked.
func TestFirstLookIsAccessible(t *testing.T) {
	t.Parallel()
	app := served.App(t)
	l := start(t)
	l.Goto(app.URL)
	l.at("book")
	l.Tap("#first-look")
	l.shows("#question")
	l.look("first look")
	l.Do(`location.hash = location.hash.replace("/bench", "/engine/wheel.numbering")`)
	l.TapText("0 to 90, four times from each dead centre")
	l.WaitFor(`document.querySelectorAll(".choices [aria-pressed=true]").length === 1`, soon)
	l.TapText("Bench")
	l.shows("#question")
	l.type_("88")
	l.Tap(".pad .keep")
	l.shows(".over[data-kind=quarter]")
	l.look("bench quarter")
	time.Sleep(600 * time.Millisecond)
	l.TapText("Second quarter: from the 90 mark to BDC")
	for range 8 { // the odd and the quarters in between, until all is asked
		if l.Count(".plain h1") > 0 {
			break
		}
		l.Tap(".pad .sk")
		time.Sleep(300 * time.Millisecond)
	}
	l.shows(".plain h1")
	l.look("bench asked")
	l.station("Findings")
	l.at("findings")
	l.look("findings of a first look")
}

func (l *looker) type_(value string) {
	l.t.Helper()
	l.TypeKeys(value)
	l.WaitFor(fmt.Sprintf(`document.querySelector("#value .digits").textContent.trim() === %q`, value), soon)
}

func (l *looker) keep(value string) {
	l.t.Helper()
	l.type_(value)
	l.Tap(".pad .keep")
	l.ticked()
}

func (l *looker) ticked() {
	l.t.Helper()
	l.WaitFor(`(document.querySelector("#value .digits")?.textContent.trim() ?? "") === "" && !document.querySelector(".value[data-writing=true]")`, soon)
	time.Sleep(260 * time.Millisecond) // a double tap's width
}

func TestBookIsAccessible(t *testing.T) {
	t.Parallel()
	app := served.App(t)
	l := start(t)
	l.Goto(app.URL)
	l.at("book")
	l.look("book empty")
	l.TapText("Settings")
	l.shows(".settings")
	l.look("book settings")
	l.TapText("Settings")
	l.Tap("#demo")
	l.at("findings")
	l.Tap(".strip .home")
	l.at("book")
	l.TapText("More about Demo: pond pump 49")
	l.shows(".build-acts")
	l.look("book with a build")
	l.TapText("Compare with ...")
	l.shows(".book-compare")
	l.look("book with two to compare")
	l.TapText("Don't compare")
	dir := t.TempDir()
	take := func(name, text, state string) {
		t.Helper()
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		l.Chooses(file)
		l.Tap("#take-in")
		l.shows(".incoming")
		l.look(state)
		l.TapText("Close")
	}
	take("bad.json", `{"format":"portwright-build","version":1,"engine":{"stroke_mm":40,"rod_mm":12}}`, "book file with faults")
	demo, err := os.ReadFile(testdata(t, "demo.json"))
	if err != nil {
		t.Fatal(err)
	}
	take("demo.json", string(demo), "book file that is here already")
}

func TestEngineIsAccessible(t *testing.T) {
	t.Parallel()
	app := served.App(t)
	l := start(t)
	l.Goto(app.URL)
	l.at("book")
	l.Tap("#whole-build")
	l.at("engine")
	l.look("engine new")
	field := func(path string) {
		t.Helper()
		l.Do(fmt.Sprintf(`location.hash = location.hash.replace(/\/engine.*/, "/engine/%s")`, path))
		l.shows(".field-hand, .learn")
	}
	field("engine.stroke_mm")
	l.look("engine field")
	l.TypeKeys("34\n")
	l.WaitFor(`document.querySelector("#field-title").textContent === "rod length"`, soon)
	l.TypeKeys("16\n")
	l.shows(".fault")
	l.look("engine field refused")
	field("engine.squish_mm[0]")
	l.TapText("in")
	l.Tap("#field")
	l.TypeKeys("0.20")
	l.shows(".doubted")
	l.look("engine field doubted")
	field("wheel.numbering")
	l.look("engine choice")
	field("learn")
	l.look("engine learn")
	l.TapText("All of the engine")
	for _, kind := range []string{"Exhaust", "Transfer", "Transfer", "Intake"} {
		n := l.Count(".part-acts")
		l.Tap(`.part-new button:nth-of-type(` + map[string]string{"Exhaust": "1", "Transfer": "2", "Intake": "4"}[kind] + `)`)
		l.WaitFor(fmt.Sprintf(`document.querySelectorAll(".part-acts").length > %d`, n), soon)
	}
	l.Tap("#add-pass")
	l.WaitFor(`document.querySelector('.part-acts [aria-label^="Use this pass"]')`, soon)
	l.Tap(`[aria-label^="Take out: transfer"]`)
	l.shows("#out-title")
	l.look("engine with windows")
	l.station("Findings")
	l.at("findings")
	l.look("findings empty")
	l.station("Cuts")
	l.at("cuts")
	l.look("cuts empty")
	l.station("Sheet")
	l.at("sheet")
	l.look("sheet empty")
}

func TestSheetIsAccessible(t *testing.T) {
	t.Parallel()
	app := served.App(t)
	l := start(t)
	l.Goto(app.URL)
	l.at("book")
	file, err := filepath.Abs(filepath.Join("..", "..", "..", "engine", "sheet", "testdata", "finished.json"))
	if err != nil {
		t.Fatal(err)
	}
	l.Chooses(file)
	l.Tap("#take-in")
	l.at("findings")
	l.look("findings of several passes")
	l.station("Sheet")
	l.shows(".paper")
	l.Do(`document.querySelectorAll("details").forEach(d => d.open = true)`)
	l.look("sheet")
	l.TapText("Compare two passes")
	l.WaitFor(`document.querySelectorAll(".sheet fieldset").length > 0`, soon)
	l.look("sheet of two passes")
}

func TestFindingsAndCutsAreAccessible(t *testing.T) {
	t.Parallel()
	app := served.App(t)
	l := start(t)
	l.Goto(app.URL)
	l.at("book")
	l.Chooses(testdata(t, "cut.json"))
	l.Tap("#take-in")
	l.at("findings")
	l.Do(`document.querySelectorAll("details").forEach(d => d.open = true)`)
	l.look("findings")
	l.Tap("#to-section")
	l.at("section")
	l.Do(`document.querySelectorAll("details").forEach(d => d.open = true)`)
	l.look("section at TDC")
	for range 4 {
		l.Tap("#section-next")
	}
	l.look("section with transfers open")
	l.station("Engine")
	l.at("engine")
	l.look("engine full")
	l.station("Cuts")
	l.shows(".cuts-steps")
	l.Do(`document.querySelectorAll("details").forEach(d => d.open = true)`)
	l.look("cuts plan")
	l.TapText("What if")
	l.shows("#tries-title")
	l.look("cuts what if")
	l.TapText("Targets")
	l.Tap(`.cuts-steps > li .picks .button`)
	l.shows("#field-title")
	l.look("cuts bite")
	l.station("Sheet")
	l.shows(".paper footer")
	l.Do(`document.querySelectorAll("details").forEach(d => d.open = true)`)
	l.look("sheet")
	l.Do(`location.hash = ""`)
	l.at("book")
	l.Chooses(slipped(t))
	l.Tap("#take-in")
	l.at("findings")
	l.look("findings of a wheel that slipped")
	l.Tap("[data-code=wheel_slipped] .button.main")
	l.shows(".applied")
	l.look("findings corrected")
	l.Tap(".strip .home")
	l.at("book")
	l.Tap(`li:nth-child(1) .build-more`)
	l.TapText("Compare with ...")
	l.TapText("Compare with this one")
	l.shows(".paper footer")
	l.look("two builds compared")
}

// testdata is where a build of testdata/builds lies.
func testdata(t *testing.T, name string) string {
	t.Helper()
	path, err := filepath.Abs(filepath.Join("..", "..", "..", "testdata", "builds", name))
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// slipped is a file with the build of a case whose finding has a remedy.
func slipped(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "cases", "slipped_wheel.json"))
	if err != nil {
		t.Fatal(err)
	}
	var c struct{ Build json.RawMessage }
	if err := json.Unmarshal(data, &c); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "slipped.json")
	if err := os.WriteFile(file, c.Build, 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}
