package main

import (
	"fmt"
	"io"
)

func serveCommand(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	fmt.Fprintln(stderr, "portwright serve: this program was built without it")
	return exitFailed
}
