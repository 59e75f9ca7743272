package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// A source is a file to read: in a folder, in the demonstration, or standard input.
type source struct {
	name string // as the user gave it
	dir  string // its folder; "" for others
	base string // its name there
}

// place is the source of a file name, - for standard input.
func place(name string) source {
	if name == "-" {
		return source{name: "standard input", base: "-"}
	}
	return source{name: name, dir: filepath.Dir(name), base: filepath.Base(name)}
}

func embedded(name string) source { return source{name: name, base: name} }

// A folder is where a file and those that it includes are read.
type folder struct {
	fs.FS
	io.Closer
}

// open opens the folder: what is read through it never leaves it, not by a link either.
func (s source) open(stdin io.Reader) (folder, error) {
	switch {
	case s.base == "-":
		return folder{stream{stdin}, io.NopCloser(nil)}, nil
	case s.dir == "":
		sub, err := fs.Sub(demo, "demo")
		return folder{sub, io.NopCloser(nil)}, err
	}
	root, err := os.OpenRoot(s.dir)
	if err != nil {
		return folder{}, plain(s.name, err)
	}
	return folder{root.FS(), root}, nil
}

// plain says that a file can't be read in one sentence.
func plain(name string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: there is no such file", name)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("%s: no permission to read it", name)
	}
	return fmt.Errorf("%s: %w", name, err)
}

// A stream is standard input as a folder of one file, "-".
type stream struct{ io.Reader }

func (s stream) Open(name string) (fs.File, error) {
	if name != "-" {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return s, nil
}

func (s stream) Stat() (fs.FileInfo, error) { return s, nil }
func (stream) Close() error                 { return nil }
func (stream) Name() string                 { return "-" }
func (stream) Size() int64                  { return 0 }
func (stream) Mode() fs.FileMode            { return fs.ModeNamedPipe }
func (stream) ModTime() time.Time           { return time.Time{} }
func (stream) IsDir() bool                  { return false }
func (stream) Sys() any                     { return nil }

// write writes a whole file or none: beside the place and then into it. A link stays one.
func (h host) write(name string, data []byte) error {
	if name == "-" {
		_, err := h.stdout.Write(data)
		return err
	}
	if real, err := filepath.EvalSymlinks(name); err == nil {
		name = real
	}
	mode := fs.FileMode(0o644)
	if info, err := os.Stat(name); err == nil {
		if !info.Mode().IsRegular() {
			return fmt.Errorf("%s is no plain file", name)
		}
		mode = info.Mode().Perm()
	}
	temp, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*")
	if _, gone := os.Stat(filepath.Dir(name)); errors.Is(gone, fs.ErrNotExist) {
		return fmt.Errorf("can't write %s: there is no folder %s", name, filepath.Dir(name))
	}
	if err != nil {
		return fmt.Errorf("can't write %s: %w", name, errors.Unwrap(err))
	}
	_, err = temp.Write(data)
	err = cmp.Or(err, temp.Chmod(mode), temp.Sync(), temp.Close())
	if err == nil {
		err = os.Rename(temp.Name(), name)
	}
	if err != nil {
		os.Remove(temp.Name())
		return fmt.Errorf("can't write %s: %w", name, cmp.Or(errors.Unwrap(err), err))
	}
	return nil
}
