// Command gen writes the app's icons into static/icon; run it from the top of
// the repository.
package main

import (
	"fmt"
	"image/png"
	"os"
	"path/filepath"

	"portwright/static/icon"
)

func main() {
	if err := run(filepath.Join("static", "icon")); err != nil {
		fmt.Fprintln(os.Stderr, "icons:", err)
		os.Exit(1)
	}
}

func run(dir string) error {
	if err := os.WriteFile(filepath.Join(dir, icon.SVGName), []byte(icon.SVG()), 0o644); err != nil {
		return err
	}
	for _, m := range icon.Made {
		f, err := os.Create(filepath.Join(dir, m.Name))
		if err != nil {
			return err
		}
		enc := png.Encoder{CompressionLevel: png.BestCompression}
		if err := enc.Encode(f, icon.Draw(m.Side, m.Maskable)); err != nil {
			return err
		}
		if err := f.Close(); err != nil {
			return err
		}
	}
	return nil
}
