package pack

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"portwright/static/release"
)

// source says which files of a folder below static belong to the site and
// where they go.
type source struct {
	dir, to string
	ext     []string
}

var sources = []source{
	{"shell", "", []string{".html", ".js", ".css", ".webmanifest"}},
	{"css", "css", []string{".css"}},
	{"font", "font", []string{".woff2", ".txt"}},
	{"icon", "icon", []string{".png", ".svg"}},
}

// collect reads the site's files as they are in the repository. A stamp goes
// into the page.
func collect(root, stamp string) (site, error) {
	s := site{}
	for _, src := range sources {
		list, err := os.ReadDir(filepath.Join(root, "static", src.dir))
		if err != nil {
			return nil, err
		}
		for _, e := range list {
			if e.IsDir() || !slices.Contains(src.ext, path.Ext(e.Name())) {
				continue
			}
			data, err := os.ReadFile(filepath.Join(root, "static", src.dir, e.Name()))
			if err != nil {
				return nil, err
			}
			s[path.Join(src.to, e.Name())] = data
		}
	}
	goroot, err := goroot(root)
	if err != nil {
		return nil, err
	}
	if s["wasm_exec.js"], err = os.ReadFile(filepath.Join(goroot, "lib", "wasm", "wasm_exec.js")); err != nil {
		return nil, err
	}
	// The halves in the page are of the same version as those in Go.
	if s["render.js"], err = os.ReadFile(filepath.Join(root, "wasm", "render", "render.js")); err != nil {
		return nil, err
	}
	if s["browser.js"], err = os.ReadFile(filepath.Join(root, "wasm", "browser", "browser.js")); err != nil {
		return nil, err
	}
	// The sheet looks the same in the app as in a file of its own.
	if s["css/paper.css"], err = os.ReadFile(filepath.Join(root, "engine", "sheet", "paper.css")); err != nil {
		return nil, err
	}
	if stamp != "" {
		s["index.html"] = fmt.Appendf(s["index.html"], "<!-- %s -->\n", strings.ReplaceAll(stamp, "--", ""))
	}
	return s, nil
}

// repairFiles are inside the service worker too, since the repair page must
// open when the browser has lost every kept file.
var repairFiles = map[string]string{
	"repair.html": "text/html; charset=utf-8",
	"repair.js":   "text/javascript; charset=utf-8",
	"repair.css":  "text/css; charset=utf-8",
}

// fillIn replaces the marks in the site's texts by what they stand for.
func fillIn(s site, id string, module []byte) error {
	var links strings.Builder
	for _, name := range s.names() {
		if path.Dir(name) == "css" {
			fmt.Fprintf(&links, `<link rel="stylesheet" href="%s%s">`+"\n", release.Base(id), name)
		}
	}
	for _, name := range []string{"index.html", "repair.html"} {
		s[name] = bytes.ReplaceAll(s[name], []byte("__STYLES__"), []byte(links.String()))
		s[name] = bytes.ReplaceAll(s[name], []byte("__BUILD__"), []byte(id))
	}
	inline := map[string][2]string{}
	for name, kind := range repairFiles {
		inline[release.Base(id)+name] = [2]string{kind, string(s[name])}
	}
	var files [][2]string
	for _, name := range s.names() {
		if atTop(name) || name == namesFile {
			continue
		}
		sum, err := hex.DecodeString(release.Sum(s[name]))
		if err != nil {
			return err
		}
		files = append(files, [2]string{release.Base(id) + name, base64.StdEncoding.EncodeToString(sum)})
	}
	sum := sha256.Sum256(module)
	code := [2]string{release.Base(id) + codeFile, base64.StdEncoding.EncodeToString(sum[:])}
	marks := map[string][]byte{"\"__MODULE__\";": s["module.js"]}
	for mark, value := range map[string]any{"__FILES__": files, "__CODE__": code, "__INLINE__": inline, "__POLICY__": release.Policy} {
		text, err := json.Marshal(value)
		if err != nil {
			return err
		}
		marks[mark] = text
	}
	worker := s[release.Worker]
	for mark, text := range marks {
		if bytes.Count(worker, []byte(mark)) != 1 {
			return fmt.Errorf("%s has no single %s", release.Worker, mark)
		}
		worker = bytes.Replace(worker, []byte(mark), text, 1)
	}
	s[release.Worker] = bytes.Replace(worker, []byte(`"__BUILD__"`), []byte(`"`+id+`"`), 1)
	return nil
}
