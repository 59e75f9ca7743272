package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
)

// flags starts the flags of a command.
func (h host) flags(usage string) *flag.FlagSet {
	f := flag.NewFlagSet("", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.Usage = func() {
		fmt.Fprintf(f.Output(), "Usage: lapwright %s\n", usage)
		f.PrintDefaults()
	}
	return f
}

// parse reads a command's flags; done says that there is nothing more to do.
func (h host) parse(f *flag.FlagSet, args []string) (status int, done bool) {
	err := f.Parse(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		f.SetOutput(h.stdout)
		f.Usage()
		return well, true
	case err != nil:
		return h.refuse("%v; -h lists the flags", err), true
	}
	return 0, false
}
