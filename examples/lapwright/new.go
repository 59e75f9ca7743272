package main

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

//go:embed starter
var starter embed.FS

// create writes a starter book with a worked example and a job into a folder, and overwrites nothing.
func (h host) create(args []string) int {
	flags := h.flags("new DIR")
	if status, done := h.parse(flags, args); done {
		return status
	}
	if flags.NArg() != 1 {
		return h.refuse("new needs one folder")
	}
	dir := flags.Arg(0)
	files, err := fs.ReadDir(starter, "starter")
	if err != nil {
		return h.refuse("%v", err)
	}
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return h.refuse("%s is no folder", dir)
	}
	for _, f := range files {
		if _, err := os.Lstat(filepath.Join(dir, f.Name())); !errors.Is(err, fs.ErrNotExist) {
			return h.refuse("%s is there already, and is not overwritten", filepath.Join(dir, f.Name()))
		}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return h.refuse("%v", err)
	}
	for _, f := range files {
		if err := h.start(f.Name(), dir); err != nil {
			return h.refuse("%v", err)
		}
		fmt.Fprintln(h.stdout, filepath.Join(dir, f.Name()))
	}
	return well
}

// start writes one file of the starter, if it isn't there.
func (h host) start(name, dir string) error {
	data, err := starter.ReadFile("starter/" + name)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(filepath.Join(dir, name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Close())
}
