package geom

import "strings"

// suggest names the word that was meant, where one is near, else all that there are.
func suggest(got string, words []string) string {
	best, least := "", 3
	for _, w := range words {
		if d := distance(got, w, least); d < least && d < len(w) {
			best, least = w, d
		}
	}
	switch {
	case best != "":
		return ": " + best + " is near"
	case len(words) == 0:
		return ""
	}
	return ": use " + strings.Join(words, ", ")
}

// distance counts the letters to put in, leave out or replace to turn a into b; below is enough to know.
func distance(a, b string, below int) int {
	if len(a) >= len(b)+below || len(b) >= len(a)+below {
		return below
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
