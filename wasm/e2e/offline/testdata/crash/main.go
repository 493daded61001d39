// Command crash is an app that ends with a panic after its first view.
package main

import "syscall/js"

var build string

func main() {
	boot := js.Global().Get("portwright")
	boot.Call("hello", build)
	boot.Call("ready")
	panic("on purpose")
}
