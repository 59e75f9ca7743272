package main

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"path/filepath"

	"github.com/lapwright/lapwright/rules"
)

// load reads a rule book and says what is wrong with it. Where there is no book, read tells whether all files could
// be read, so that the rules are at fault.
func (h host) load(p source) (book *rules.Book, read bool) {
	in, err := p.open(h.stdin)
	if err != nil {
		h.refuse("%v", err)
		return nil, false
	}
	defer in.Close()
	kept := keeper{in, map[string]*bytes.Buffer{}}
	book, findings, err := rules.Load(kept, p.base)
	// As the user sees them, files stand where the root stands, and not in a folder of their own.
	for i := range findings {
		d := &findings[i]
		d.File = p.path(d.File)
		for k := range d.Related {
			d.Related[k].File = p.path(d.Related[k].File)
		}
	}
	findings.Draw(h.stderr, func(file string) []byte {
		for name, src := range kept.read {
			if p.path(name) == file {
				return src.Bytes()
			}
		}
		return nil
	})
	var missing *fs.PathError
	switch {
	case err == nil:
		return book, true
	case errors.As(err, &missing) && missing.Path == p.base:
		h.refuse("%v", plain(p.name, err))
	default:
		h.refuse("%s", p.path(err.Error()))
	}
	return nil, false
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
