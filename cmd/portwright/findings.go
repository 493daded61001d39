package main

import (
	"fmt"
	"io"
)

func findingsCommand(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	fmt.Fprintln(stderr, "portwright findings: this program was built without it")
	return exitFailed
}
