package render

import _ "embed"

// Script is render.js, which carries out the renderer's programs in the page.
// The page loads it as a file of its own, before the WebAssembly.
//
//go:embed render.js
var Script string

// scriptVersion is the version of programs, which New compares with that of
// the loaded render.js.
const scriptVersion = 1
