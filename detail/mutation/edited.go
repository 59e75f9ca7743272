package mutation

import (
	"bytes"
	"io/fs"
	"time"
)

// edited is a file system with some of its files in another version.
type edited struct {
	fs.FS
	files map[string][]byte
}

func (e edited) Open(name string) (fs.File, error) {
	if data, ok := e.files[name]; ok {
		return memory{bytes.NewReader(data), int64(len(data)), name}, nil
	}
	if e.FS == nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return e.FS.Open(name)
}

// memory is a file of a version.
type memory struct {
	*bytes.Reader
	size int64
	name string
}

func (m memory) Stat() (fs.FileInfo, error) { return m, nil }
func (memory) Close() error                 { return nil }
func (m memory) Name() string               { return m.name }
func (m memory) Size() int64                { return m.size }
func (memory) Mode() fs.FileMode            { return 0o444 }
func (memory) ModTime() time.Time           { return time.Time{} }
func (memory) IsDir() bool                  { return false }
func (memory) Sys() any                     { return nil }
