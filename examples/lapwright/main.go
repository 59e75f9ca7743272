// Command lapwright lays roof-accessory details out from the command line: rule files and jobs in, sheets out.
package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
)

// The exit statuses.
const (
	well     = 0 // all well
	failed   = 1 // a must is violated, or a check failed
	unusable = 2 // unusable input or usage; then nothing is on standard output
)

// A host is what a command reads from and writes to, beside files.
type host struct {
	stdin          io.Reader
	stdout, stderr io.Writer
}

const help = `Usage: lapwright COMMAND [FLAGS] [FILES]

  layout   lay a job out: where every fastener, piece, strip and bead goes
  takeoff  add up what any number of jobs take, and how it is cut
  inspect  hold what was measured on a finished roof against the rules
  check    check rule files
  fmt      put rule files into their one true form
  examples run the worked examples of rule files
  compare  say what a new edition of a rule book changes on jobs
  new      write a starter book and job into a folder
  sweep    say where along a range of sizes a detail can be built
  help     say this

Flags stand after the command; "lapwright COMMAND -h" lists them. As a file's
name, - is standard input. Without flags, layout lays a built-in demonstration
out.

Exit status: 0 all well; 1 a must is violated or a check failed; 2 unusable
input or usage.
`

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	status := host{os.Stdin, os.Stdout, os.Stderr}.run(ctx, os.Args[1:])
	stop()
	os.Exit(status)
}

// run does one command and returns its exit status.
func (h host) run(ctx context.Context, args []string) (status int) {
	defer func() {
		if fault := recover(); fault != nil {
			fmt.Fprintf(h.stderr, "lapwright: a fault of this program, not of your files: %v\n%s", fault, debug.Stack())
			status = unusable
		}
	}()
	if len(args) == 0 {
		fmt.Fprint(h.stderr, help)
		return unusable
	}
	switch name := args[0]; {
	case name == "layout":
		return h.layout(ctx, args[1:])
	case name == "takeoff":
		return h.takeoff(ctx, args[1:])
	case name == "inspect":
		return h.inspect(ctx, args[1:])
	case name == "check":
		return h.check(ctx, args[1:])
	case name == "fmt":
		return h.format(args[1:])
	case name == "new":
		return h.create(args[1:])
	case name == "compare":
		return h.compare(ctx, args[1:])
	case name == "examples":
		return h.examples(ctx, args[1:])
	case name == "sweep":
		return h.sweep(ctx, args[1:])
	case name == "help" || name == "-h" || name == "-help" || name == "--help":
		fmt.Fprint(h.stdout, help)
		return well
	default:
		return h.refuse("there is no command %q: use layout, takeoff, inspect, check, fmt, examples, compare, new, sweep or help", name)
	}
}

// refuse says why a command can't be done.
func (h host) refuse(format string, args ...any) int {
	fmt.Fprintf(h.stderr, "lapwright: "+format+"\n", args...)
	return unusable
}
