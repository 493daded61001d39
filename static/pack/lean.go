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

// fmtless lists where vugu leads to package fmt, which weighs 35 KB compressed
// and is used by nothing else in the app: a check that never fails, and a
// fallback for attributes of types that no component has. What stands in its
// place does the same for strings of any named type.
var fmtless = []struct{ file, was, is string }{
	{"build-env.go", `fmt.Errorf("unexpected PositionHashList len = %d", len(buildIn.PositionHashList))`, `"unexpected PositionHashList"`},
	{"build-env.go", "\t\"fmt\"\n", ""},
	{"vgnode.go", `fmt.Sprintf("%v", val)`, `rv.String()`},
	{"vgnode.go", "case fmt.Stringer:", "case interface{ String() string }:"},
	{"vgnode.go", "\t\"fmt\"\n", ""},
}

const vugu = "github.com/vugu/vugu"

// lean returns a go.mod that leads to a copy of vugu without package fmt; it
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
	name := sha256.Sum256(fmt.Append(nil, version, fmtless))
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
	if err := dropFmt(filepath.Join(part, "vugu")); err != nil {
		return "", err
	}
	err = os.Rename(filepath.Join(part, "vugu"), copied)
	if _, there := os.Stat(copied); there == nil {
		return copied, nil // by this build or another at the same time
	}
	return "", err
}

func dropFmt(dir string) error {
	for _, f := range fmtless {
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
