// Command portwright works on build files and books: it prints what the
// readings say, keeps and merges books, writes readings as CSV, serves the
// phone app from the shop PC and keeps what the phones send.
package main

import (
	"fmt"
	"io"
	"os"
)

// Exit statuses of every command.
const (
	exitOK     = 0
	exitFailed = 1 // the machine's fault: a disk, a port, a missing permission
	exitInput  = 2 // the input's fault: the message says what would be right
)

// A command reads its arguments and returns the exit status. It writes results
// to stdout and messages to stderr, and writes nothing at all on bad input.
type command struct {
	name    string
	args    string
	purpose string
	run     func(args []string, stdin io.Reader, stdout, stderr io.Writer) int
}

func commands() []command {
	return []command{
		{"findings", "[--apply CODE]... FILE", "print what the readings of a build file say, as JSON", findingsCommand},
		{"plan", "[--apply CODE]... [--text] FILE", "print the cut list for a build file's targets, or what its moves come to", planCommand},
		{"sheet", "[--apply CODE]... [--with OTHER] [--passes A,B] [-o OUT] FILE", "write the sheet of a build file, or two passes side by side, as a page to print", sheetCommand},
		{"csv", "[-o OUT] FILE", "write the readings of a build file as CSV", csvCommand},
		{"book", "list|merge|extract|add ...", "list, merge and take apart whole-book files", bookCommand},
		{"serve", "[flags]", "serve the phone app from this computer and keep what phones send", serveCommand},
		{"link", "[-data DIR]", "print the one-time link to Shop of the server that runs", linkCommand},
		{"verify", "[-data DIR] [BACKUP...]", "say whether what the server keeps, or a backup, is whole", verifyCommand},
		{"backup", "[-data DIR] [-o FILE]", "copy what the server keeps into one file", backupCommand},
		{"restore", "[-data DIR] [-damaged] BACKUP", "put a backup in the place of what the server keeps", restoreCommand},
	}
}

func main() {
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	if len(args) == 0 {
		usage(stderr)
		return exitInput
	}
	switch args[0] {
	case "help", "-h", "-help", "--help":
		usage(stdout)
		return exitOK
	}
	for _, c := range commands() {
		if c.name == args[0] {
			return c.run(args[1:], stdin, stdout, stderr)
		}
	}
	fmt.Fprintf(stderr, "portwright: %q is not a command\n\n", args[0])
	usage(stderr)
	return exitInput
}

func usage(w io.Writer) {
	fmt.Fprintln(w, "usage: portwright COMMAND ...")
	fmt.Fprintln(w)
	for _, c := range commands() {
		fmt.Fprintf(w, "  portwright %s %s\n        %s\n", c.name, c.args, c.purpose)
	}
	fmt.Fprintln(w)
	fmt.Fprintln(w, "FILE may be - for standard input. Bad input: exit status 2, nothing written.")
}
