package main

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/rules"
)

// check checks rule files, each as the root of a book.
func (h host) check(ctx context.Context, args []string) int {
	flags := h.flags("check [-format text|sarif] FILE...")
	format := flags.String("format", "text", "`text` for a reader, sarif for a host of code")
	if status, done := h.parse(flags, args); done {
		return status
	}
	switch {
	case *format != "text" && *format != "sarif":
		return h.refuse("there is no -format %q: use text or sarif", *format)
	case flags.NArg() == 0:
		return h.refuse("check needs rule files")
	}
	status := well
	var said bytes.Buffer
	var all rules.Diagnostics
	for _, name := range flags.Args() {
		book, findings, sources, read := h.examine(place(name))
		if book != nil {
			more, err := h.overAllRoofs(ctx, place(name), book)
			if err != nil {
				return h.refuse("%v", err)
			}
			if findings = append(findings, more...); findings.HasErrors() {
				book = nil
			}
		}
		if *format == "text" || !read {
			findings.Draw(h.stderr, sources)
		}
		all = append(all, findings...)
		switch {
		case !read:
			return unusable
		case book == nil:
			status = failed
		default:
			fmt.Fprintf(&said, "%s: no error in %s and %s\n", name,
				numbered(len(book.Details), "detail"), numbered(len(book.Items), "item"))
		}
	}
	if *format == "sarif" {
		said.Reset()
		if err := all.SARIF(&said); err != nil {
			return h.refuse("%v", err)
		}
	}
	h.stdout.Write(said.Bytes())
	return status
}

// overAllRoofs finds what more than reading takes. Of a book from standard input, examples on a job are not looked at.
func (h host) overAllRoofs(ctx context.Context, s source, book *rules.Book) (findings rules.Diagnostics, err error) {
	var files fs.FS
	if s.base != "-" {
		in, err := s.open(h.stdin)
		if err != nil {
			return nil, err
		}
		defer in.Close()
		files = in
	}
	findings, err = detail.Check(ctx, files, book)
	s.rename(findings)
	return findings, err
}

// numbered is a count of what one more of makes a plural with an s.
func numbered(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
