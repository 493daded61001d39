package main

import (
	"bytes"
	"cmp"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"portwright/cmd/dev/alone"
	"portwright/wasm/e2e/chrome"
	"portwright/wasm/e2e/served"
)

// inReadme are the pictures of take that the README shows.
var inReadme = map[string]string{"bench": "bench.png", "findings": "findings.png", "cuts-2": "cuts.png"}

// forReadme takes them on a phone by day, and the sheet of a cut build as its
// first page is printed on A4.
func forReadme(r *alone.Runner, dir string) {
	app := served.App(r)
	defer app.Stop()
	b := chrome.Start(r, chrome.Options{Width: 360, Height: 640, Mobile: true})
	take(b, app.URL, func(station string) {
		if name := inReadme[station]; name != "" {
			picture(r, b, filepath.Join(dir, name))
		}
	})
	b.Close()
	page := filepath.Join(dir, "sheet.html")
	made := app.Run("sheet", "--date", "2026-03-15", filepath.Join("engine", "sheet", "testdata", "finished.json"))
	r.Must(os.WriteFile(page, made, 0o644))
	defer os.Remove(page)
	const width, height, margin = 794, 1123, 45 // A4 and its margins at 96 px to the inch
	b = chrome.Start(r, chrome.Options{Width: width, Height: height})
	defer b.Close()
	b.Goto("file://" + filepath.ToSlash(page))
	b.Media("print", nil)
	b.Do(fmt.Sprintf(`document.body.style.padding = "%dpx"; document.documentElement.style.overflow = "hidden"`, margin))
	picture(r, b, filepath.Join(dir, "sheet.png"))
}

func picture(r *alone.Runner, b *chrome.Browser, file string) {
	b.Screenshot(file)
	r.Must(small(file))
	fmt.Println(file)
}

// small keeps the 64 colours that a picture has most of, a third of the bytes.
func small(file string) error {
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	from, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		return err
	}
	count := map[color.Color]int{}
	for y := range from.Bounds().Dy() {
		for x := range from.Bounds().Dx() {
			count[from.At(x, y)]++
		}
	}
	most := color.Palette(slices.Collect(maps.Keys(count)))
	slices.SortFunc(most, func(a, b color.Color) int {
		return cmp.Or(count[b]-count[a], cmp.Compare(fmt.Sprint(a), fmt.Sprint(b)))
	})
	to := image.NewPaletted(from.Bounds(), most[:min(64, len(most))])
	draw.Draw(to, to.Bounds(), from, image.Point{}, draw.Src)
	var out bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, to); err != nil {
		return err
	}
	return os.WriteFile(file, out.Bytes(), 0o644)
}
