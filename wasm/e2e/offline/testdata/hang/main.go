// Command hang is an app that starts and never shows anything.
package main

import "syscall/js"

var build string

func main() {
	js.Global().Get("portwright").Call("hello", build)
	select {}
}
