package pack

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// spared lists where vugu leads to packages that weigh much and are used by
// nothing else in the app. Package fmt, 35 KB compressed: a check that never
// fails, and a fallback for attributes of types that no component has; what
// stands in its place does the same for strings of any named type. What package reflect needs
// to make an interface of any value, methods too, 12 KB: pointers as attributes,
// of which only those to a string are followed now. Package html,
// 10 KB with its replacer and its names of characters: the escaping of a text.
var spared = []struct{ file, was, is string }{
	{"build-env.go", `fmt.Errorf("unexpected PositionHashList len = %d", len(buildIn.PositionHashList))`, `"unexpected PositionHashList"`},
	{"build-env.go", "\t\"fmt\"\n", ""},
	{"vgnode.go", `fmt.Sprintf("%v", val)`, `rv.String()`},
	{"vgnode.go", "case fmt.Stringer:", "case interface{ String() string }:"},
	{"vgnode.go", "\t\"fmt\"\n", ""},
	{"vgnode.go", "if !rvIsZero(rv) {", "{"},
	{"vgnode.go", "reflect.Indirect(rv).Interface()", "reflect.Indirect(rv).String()"},
	{"vgnode.go", "indirected.Interface()", "indirected.String()"},
	{"vgnode.go", "html.EscapeString(", "escaped("},
	{"vgnode.go", "\t\"html\"\n", ""},
	{"vgnode.go", "// VGNodeType is one of", escaped + "// VGNodeType is one of"},
}

// escaped does what html.EscapeString does.
const escaped = `func escaped(s string) string {
	var out []byte
	for i := 0; i < len(s); i++ {
		switch c := s[i]; c {
		case '<':
			out = append(out, "&lt;"...)
		case '>':
			out = append(out, "&gt;"...)
		case '&':
			out = append(out, "&amp;"...)
		case '"':
			out = append(out, "&#34;"...)
		case '\'':
			out = append(out, "&#39;"...)
		default:
			out = append(out, c)
		}
	}
	return string(out)
}

`

const vugu = "github.com/vugu/vugu"

// lean returns a go.mod that leads to a copy of vugu without them; it
// and its go.sum are written into dir. The copy lies in the person's cache under
// a name made of what is in it: the linker writes its place into the program,
// and the same source has to give the same build.
func lean(root, dir string) (modfile string, err error) {
	copied, err := leanCopy(root)
	if err != nil {
		return "", err
	}
	for _, f := range [2]struct{ from, to, more string }{
		{"go.mod", "lean.mod", fmt.Sprintf("\nreplace %s => %s\n", vugu, copied)}, {"go.sum", "lean.sum", ""},
	} {
		text, err := os.ReadFile(filepath.Join(root, f.from))
		if err != nil {
			return "", err
		}
		if err := os.WriteFile(filepath.Join(dir, f.to), append(text, f.more...), 0o644); err != nil {
			return "", err
		}
	}
	return filepath.Join(dir, "lean.mod"), nil
}

func leanCopy(root string) (string, error) {
	cmd := exec.Command("go", "list", "-m", "-f", "{{.Path}}@{{.Version}}\n{{.Dir}}", vugu)
	cmd.Dir = root
	said, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("where is %s? go list: %w", vugu, err)
	}
	version, source, _ := strings.Cut(strings.TrimSpace(string(said)), "\n")
	name := sha256.Sum256(fmt.Append(nil, version, spared))
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = os.TempDir()
	}
	copied := filepath.Join(cache, "portwright", fmt.Sprintf("vugu-%x", name[:8]))
	if _, err := os.Stat(copied); err == nil {
		return copied, nil
	}
	if err := os.MkdirAll(filepath.Dir(copied), 0o755); err != nil {
		return "", err
	}
	part, err := os.MkdirTemp(filepath.Dir(copied), "part-")
	if err != nil {
		return "", err
	}
	defer os.RemoveAll(part)
	if err := os.CopyFS(filepath.Join(part, "vugu"), os.DirFS(source)); err != nil {
		return "", err
	}
	if err := spare(filepath.Join(part, "vugu")); err != nil {
		return "", err
	}
	err = os.Rename(filepath.Join(part, "vugu"), copied)
	if _, there := os.Stat(copied); there == nil {
		return copied, nil // by this build or another at the same time
	}
	return "", err
}

func spare(dir string) error {
	for _, f := range spared {
		path := filepath.Join(dir, f.file)
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if !bytes.Contains(text, []byte(f.was)) {
			return fmt.Errorf("%s of %s has no %q any more: compare lean.go with it", f.file, vugu, f.was)
		}
		if err := os.WriteFile(path, bytes.ReplaceAll(text, []byte(f.was), []byte(f.is)), 0o644); err != nil {
			return err
		}
	}
	return nil
}
