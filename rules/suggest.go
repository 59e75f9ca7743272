package rules

// nearest returns the word among the candidates that was probably meant, or "" if none is near: at most one
// letter in three wrong, and never more than three. Of two as near, the earlier is taken.
func nearest(word string, among []string) string {
	if len(word) < 2 || len(word) > 64 {
		return ""
	}
	best, least := "", min(3, max(1, len(word)/3))+1
	for _, w := range among {
		if w == word || len(w)-len(word) >= least || len(word)-len(w) >= least {
			continue
		}
		if d := editDistance(word, w); d < least {
			best, least = w, d
		}
	}
	return best
}

// editDistance counts the letters to add, drop, change or swap with a neighbour to make b of a.
func editDistance(a, b string) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
