// Package strictjson reads JSON (RFC 8259) into a tree that remembers where everything stands. It refuses what
// lenient readers pass over: repeated keys, trailing bytes, bad UTF-8, half surrogate pairs, deep nesting.
package strictjson

import (
	"iter"
	"sort"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// Kind is what a value is.
type Kind uint8

// The kinds of value.
const (
	Null Kind = iota
	False
	True
	Number
	String
	Array
	Object
)

// String names the kind with its article, for messages: "a string".
func (k Kind) String() string {
	return [...]string{"null", "false", "true", "a number", "a string", "a list", "an object"}[k]
}

// A Doc is a read document. Its nodes stand in the order of the text, an object's keys before their values, so a
// big document costs 16 bytes a node and text is decoded only where it is asked for.
type Doc struct {
	src   []byte
	lines []int32 // offset of each line's first byte
	nodes []node
}

type node struct {
	from, to int32 // in src; a string's with its quotes
	next     int32 // the node after this one and all it holds
	kind     Kind
	plain    bool // a string without escapes
}

// A Value is one value of a Doc.
type Value struct {
	doc *Doc
	i   int32
}

// Root is the document's outermost value.
func (d *Doc) Root() Value { return Value{d, 0} }

// Kind tells what the value is.
func (v Value) Kind() Kind { return v.doc.nodes[v.i].kind }

// Text is a string's decoded text, and any other value as written.
func (v Value) Text() string {
	n := v.doc.nodes[v.i]
	raw := v.doc.src[n.from:n.to]
	if n.kind != String {
		return string(raw)
	}
	raw = raw[1 : len(raw)-1]
	if n.plain {
		return string(raw)
	}
	return unescape(raw)
}

// Len is how many items an array holds, or members an object.
func (v Value) Len() int {
	k := 0
	for range v.children() {
		k++
	}
	if v.Kind() == Object {
		k /= 2
	}
	return k
}

// Items goes over an array.
func (v Value) Items() iter.Seq2[int, Value] {
	return func(yield func(int, Value) bool) {
		k := 0
		for c := range v.children() {
			if !yield(k, c) {
				return
			}
			k++
		}
	}
}

// Members goes over an object: each key, itself a string, and its value. Of a repeated key only the first comes.
func (v Value) Members() iter.Seq2[Value, Value] {
	return func(yield func(Value, Value) bool) {
		seen := make(map[string]bool)
		var key Value
		isKey := true
		for c := range v.children() {
			if isKey {
				key = c
			} else if name := key.Text(); !seen[name] {
				seen[name] = true
				if !yield(key, c) {
					return
				}
			}
			isKey = !isKey
		}
	}
}

func (v Value) children() iter.Seq[Value] {
	return func(yield func(Value) bool) {
		n := v.doc.nodes[v.i]
		if n.kind < Array {
			return
		}
		for c := v.i + 1; c < n.next; c = v.doc.nodes[c].next {
			if !yield(Value{v.doc, c}) {
				return
			}
		}
	}
}

// Place is the 1-based line and byte column where the value starts.
func (v Value) Place() (line, column int) {
	return v.doc.place(int(v.doc.nodes[v.i].from))
}

func (d *Doc) place(offset int) (line, column int) {
	line = sort.Search(len(d.lines), func(k int) bool { return int(d.lines[k]) > offset })
	return line, offset - int(d.lines[line-1]) + 1
}

// Pointer is the value's JSON Pointer (RFC 6901). A key has the pointer of its value.
func (v Value) Pointer() string {
	var b strings.Builder
	for at := v.doc.Root(); at.i != v.i; {
		var key Value
		k, inside := 0, at
		for c := range at.children() {
			if c.i > v.i {
				break
			}
			if at.Kind() == Object && k%2 == 0 {
				key = c
			}
			inside = c
			k++
		}
		b.WriteByte('/')
		if at.Kind() == Array {
			b.WriteString(strconv.Itoa(k - 1))
		} else {
			b.WriteString(Escape(key.Text()))
		}
		at = inside
	}
	return b.String()
}

// Find is the value at a JSON Pointer and true, or the last value on the way to one that is not there.
func (d *Doc) Find(pointer string) (Value, bool) {
	at := d.Root()
	if pointer == "" {
		return at, true
	}
	for part := range strings.SplitSeq(strings.TrimPrefix(pointer, "/"), "/") {
		next := at
		switch at.Kind() {
		case Array:
			for k, c := range at.Items() {
				if strconv.Itoa(k) == part {
					next = c
					break
				}
			}
		case Object:
			for key, c := range at.Members() {
				if Escape(key.Text()) == part {
					next = c
					break
				}
			}
		}
		if next == at {
			return at, false
		}
		at = next
	}
	return at, true
}

// Escape writes a key as one part of a JSON Pointer.
func Escape(key string) string { return pointerEscapes.Replace(key) }

var pointerEscapes = strings.NewReplacer("~", "~0", "/", "~1")

// unescape decodes a scanned string: every escape in it is known to be good.
func unescape(raw []byte) string {
	b := make([]byte, 0, len(raw))
	for i := 0; i < len(raw); i++ {
		if raw[i] != '\\' {
			b = append(b, raw[i])
			continue
		}
		i++
		switch raw[i] {
		case 'b':
			b = append(b, '\b')
		case 'f':
			b = append(b, '\f')
		case 'n':
			b = append(b, '\n')
		case 'r':
			b = append(b, '\r')
		case 't':
			b = append(b, '\t')
		case 'u':
			r, _ := hex4(raw[i+1:])
			i += 4
			if utf16.IsSurrogate(r) {
				low, _ := hex4(raw[i+3:])
				r = utf16.DecodeRune(r, low)
				i += 6
			}
			b = utf8.AppendRune(b, r)
		default: // " \ /
			b = append(b, raw[i])
		}
	}
	return string(b)
}

func hex4(b []byte) (rune, bool) {
	if len(b) < 4 {
		return 0, false
	}
	n, err := strconv.ParseUint(string(b[:4]), 16, 16)
	return rune(n), err == nil
}
