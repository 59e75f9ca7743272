package main

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"path/filepath"

	"github.com/lapwright/lapwright/rules"
)

// load reads a rule book and draws what is wrong with it. Where there is no book, read tells whether all files could
// be read, so that the rules are at fault.
func (h host) load(p source) (book *rules.Book, read bool) {
	book, findings, sources, read := h.examine(p)
	findings.Draw(h.stderr, sources)
	return book, read
}

// examine reads a rule book and returns what is wrong with it, with the texts of its files by the names that the
// findings give them. It says itself what can't be read.
func (h host) examine(p source) (book *rules.Book, findings rules.Diagnostics, sources func(string) []byte, read bool) {
	in, err := p.open(h.stdin)
	if err != nil {
		h.refuse("%v", err)
		return nil, nil, nil, false
	}
	defer in.Close()
	kept := keeper{in, map[string]*bytes.Buffer{}}
	book, findings, err = rules.Load(kept, p.base)
	p.rename(findings)
	sources = func(file string) []byte {
		for name, src := range kept.read {
			if p.path(name) == file {
				return src.Bytes()
			}
		}
		return nil
	}
	var missing *fs.PathError
	switch {
	case err == nil:
		return book, findings, sources, true
	case errors.As(err, &missing) && missing.Path == p.base:
		h.refuse("%v", plain(p.name, err))
	default:
		h.refuse("%s", p.path(err.Error()))
	}
	return nil, findings, sources, false
}

// rename gives the files of findings the names by which the user sees them: they stand where the root stands, and not
// in a folder of their own.
func (s source) rename(findings rules.Diagnostics) {
	for i := range findings {
		d := &findings[i]
		d.File = s.path(d.File)
		for k := range d.Related {
			d.Related[k].File = s.path(d.Related[k].File)
		}
	}
}

// path is a file of the source's folder as the user would name it.
func (s source) path(file string) string {
	if s.dir == "" || s.dir == "." {
		return file
	}
	return s.dir + string(filepath.Separator) + file
}

// A keeper keeps the text of each file that is read through it, to show its lines.
type keeper struct {
	fs.FS
	read map[string]*bytes.Buffer
}

func (k keeper) Open(name string) (fs.File, error) {
	f, err := k.FS.Open(name)
	if err != nil {
		return nil, err
	}
	k.read[name] = new(bytes.Buffer)
	return kept{f, io.TeeReader(f, k.read[name])}, nil
}

type kept struct {
	fs.File
	tee io.Reader
}

func (k kept) Read(b []byte) (int, error) { return k.tee.Read(b) }
