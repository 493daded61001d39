//go:build js && wasm

package render

import (
	"errors"
	"strconv"
	"syscall/js"
	"time"

	"github.com/vugu/vugu"
	vjs "github.com/vugu/vugu/js"
)

// New prepares a renderer for the first element that matches selector. Its
// content stays until the first Render and is replaced then. The page must have
// loaded render.js of the same version.
func New(selector string, root vugu.Builder, opts ...Option) (*Renderer, error) {
	script := js.Global().Get("portwrightRender")
	if !script.Truthy() {
		return nil, errors.New("render: the page has not loaded render.js: add it before the WebAssembly")
	}
	if v := script.Get("version"); v.Type() != js.TypeNumber || v.Int() != scriptVersion {
		return nil, errors.New("render: render.js is of version " + v.String() + ", this program needs " + strconv.Itoa(scriptVersion) + ": both must come from one build")
	}
	container := js.Global().Get("document").Call("querySelector", selector)
	if !container.Truthy() {
		return nil, errors.New("render: no element matches " + strconv.Quote(selector) + ": the page needs one to draw in")
	}
	p := &page{}
	r, err := newRenderer(p, root, opts)
	if err != nil {
		return nil, err
	}
	p.hear = js.FuncOf(func(_ js.Value, args []js.Value) any {
		id, name, flags := uint32(args[0].Int()), args[1].String(), uint32(args[2].Int())
		r.deliver(id, name, flags&flagCapture != 0, &event{js: args[3], id: id, r: r})
		return nil
	})
	p.box = script.Call("open", container, p.hear)
	p.code = p.box.Call("codeBuffer", 0)
	p.text = p.box.Call("textBuffer", 0)
	p.codeCap, p.textCap = p.code.Length(), p.text.Length()
	return r, nil
}

// page is the surface in a browser.
type page struct {
	box              js.Value // what render.js returned
	hear             js.Func  // the only function it calls
	code, text       js.Value // byte arrays that programs are copied to
	codeCap, textCap int
}

func (p *page) run(code, text []byte) {
	if len(code) > p.codeCap {
		p.code = p.box.Call("codeBuffer", len(code))
		p.codeCap = p.code.Length()
	}
	if len(text) > p.textCap {
		p.text = p.box.Call("textBuffer", len(text))
		p.textCap = p.text.Length()
	}
	if len(code) > 0 {
		js.CopyBytesToJS(p.code, code)
	}
	if len(text) > 0 {
		js.CopyBytesToJS(p.text, text)
	}
	p.box.Call("run", len(code), len(text))
}

func (p *page) node(id uint32) vjs.Value { return vjs.Value(p.box.Call("node", id)) }

func (p *page) reset() { p.box.Call("reset") }

func (p *page) report(text string) { js.Global().Get("console").Call("error", text) }

func (p *page) soon(f func()) { time.AfterFunc(time.Millisecond, f) }

func (p *page) close() {
	p.box.Call("close")
	p.hear.Release()
}
