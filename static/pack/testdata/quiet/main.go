// Command quiet is the smallest app that the boot script accepts.
package main

import "syscall/js"

var build string

func main() {
	boot := js.Global().Get("portwright")
	if !boot.Call("hello", build).Bool() {
		return
	}
	js.Global().Get("document").Call("getElementById", "app").Set("textContent", "app of build "+build)
	boot.Call("ready")
	select {}
}
