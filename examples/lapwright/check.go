package main

import "fmt"

// check checks rule files, each as the root of a book.
func (h host) check(args []string) int {
	flags := h.flags("check [-format text] FILE...")
	format := flags.String("format", "text", "`text`")
	if status, done := h.parse(flags, args); done {
		return status
	}
	switch {
	case *format == "sarif":
		return h.refuse("-format sarif is not built yet")
	case *format != "text":
		return h.refuse("there is no -format %q: use text", *format)
	case flags.NArg() == 0:
		return h.refuse("check needs rule files")
	}
	status, said := well, ""
	for _, name := range flags.Args() {
		book, read := h.load(place(name))
		switch {
		case !read:
			return unusable
		case book == nil:
			status = failed
			continue
		}
		said += fmt.Sprintf("%s: no error in %d details and %d items\n", name, len(book.Details), len(book.Items))
	}
	fmt.Fprint(h.stdout, said)
	return status
}
