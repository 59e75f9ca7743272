package strictjson

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// any turns a value into what encoding/json makes of it with UseNumber.
func (v Value) any() any {
	switch v.Kind() {
	case Null:
		return nil
	case False, True:
		return v.Kind() == True
	case Number:
		return json.Number(v.Text())
	case String:
		return v.Text()
	case Array:
		list := []any{}
		for _, x := range v.Items() {
			list = append(list, x.any())
		}
		return list
	}
	object := map[string]any{}
	for key, x := range v.Members() {
		object[key.Text()] = x.any()
	}
	return object
}

// agree holds what Parse makes of a text against the standard library. They may differ only where ours is stricter.
func agree(t *testing.T, src []byte) {
	t.Helper()
	doc, faults := Parse(src, 100)
	var want any
	dec := json.NewDecoder(bytes.NewReader(src))
	dec.UseNumber()
	err := dec.Decode(&want)
	if err == nil && dec.More() {
		err = fmt.Errorf("trailing bytes")
	}
	if len(faults) == 0 {
		if bytes.HasPrefix(src, []byte("\uFEFF")) {
			return
		}
		require.NoError(t, err, "%q", src)
		require.Equal(t, want, doc.Root().any(), "%q", src)
		return
	}
	if err == nil {
		for _, stricter := range []string{"stands here and in line", "UTF-8", "surrogate", "nested", "after the end"} {
			if strings.Contains(faults[0].Msg, stricter) {
				return
			}
		}
		t.Fatalf("%q: refused (%s), but it is JSON", src, faults[0].Msg)
	}
}

func TestAgreesWithTheStandardLibrary(t *testing.T) {
	for _, src := range []string{
		`null`, `true`, `false`, ` "" `, `0`, `-0`, `1.50`, `-12e+3`, `1E-9`, `[]`, `{}`, `[[],[[]],{}]`,
		`{"a": {"b": [1, "x", null]}, "": 0}`, `"\"\\\/\b\f\n\r\t\u00e9\ud83d\ude00\u0000"`, "\"é\U0001F600\u2028\"",
		``, ` `, `nul`, `truex`, `01`, `-`, `1.`, `.5`, `+1`, `1e`, `1e+`, `--1`, `[1,]`, `[,1]`, `[1 2]`, `{"a"}`, `{"a":}`, `{"a":1,}`, `{a:1}`,
		`{"a":1 "b":2}`, `"`, `"\x"`, `"\u12"`, `"\u12g4"`, "\"\x01\"", "\"a\nb\"", "\"\\", `'a'`, `[`, `{`, `{"a":1`, `]`, `[}`, `{]`, "\xff",
		`"\ud83d"`, `"\ude00\ud83d"`, `"\ud83dx"`, "\"\xff\"", `{"a":1,"a":2}`, `{"a":1,"\u0061":2}`, `1 2`, `{} x`, "[1]\x00",
	} {
		agree(t, []byte(src))
	}
}

// Texts made of pieces of JSON, so that many are JSON or nearly.
func TestAgreesOnRandomTexts(t *testing.T) {
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	parts := []string{`{`, `}`, `[`, `]`, `,`, `:`, `"a"`, `"b\n"`, `1`, `-2.5e3`, `null`, `true`, ` `, "\n", `"`, `\`, `0`, `"\u00e9"`}
	var text func(depth int) string
	text = func(depth int) string {
		switch n := rng.IntN(8); {
		case n < 2 && depth > 0:
			s := []string{}
			for range rng.IntN(4) {
				s = append(s, text(depth-1))
			}
			return "[" + strings.Join(s, ",") + "]"
		case n < 4 && depth > 0:
			s := []string{}
			for i := range rng.IntN(4) {
				s = append(s, fmt.Sprintf("%q: %s", string(rune('a'+i)), text(depth-1)))
			}
			return "{" + strings.Join(s, ", ") + "}"
		case n < 6:
			return parts[6+rng.IntN(6)]
		}
		return fmt.Sprint(rng.IntN(100))
	}
	good := 0
	const cases = 20_000
	for range cases {
		s := text(4)
		for range rng.IntN(2) { // half of them with one part put in somewhere
			at := rng.IntN(len(s) + 1)
			s = s[:at] + parts[rng.IntN(len(parts))] + s[at:]
		}
		if _, faults := Parse([]byte(s), 100); len(faults) == 0 {
			good++
		}
		agree(t, []byte(s))
	}
	t.Logf("%d of %d are JSON", good, cases)
	assert.Greater(t, good, cases/4)
	assert.Less(t, good, cases*3/4)
}

func TestFaults(t *testing.T) {
	for _, c := range []struct{ src, pointer, at, msg string }{
		{"", "", "1:1", "there is nothing here"},
		{"[1,\n 2,,]", "", "2:4", `"," where a value is wanted`},
		{"{\"a\": [1,\n 'x']}", "/a", "2:2", `"'" where a value is wanted: a string stands in double quotes`},
		{`{"a": lake}`, "/a", "1:7", `"l" where a value is wanted: a word stands in double quotes`},
		{`[# 1`, "", "1:2", `JSON has no comments`},
		{`[+1]`, "", "1:2", `a number starts with a digit or a minus`},
		{`[1;2]`, "", "1:3", `";" where a comma or a closing bracket is wanted`},
		{`{"a": 1; "b": 2}`, "", "1:8", `";" where a comma or a closing brace is wanted`},
		{`{"a" 1}`, "/a", "1:6", `"1" where a colon is wanted after the key "a"`},
		{`{"a": 1, b: 2}`, "", "1:10", `"b" where a key in double quotes is wanted`},
		{`{"a": 1,}`, "", "1:9", `a comma before the closing brace: take it out`},
		{`[1,]`, "", "1:4", `a comma before the closing bracket: take it out`},
		{`{"x": {"y~/": [0, 1, 07]}}`, "/x/y~0~1", "1:22", "a number with a leading zero"},
		{`[-]`, "", "1:2", "a minus without a number"},
		{`[1.]`, "", "1:2", "a number ends with its point"},
		{`[1e]`, "", "1:2", "an exponent without digits"},
		{`["a`, "", "1:2", "this string has no end"},
		{"[\"a\nb\"]", "", "1:2", "this string has no end in its line"},
		{"[\"a\tb\"]", "", "1:4", `a control character (0x09) in a string: write it as \u0009`},
		{`["\q"]`, "", "1:3", "no such escape"},
		{`["\u00"]`, "", "1:3", `\u wants four hexadecimal digits`},
		{`["\ud800"]`, "", "1:3", "half of a surrogate pair"},
		{"[\"\xc3\"]", "", "1:3", "byte 0xc3 is not UTF-8"},
		{"[\xc3]", "", "1:2", "byte 0xc3 where a value is wanted"},
		{`{"a": {"b": 1, "b": 2}}`, "/a/b", "1:16", `the key "b" stands here and in line 1: keep one`},
		{`[[[1]]]`, "/0", "1:3", "nested deeper than 2 levels"},
		{"{}\n{}", "", "2:1", `"{" after the end of the document`},
		{"\uFEFF[x]", "", "1:2", `"x" where a value is wanted`},
	} {
		_, faults := Parse([]byte(c.src), 2+strings.Count(c.src, "y~"))
		if assert.Len(t, faults, 1, "%q", c.src) {
			f := faults[0]
			assert.Equal(t, c.pointer, f.Pointer, "%q", c.src)
			assert.Equal(t, c.at, fmt.Sprintf("%d:%d", f.Line, f.Column), "%q", c.src)
			assert.Contains(t, f.Msg, c.msg, "%q", c.src)
			assert.Equal(t, strings.Contains(f.Msg, "nested"), f.Deep)
		}
	}
}

// Reading goes on after a repeated key and bad UTF-8, and keeps few of them, but always the last.
func TestFaultsThatDoNotStop(t *testing.T) {
	doc, faults := Parse([]byte("{\"a\": 1, \"a\": \"\xff\", \"b\": 3}"), 10)
	assert.Len(t, faults, 2)
	assert.Equal(t, map[string]any{"a": json.Number("1"), "b": json.Number("3")}, doc.Root().any())

	doc, faults = Parse([]byte("{"+strings.Repeat("\"a\": 1, ", 1000)+"]"), 10)
	assert.Nil(t, doc)
	assert.Len(t, faults, maxFaults)
	assert.Contains(t, faults[maxFaults-1].Msg, "a key in double quotes is wanted")
}

// Every value is found by its own pointer, and has the place where it stands.
func TestPointers(t *testing.T) {
	src := "{\"a\": [1, {\"b/~\": \"x\"},\n [[]]], \"\": {\"a\": 2}}"
	doc, faults := Parse([]byte(src), 10)
	require.Empty(t, faults)
	places := map[string]string{}
	var walk func(v Value)
	walk = func(v Value) {
		line, column := v.Place()
		places[v.Pointer()] = fmt.Sprintf("%d:%d", line, column)
		found, ok := doc.Find(v.Pointer())
		assert.True(t, ok)
		assert.Equal(t, v, found)
		for _, x := range v.Items() {
			if v.Kind() == Array {
				walk(x)
			}
		}
		if v.Kind() == Object {
			for key, x := range v.Members() {
				assert.Equal(t, x.Pointer(), key.Pointer())
				walk(x)
			}
		}
	}
	walk(doc.Root())
	assert.Equal(t, map[string]string{"": "1:1", "/a": "1:7", "/a/0": "1:8", "/a/1": "1:11", "/a/1/b~1~0": "1:19", "/a/2": "2:2", "/a/2/0": "2:3",
		"/": "2:13", "//a": "2:19"}, places)
	for pointer, want := range map[string]string{"/a/7/b": "/a", "/x": "", "/a/0/1": "/a/0"} {
		found, ok := doc.Find(pointer)
		assert.False(t, ok)
		assert.Equal(t, want, found.Pointer())
	}
}

func TestLenAndKinds(t *testing.T) {
	doc, _ := Parse([]byte(`[[1, 2, 3], {"a": 1, "b": 2}, 5, null, "x", false]`), 10)
	var got []string
	for _, v := range doc.Root().Items() {
		got = append(got, fmt.Sprint(v.Kind(), " ", v.Len(), " ", v.Text()))
	}
	assert.Equal(t, []string{"a list 3 [1, 2, 3]", `an object 2 {"a": 1, "b": 2}`, "a number 0 5", "null 0 null", "a string 0 x", "false 0 false"}, got)
}

// A caller's limit is no way round the parser's own.
func TestDepthHasAnEnd(t *testing.T) {
	_, faults := Parse([]byte(strings.Repeat("[", 1_000_000)), 1_000_000)
	require.Len(t, faults, 1)
	assert.True(t, faults[0].Deep)
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(`{"a": [1, "\ud83d\ude00", {"b": null}]}`))
	f.Fuzz(func(t *testing.T, src []byte) { agree(t, src) })
}
