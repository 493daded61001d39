package main

import (
	"fmt"
	"io"
)

func csvCommand(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	fmt.Fprintln(stderr, "portwright csv: this program was built without it")
	return exitFailed
}
