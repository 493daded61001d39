// Package render draws a tree of vugu components into the page, on vugu's
// public API alone (BuildEnv, BuildResults, VGNode).
//
// A page loads render.js (package variable Script) before the WebAssembly, then:
//
//	r, err := render.New("#app", &ui.Root{}, render.OnPanic(tell))
//	err = r.Render()              // the first view is on the screen
//	r.Do(func() { change state }) // from any goroutine; renders afterwards
//
// # How it draws
//
// Each render builds vugu's tree, compares it with the mounted one (tree.go,
// keyed.go) and writes what differs as one program (program.go), which
// render.js carries out in one call. Elements live in a table of render.js, so
// Go holds no JavaScript object for them. What didn't change costs no call.
//
// # Turns
//
// Handlers, functions given to Do, builds, lifecycle methods and OnPanic run
// one at a time, each in a turn. Nothing waits for a turn: what arrives while
// one is taken (a blur caused by a removal, a focus called by a handler or by
// Rendered, Do called by either) is queued and runs when it is over, then the
// screen is drawn again. A handler that runs at once may prevent the event's
// default action; a queued one is too late for that. A handler must not wait
// for another event or promise: start a goroutine and come back with Do.
//
// An event of an element that has been removed by the time of its turn is
// dropped: a field that leaves the page commits nothing by its blur.
//
// # Identity
//
// Children are matched by key: the attribute data-key, else id, else the
// component instance that made them (vg-key on a component decides that), else
// in order of equal kind. Elements with different keys are never made into one
// another. Moved elements keep focus, selection and state.
//
// # Properties
//
// .value, .checked and .selected, as properties or attributes of form controls,
// follow the model: they are written when the model's value changes, and set
// back when the person changed the control and the model didn't follow, for a
// text field once it has lost the focus. Text being typed is never rewritten
// for any other reason; the caret keeps its place when it is.
//
// An attribute with a Go bool stands without a value when true and not at all
// when false, as HTML's own boolean attributes do; an aria attribute wants the
// text "true" or "false".
//
// The attribute style goes through the style object, which a policy without
// inline styles allows. <style>, <script> and <link> in a component are
// refused: the page's policy forbids them, and what a component needs stands
// in the style sheet.
package render
