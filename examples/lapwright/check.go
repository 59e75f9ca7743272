package main

import (
	"fmt"

	"github.com/lapwright/lapwright/rules"
)

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
		p := place(name)
		fsys, err := p.open(h.stdin)
		if err != nil {
			return h.refuse("%v", err)
		}
		book, findings, err := rules.Load(fsys, p.base)
		h.show(findings, p, fsys)
		fsys.Close()
		if err != nil {
			return h.refuseAt(p.name, err)
		}
		if book == nil {
			status = failed
			continue
		}
		said += fmt.Sprintf("%s: no error in %d details and %d items\n", p.name, len(book.Details), len(book.Items))
	}
	fmt.Fprint(h.stdout, said)
	return status
}
