package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"

	"github.com/lapwright/lapwright/rules"
)

// format puts rule files into their one true form.
func (h host) format(args []string) int {
	flags := h.flags("fmt [-w] [-d] FILE...")
	write := flags.Bool("w", false, "put the form into the files in place of writing it out")
	diff := flags.Bool("d", false, "show what changes in place of the form")
	if status, done := h.parse(flags, args); done {
		return status
	}
	if flags.NArg() == 0 {
		return h.refuse("fmt needs rule files")
	}
	type change struct {
		name          string
		before, after []byte
	}
	var all []change
	for _, name := range flags.Args() {
		if name == "-" && *write {
			return h.refuse("-w can't write into standard input")
		}
		before, after, ok := h.formatted(place(name))
		if !ok {
			return unusable // and no file is touched
		}
		all = append(all, change{name, before, after})
	}
	var out bytes.Buffer
	for _, c := range all {
		changed := !bytes.Equal(c.before, c.after)
		if changed && *write {
			if err := h.write(c.name, c.after); err != nil {
				return h.refuse("%v", err)
			}
		}
		switch {
		case *diff:
			out.WriteString(unified(c.name, c.before, c.after))
		case !*write:
			out.Write(c.after)
		}
	}
	if _, err := h.stdout.Write(out.Bytes()); err != nil {
		return h.refuse("%v", err)
	}
	return well
}

// formatted reads a file and formats it, or says why it can't.
func (h host) formatted(p source) (before, after []byte, ok bool) {
	before, err := h.read(p)
	if err != nil {
		h.refuse("%v", err)
		return nil, nil, false
	}
	after, findings := rules.Options{}.Format(p.name, before)
	findings.Draw(h.stderr, func(string) []byte { return before })
	return before, after, len(findings) == 0
}

// mostBytes is more than any rule file may have, so that one that is larger is found to be.
const mostBytes = 1 << 20

// read reads a file whole.
func (h host) read(p source) ([]byte, error) {
	in, err := p.open(h.stdin)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	f, err := in.Open(p.base)
	if err != nil {
		return nil, plain(p.name, err)
	}
	defer f.Close()
	src, err := io.ReadAll(io.LimitReader(f, mostBytes))
	if at := (*fs.PathError)(nil); errors.As(err, &at) {
		err = fmt.Errorf("%s: %w", p.name, at.Err)
	}
	return src, err
}
