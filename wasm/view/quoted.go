package view

import "portwright/engine/build"

// Quoted is a text as JSON, as the page's properties are set.
func Quoted(s string) []byte { return build.TextJSON(s) }
