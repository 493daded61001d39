package main

import (
	"fmt"
	"io"
)

func bookCommand(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	fmt.Fprintln(stderr, "portwright book: this program was built without it")
	return exitFailed
}
