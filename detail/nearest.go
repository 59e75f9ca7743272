package detail

import "strings"

// nearest is the name that was probably meant by word, or "" where none is near: at most a third of the letters
// differ. Of equally near names it is the first in the alphabet.
func nearest(word string, names []string) string {
	word = strings.ToLower(word)
	if len(word) > 100 {
		return ""
	}
	best, least := "", len(word)/3+1
	for _, name := range names {
		d := distance(word, strings.ToLower(name), least+1)
		if d < least || d == least && best != "" && name < best {
			best, least = name, d
		}
	}
	return best
}

// distance is how many letters must be put in, taken out, changed or swapped with their neighbour to make b of a;
// at limit it gives up.
func distance(a, b string, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	var before, prev []int
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		before, prev, row = prev, row, make([]int, len(b)+1)
		row[0] = i + 1
		for j := range len(b) {
			change := 1
			if a[i] == b[j] {
				change = 0
			}
			row[j+1] = min(row[j]+1, prev[j+1]+1, prev[j]+change)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
	}
	return min(row[len(b)], limit)
}
