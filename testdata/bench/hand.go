package main

// A mark of a loop is as large as one of the library.
type mark struct {
	at    int64
	scope int32
}

// hand lays the fasteners of bench.rules in int64, by a loop written for them alone. All three rows are of one kind: the
// marks have equal gaps, as even as the book's mark allows, and stand in the middle. Ribs stand at both ends too.
type hand struct {
	width         int64 // of the panel laid last, and its closure screws
	first, gap, n int64
}

// A mark stands at least so far from a rib's centre.
const (
	closureOff = ribWidth/2 + inch*3/2
	rivetOff   = ribWidth/2 + 2*inch
)

func (h *hand) lay(ribs []int64, out []mark) []mark {
	x, gap, n := spaced(ribs[len(ribs)-1], 10*inch, 1, 0)
	for range n {
		out = append(out, mark{x, 0})
		x += gap
	}
	from := ribs[0]
	for i, to := range ribs[1:] {
		if to-from != h.width {
			h.width = to - from
			h.first, h.gap, h.n = spaced(to-from, 5*inch, 4, closureOff)
		}
		x := from + h.first
		for range h.n {
			out = append(out, mark{x, int32(i)})
			x += h.gap
		}
		from = to
	}
	from = ribs[0]
	for i, to := range ribs[1:] {
		half := (to - from) / 2
		if half < rivetOff {
			panic("a rivet too near a rib")
		}
		out = append(out, mark{from + half, int32(i)})
		from = to
	}
	return out
}

// spaced gives the first mark, the gap and the number of marks on a stretch where no gap is over most, no end gap over
// half of it, and both ends are kept free.
func spaced(length, most, count, free int64) (first, gap, n int64) {
	n = max(count, (length+most-1)/most)
	// The smallest gap, in steps: n-1 gaps and two halves go over the length.
	steps, rest := length/step, length%step
	g := length / (n * step)
	for (n-1)*g+g/2+rightHalf(g, rest) < steps {
		g++
	}
	middle := steps - (n-1)*g
	first = middle / 2
	if middle%2 != 0 && rest > 0 {
		first++
	}
	if first*step < free || length-(first+(n-1)*g)*step < free || first > g/2 || steps-first-(n-1)*g > rightHalf(g, rest) {
		panic("not the panels that this was written for")
	}
	return first * step, g * step, n
}

// rightHalf is how many whole steps are in half a gap where the scope ends a rest past a step.
func rightHalf(g, rest int64) int64 {
	half := g / 2
	if rest > 0 && (g%2 == 0 || rest > step/2) {
		half--
	}
	return half
}
