package main

import (
	"fmt"
	"slices"
	"strings"
)

// around is how many lines a diff shows before and after a change.
const around = 3

// An edit is a stretch of lines, [from, to) of each text, that differs.
type edit struct{ from, to [2]int }

// unified shows what changes from one text to another in the usual form, with three lines before and after each
// change; nothing if they are equal.
func unified(name string, before, after []byte) string {
	a, b := strings.SplitAfter(string(before), "\n"), strings.SplitAfter(string(after), "\n")
	a, b = slices.DeleteFunc(a, empty), slices.DeleteFunc(b, empty)
	edits := differences(a, b)
	if len(edits) == 0 {
		return ""
	}
	var out strings.Builder
	fmt.Fprintf(&out, "--- %s\n+++ %s\n", name, name)
	line := func(sign byte, text string) {
		out.WriteByte(sign)
		out.WriteString(text)
		if !strings.HasSuffix(text, "\n") {
			out.WriteString("\n\\ No newline at end of file\n")
		}
	}
	for len(edits) > 0 {
		n := 1
		for n < len(edits) && edits[n].from[0]-edits[n-1].to[0] <= 2*around {
			n++
		}
		first, last := edits[0], edits[n-1]
		lead, trail := min(around, first.from[0]), min(around, len(a)-last.to[0])
		fmt.Fprintf(&out, "@@ -%s +%s @@\n",
			extent(first.from[0]-lead, last.to[0]+trail), extent(first.from[1]-lead, last.to[1]+trail))
		at := first.from[0] - lead
		for _, e := range edits[:n] {
			for ; at < e.from[0]; at++ {
				line(' ', a[at])
			}
			for ; at < e.to[0]; at++ {
				line('-', a[at])
			}
			for k := e.from[1]; k < e.to[1]; k++ {
				line('+', b[k])
			}
		}
		for ; at < last.to[0]+trail; at++ {
			line(' ', a[at])
		}
		edits = edits[n:]
	}
	return out.String()
}

func empty(s string) bool { return s == "" }

// extent is a stretch of lines as a diff writes it; an empty one is named by the line before.
func extent(from, to int) string {
	if from == to {
		return fmt.Sprintf("%d,0", from)
	}
	return fmt.Sprintf("%d,%d", from+1, to-from)
}

// differences finds where two texts differ. Lines that each has once hold them together, as many as keep their order;
// between those, what is the same at both ends is left out.
func differences(a, b []string) []edit {
	var edits []edit
	at := [2]int{}
	for _, held := range append(anchors(a, b), [2]int{len(a), len(b)}) {
		e := edit{at, held}
		for e.from[0] < e.to[0] && e.from[1] < e.to[1] && a[e.from[0]] == b[e.from[1]] {
			e.from[0]++
			e.from[1]++
		}
		for e.from[0] < e.to[0] && e.from[1] < e.to[1] && a[e.to[0]-1] == b[e.to[1]-1] {
			e.to[0]--
			e.to[1]--
		}
		if e.from != e.to {
			edits = append(edits, e)
		}
		at = held
	}
	return edits
}

// anchors are the places, in both texts, of lines that each has just once: the longest list of them that rises in both.
func anchors(a, b []string) [][2]int {
	once := func(lines []string) map[string]int {
		at := map[string]int{}
		for i, l := range lines {
			if _, twice := at[l]; twice {
				i = -1
			}
			at[l] = i
		}
		return at
	}
	inA, inB := once(a), once(b)
	type link struct {
		at     [2]int
		before *link
	}
	var tails []*link // the best list of each length, by its last
	for i, l := range a {
		k, ok := inB[l]
		if inA[l] < 0 || !ok || k < 0 {
			continue
		}
		n, _ := slices.BinarySearchFunc(tails, k, func(t *link, k int) int { return t.at[1] - k })
		next := &link{at: [2]int{i, k}}
		if n > 0 {
			next.before = tails[n-1]
		}
		if n == len(tails) {
			tails = append(tails, next)
		} else {
			tails[n] = next
		}
	}
	var list [][2]int
	if len(tails) > 0 {
		for l := tails[len(tails)-1]; l != nil; l = l.before {
			list = append(list, l.at)
		}
	}
	slices.Reverse(list)
	return list
}
