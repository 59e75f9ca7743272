package rules

// nearest returns the candidate closest to a misspelt word, the first of equals, or "" if none is near: at
// most one change in three letters, a swap of neighbours counting as one.
func nearest(word string, candidates []string) string {
	best, at := "", len(word)/3+1
	if len(word) > 64 {
		return ""
	}
	for _, c := range candidates {
		if c == word || len(c) > 64 || len(c)-len(word) >= at || len(word)-len(c) >= at {
			continue
		}
		if d := edits(word, c); d < at || d == 1 && at == 1 && best == "" && len(word) > 1 {
			best, at = c, d
		}
	}
	return best
}

// edits counts insertions, deletions, replacements and swaps of neighbours, in bytes.
func edits(a, b string) int {
	before, last := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		next := make([]int, len(b)+1)
		next[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			next[j] = min(last[j]+1, next[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
		}
		before, last = last, next
	}
	return last[len(b)]
}
