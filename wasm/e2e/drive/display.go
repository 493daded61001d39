package drive

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// display is an X server that draws into a file.
type display struct {
	name string // ":number"
	file string
	end  func()
}

// startDisplay starts Xvfb on a free number that it chooses itself.
func startDisplay(xvfb, dir string) (*display, error) {
	in, out, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	defer in.Close()
	cmd := exec.Command(xvfb, "-displayfd", "3", "-screen", "0", "1400x1000x24", "-nolisten", "tcp", "-ac", "-fbdir", dir)
	cmd.ExtraFiles = []*os.File{out}
	OwnGroup(cmd)
	err = cmd.Start()
	out.Close()
	if err != nil {
		return nil, err
	}
	d := &display{file: filepath.Join(dir, "Xvfb_screen0"), end: func() { EndGroup(cmd) }}
	if err := in.SetReadDeadline(time.Now().Add(patience)); err != nil {
		d.end()
		return nil, err
	}
	number, err := bufio.NewReader(in).ReadString('\n')
	if err != nil {
		d.end()
		return nil, fmt.Errorf("%s does not tell its display: %w", xvfb, err)
	}
	d.name = ":" + strings.TrimSpace(number)
	return d, nil
}

// picture is a part of what the display shows. The file's form is XWD: a head
// of 32-bit numbers with its own size first, a table of colours of 12 bytes
// each, then lines of blue, green, red and a spare byte. Source: X.Org,
// XWDFile.h.
func (d *display) picture(part image.Rectangle) ([]byte, error) {
	data, err := os.ReadFile(d.file)
	if err != nil {
		return nil, err
	}
	head := func(i int) int { return int(binary.BigEndian.Uint32(data[4*i:])) }
	if len(data) < 100 || head(11) != 32 {
		return nil, fmt.Errorf("%s has %d bytes and is no picture of 32 bits", d.file, len(data))
	}
	first, line := head(0)+12*head(19), head(12)
	part = part.Intersect(image.Rect(0, 0, head(4), head(5)))
	if len(data) < first+line*head(5) {
		return nil, fmt.Errorf("%s has %d bytes, too few", d.file, len(data))
	}
	m := image.NewRGBA(part)
	for y := part.Min.Y; y < part.Max.Y; y++ {
		for x := part.Min.X; x < part.Max.X; x++ {
			from, to := data[first+y*line+4*x:], m.Pix[m.PixOffset(x, y):]
			to[0], to[1], to[2], to[3] = from[2], from[1], from[0], 255
		}
	}
	var out bytes.Buffer
	err = png.Encode(&out, m)
	return out.Bytes(), err
}
