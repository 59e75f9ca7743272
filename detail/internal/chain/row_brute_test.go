package chain

import (
	"math/bits"
	"slices"
)

// brute lays small rows by looking at every position of the grid, up to 64 of them. It is written from the language's
// page on its own and shares nothing with the solver but the types.
type brute struct {
	p    *Row
	in   []bool // the limits in force
	step int64
	n    int // positions 0 … n-1 on the grid

	gap   [64]uint64 // by left mark: right marks that the limits in force allow
	ok    uint64     // positions outside what is kept free
	left  endRule
	right endRule
	seen  seen
	soft  bool // the musts conflict: largest gaps and end gaps give way
	loose bool // and so do ends with a maximum of their own
}

// endRule is what one end asks of the nearest mark, position by position.
type endRule struct {
	hard    uint64 // minimums hold
	own     uint64 // a must maximum of this end's own binds
	must    uint64 // those maximums hold
	half    uint64 // the default limit holds, of musts and shoulds both
	halfS   uint64 // the default limit of shoulds alone
	should  uint64 // shoulds' own maximums hold
	reached int64  // how far the end is from the first allowed position, from musts only; -1 for none
}

func touches(spans []Span, x, y int64) bool {
	if spans == nil {
		return true
	}
	for _, s := range spans {
		if s.From <= s.To && x <= s.To && y >= s.From {
			return true
		}
	}
	return false
}

func inside(spans []Span, x int64) bool {
	for _, s := range spans {
		if x > s.From && x < s.To {
			return true
		}
	}
	return false
}

func newBrute(p *Row, in []bool) *brute { return bruteOf(p, in, seen{}) }

// seen keeps, by step, what each limit alone forbids, so that it is looked at once.
type seen map[int64][]alone

type alone struct {
	gap  [64]uint64 // by left mark: right marks too near or too far
	keep uint64     // positions kept free
}

func (b *brute) alone() []alone {
	if a := b.seen[b.step]; a != nil {
		return a
	}
	a := make([]alone, len(b.p.Limits))
	for i, l := range b.p.Limits {
		for x := range b.n {
			if l.Kind == Keep && inside(l.Spans, b.at(x)) {
				a[i].keep |= 1 << x
			}
			for y := x + 1; y < b.n; y++ {
				d := b.at(y) - b.at(x)
				if (l.Kind == GapMin && d < l.Value || l.Kind == GapMax && d > l.Value) && touches(l.Spans, b.at(x), b.at(y)) {
					a[i].gap[x] |= 1 << y
				}
			}
		}
	}
	b.seen[b.step] = a
	return a
}

// bruteOf puts some of the limits in force.
func bruteOf(p *Row, in []bool, before seen) *brute {
	b := &brute{p: p, in: in, step: 1, seen: before}
	for i, l := range p.Limits {
		if l.Kind == Step && in[i] {
			b.step = l.Value
		}
	}
	b.n = int(p.Length/b.step) + 1
	if b.n > 64 {
		panic("scope too long for brute force")
	}
	b.ok = 1<<b.n - 1
	for i, a := range b.alone() {
		if in[i] {
			b.ok &^= a.keep
		}
	}
	b.gaps(func(Limit) bool { return true })
	b.left = b.end(LeftEnd)
	b.right = b.end(RightEnd)
	place := false // for any mark
	for x := range b.n {
		d := b.at(x)
		place = place || !b.breaks(Keep, func(l Limit) bool { return !l.Should && inside(l.Spans, d) }) &&
			!b.breaks(EndMin, func(l Limit) bool {
				return !l.Should && (l.Ends&LeftEnd != 0 && touches(l.Spans, 0, 0) && d < l.Value ||
					l.Ends&RightEnd != 0 && touches(l.Spans, p.Length, p.Length) && p.Length-d < l.Value)
			})
	}
	if !place {
		b.left.reached, b.right.reached = -1, -1
	}
	return b
}

// gaps finds which pairs may be neighbours, by the gap limits in force that count.
func (b *brute) gaps(count func(Limit) bool) {
	for x := range b.n {
		b.gap[x] = 1<<b.n - 1<<(x+1)
	}
	for i, a := range b.alone() {
		if b.in[i] && count(b.p.Limits[i]) {
			for x := range b.n {
				b.gap[x] &^= a.gap[x]
			}
		}
	}
}

func (b *brute) at(i int) int64 { return int64(i) * b.step }

func (b *brute) breaks(k Kind, broken func(Limit) bool) bool {
	for i, l := range b.p.Limits {
		if b.in[i] && l.Kind == k && broken(l) {
			return true
		}
	}
	return false
}

// endGap is the stretch between an end and the mark at position i.
func (b *brute) endGap(end Ends, i int) (x, y int64) {
	if end == LeftEnd {
		return 0, b.at(i)
	}
	return b.at(i), b.p.Length
}

func (b *brute) end(end Ends) endRule {
	r := endRule{reached: -1}
	order := make([]int, b.n) // from the end inwards
	for i := range order {
		order[i] = i
		if end == RightEnd {
			order[i] = b.n - 1 - i
		}
	}
	for _, i := range order {
		x, y := b.endGap(end, i)
		d := y - x
		hard, free := true, true
		own, must, half, halfS, should := false, true, true, true, true
		for j, l := range b.p.Limits {
			if !b.in[j] || (l.Kind != Keep && !touches(l.Spans, x, y)) {
				continue
			}
			named := l.Ends&end != 0
			switch {
			case l.Kind == Keep && inside(l.Spans, b.at(i)):
				free = free && l.Should
			case l.Kind == EndMin && named && d < l.Value:
				hard = false
				free = free && l.Should
			case l.Kind == EndMax && named && l.Should:
				should = should && d <= l.Value
			case l.Kind == EndMax && named:
				own = true
				must = must && d <= l.Value
			case l.Kind == GapMax && 2*d > l.Value:
				if b.p.Lay == Stepped && end == RightEnd && d <= l.Value {
					continue
				}
				half = false
				halfS = halfS && !l.Should
			}
		}
		if free && r.reached < 0 {
			r.reached = d
		}
		set := func(m *uint64, v bool) {
			if v {
				*m |= 1 << i
			}
		}
		set(&r.hard, hard)
		set(&r.own, own)
		set(&r.must, must)
		set(&r.half, half)
		set(&r.halfS, halfS)
		set(&r.should, should)
	}
	return r
}

// ends is the set of positions at which the mark nearest to an end may stand, when gaps are at most g steps.
func (b *brute) ends(end Ends, g int) uint64 {
	r := b.left
	if end == RightEnd {
		r = b.right
	}
	var set uint64
	for i := range b.n {
		bit := uint64(1) << i
		if b.ok&bit == 0 || r.hard&bit == 0 || r.should&bit == 0 {
			continue
		}
		x, y := b.endGap(end, i)
		reached := false // no further in than the first allowed position
		if r.reached >= 0 {
			reached = y-x <= r.reached
		}
		within := g < 0 || 2*(y-x) <= int64(g)*b.step
		good := false
		if r.own&bit != 0 {
			good = r.must&bit != 0 || b.soft && reached || b.soft && b.loose && within
		} else {
			half := r.half&bit != 0
			if b.soft {
				half = r.halfS&bit != 0
			}
			good = reached || half && within
		}
		if good {
			set |= bit
		}
	}
	return set
}

// layers gives, for marks 1 … n, where the kth may stand when those before it stand well, with gaps of at least m and
// at most g steps (g < 0: no bound).
func (b *brute) layers(n, g, m int) []uint64 {
	out := make([]uint64, 0, n)
	cur := b.ends(LeftEnd, g)
	for k := 0; k < n; k++ {
		if k > 0 {
			var next uint64
			for c := cur; c != 0; c &= c - 1 {
				x := bits.TrailingZeros64(c)
				next |= b.reach(x, g, m)
			}
			cur = next & b.ok
		}
		out = append(out, cur)
	}
	return out
}

func (b *brute) reach(x, g, m int) uint64 {
	r := b.gap[x]
	if m > 1 && x+m < 64 {
		r = r >> (x + m) << (x + m)
	} else if m > 1 {
		r = 0
	}
	if g >= 0 && x+g+1 < 64 {
		r &= 1<<(x+g+1) - 1
	}
	return r
}

func (b *brute) feasible(n, g, m int) bool {
	if n < 1 || n > b.n {
		return false
	}
	l := b.layers(n, g, m)
	return l[n-1]&b.ends(RightEnd, g) != 0
}

// counts is the range of counts that the limits in force ask for.
func (b *brute) counts() (lo, hi int) {
	lo, hi = 1, b.n
	for i, l := range b.p.Limits {
		if b.in[i] && l.Kind == CountMin {
			lo = max(lo, int(min(l.Value, 1000)))
		}
		if b.in[i] && l.Kind == CountMax {
			hi = min(hi, int(l.Value))
		}
	}
	return lo, hi
}

func (b *brute) fewest(lo, hi, g int) int {
	for n := lo; n <= min(hi, b.n); n++ {
		if b.feasible(n, g, 1) {
			return n
		}
	}
	return 0
}

// bruteFeasible tells whether any layout keeps the limits in force.
func bruteFeasible(p *Row, in []bool, before seen) bool {
	b := bruteOf(p, in, before)
	lo, hi := b.counts()
	return b.fewest(lo, hi, -1) > 0
}

// bruteRow is the whole order of the language's page.
func bruteRow(p *Row) (at []int64, kept []bool, conflict []int) {
	in := make([]bool, len(p.Limits))
	kept = make([]bool, len(p.Limits))
	for i, l := range p.Limits {
		in[i] = !l.Should
		kept[i] = in[i]
	}
	before := seen{}
	b := bruteOf(p, in, before)
	lo, hi := b.counts()
	g := -1
	c, ceiling := lo, hi
	soft := b.fewest(lo, hi, -1) == 0
	loose := false
	if soft {
		conflict = bruteConflict(p, before)
		// What stands: keep-outs, minimums, the largest count, the step.
		hard := slices.Clone(in)
		for i, l := range p.Limits {
			if l.Kind == GapMax || l.Kind == EndMax || l.Kind == CountMin {
				hard[i] = false
			}
		}
		h := bruteOf(p, hard, before)
		if h.fewest(c, hi, -1) == 0 {
			for c = min(c, hi); c > 0 && !h.feasible(c, -1, 1); {
				c--
			}
			if c < 1 {
				return nil, kept, conflict
			}
		}
		b = softBrute(p, in, false, before)
		if loose = b.fewest(c, hi, -1) == 0; loose {
			b = softBrute(p, in, true, before)
		}
		g = 2*b.n + 2
		for _, l := range p.Limits { // a gap that no limit forbids need not be smaller
			if l.Kind == GapMax && !l.Should {
				g = min(g, int(l.Value/b.step))
			}
		}
		for ; b.fewest(c, hi, g) == 0; g++ {
		}
	}
	again := func() {
		if soft {
			b = softBrute(p, in, loose, before)
			lo, hi = c, ceiling
			for i, l := range p.Limits {
				if in[i] && l.Should && l.Kind == CountMin {
					lo = max(lo, int(min(l.Value, 1000)))
				}
				if in[i] && l.Should && l.Kind == CountMax {
					hi = min(hi, int(l.Value))
				}
			}
			return
		}
		b = bruteOf(p, in, before)
		lo, hi = b.counts()
	}
	for i := 0; i < len(p.Limits); {
		j := i + 1
		for j < len(p.Limits) && p.Limits[j].Joined {
			j++
		}
		if p.Limits[i].Should {
			for k := i; k < j; k++ {
				in[k] = true
			}
			again()
			holds := b.fewest(lo, hi, g) > 0
			for k := i; k < j; k++ {
				in[k], kept[k] = holds, holds
			}
		}
		i = j
	}
	again()
	if p.Lay == Stepped && !soft {
		return b.scan(b.fewest(lo, hi, g), -1, 1, true), kept, conflict
	}
	n := b.fewest(lo, hi, g)
	if p.Lay == Centered && !soft {
		if at := b.rigid(n); at != nil {
			return at, kept, conflict
		}
	}
	for g = 0; !b.feasible(n, g, 1); g++ {
	}
	m := 1
	if n > 1 {
		for b.feasible(n, g, m+1) {
			m++
		}
	}
	if b.symmetric() {
		if at := b.mirrored(n, g, m); at != nil {
			return at, kept, conflict
		}
	}
	return b.scan(n, g, m, false), kept, conflict
}

// softBrute leaves the musts' largest gaps out; their ends' own maximums stay to be weighed against the rest.
func softBrute(p *Row, in []bool, loose bool, before seen) *brute {
	b := bruteOf(p, in, before)
	b.gaps(func(l Limit) bool { return l.Kind == GapMin || l.Should })
	b.soft, b.loose = true, loose
	return b
}

// bruteConflict tries every set of must limits, the small ones first and the earlier lines first.
func bruteConflict(p *Row, before seen) []int {
	var must []int
	in := make([]bool, len(p.Limits))
	for i, l := range p.Limits {
		if l.Fixed {
			in[i] = true
		} else if !l.Should && !l.Joined {
			must = append(must, i)
		}
	}
	for size := 0; size <= len(must); size++ {
		set := make([]int, 0, size)
		var try func(from int) []int
		try = func(from int) []int {
			if len(set) == size {
				on := slices.Clone(in)
				for _, i := range set {
					on[i] = true
					for j := i + 1; j < len(p.Limits) && p.Limits[j].Joined; j++ {
						on[j] = true
					}
				}
				if !bruteFeasible(p, on, before) {
					return append([]int{}, set...)
				}
				return nil
			}
			for k := from; k < len(must); k++ {
				set = append(set, must[k])
				if found := try(k + 1); found != nil {
					return found
				}
				set = set[:len(set)-1]
			}
			return nil
		}
		if found := try(0); found != nil {
			return found
		}
	}
	return nil
}

// scan is the leftmost layout of n marks, or the rightmost.
func (b *brute) scan(n, g, m int, rightmost bool) []int64 {
	dead := make(map[[2]int]bool)
	var out []int64
	last := b.ends(RightEnd, g)
	var place func(k int, where uint64) bool
	place = func(k int, where uint64) bool {
		for where &= b.ok; where != 0; {
			x := bits.TrailingZeros64(where)
			if rightmost {
				x = 63 - bits.LeadingZeros64(where)
			}
			where &^= 1 << x
			if dead[[2]int{k, x}] {
				continue
			}
			out = append(out, b.at(x))
			if k == n && last>>x&1 == 1 || k < n && place(k+1, b.reach(x, g, m)) {
				return true
			}
			out = out[:len(out)-1]
			dead[[2]int{k, x}] = true
		}
		return false
	}
	if !place(1, b.ends(LeftEnd, g)) {
		return nil
	}
	return out
}

// rigid is the layout whose gaps all are the largest gap, nearest to the middle.
func (b *brute) rigid(n int) []int64 {
	g := int64(0)
	for i, l := range b.p.Limits {
		if b.in[i] && l.Kind == GapMax {
			if l.Spans != nil {
				return nil
			}
			if v := l.Value / b.step; g == 0 || v < g {
				g = v
			}
		}
		if b.in[i] && l.Kind == GapMin && l.Spans != nil {
			return nil
		}
	}
	if n == 1 {
		g = 0
	}
	if g == 0 && n > 1 {
		return nil
	}
	best, off := []int64(nil), int64(0)
	for x := 0; x+(n-1)*int(g) < b.n; x++ {
		good := b.ends(LeftEnd, -1)>>x&1 == 1 && b.ends(RightEnd, -1)>>(x+(n-1)*int(g))&1 == 1
		var at []int64
		for k := range n {
			y := x + k*int(g)
			good = good && b.ok>>y&1 == 1 && (k == 0 || b.gap[y-int(g)]>>y&1 == 1)
			at = append(at, b.at(y))
		}
		if d := at[0] + at[n-1] - b.p.Length; good && (best == nil || max(d, -d) < off) {
			best, off = at, max(d, -d)
		}
	}
	return best
}

// symmetric compares the scope and its limits with their mirror image, on the finest units.
func (b *brute) symmetric() bool {
	l := b.p.Length
	free := func(x2 int64) bool { // x2 in half units, so that points between units count too
		return !b.breaks(Keep, func(k Limit) bool {
			for _, s := range k.Spans {
				if x2 > 2*s.From && x2 < 2*s.To {
					return true
				}
			}
			return false
		}) && !b.breaks(EndMin, func(k Limit) bool {
			return k.Ends&LeftEnd != 0 && touches(k.Spans, 0, 0) && x2 < 2*k.Value ||
				k.Ends&RightEnd != 0 && touches(k.Spans, l, l) && 2*l-x2 < 2*k.Value
		})
	}
	for x := int64(0); x <= 2*l; x++ {
		if free(x) != free(2*l-x) {
			return false
		}
	}
	for x := int64(0); x <= l; x++ {
		for y := x; y <= l; y++ { // y = x too: that tells exactly where a limit binds
			if b.bound(GapMin, x, y) != b.bound(GapMin, l-y, l-x) || b.bound(GapMax, x, y) != b.bound(GapMax, l-y, l-x) {
				return false
			}
		}
		for _, k := range []Kind{EndMin, EndMax} {
			lo, lb := b.endBound(k, LeftEnd, 0, x)
			ro, rb := b.endBound(k, RightEnd, l-x, l)
			if lo != ro || lb != rb {
				return false
			}
		}
	}
	return true
}

// bound is the limit that binds a gap.
func (b *brute) bound(k Kind, x, y int64) int64 {
	v := int64(1) << 40
	if k == GapMin {
		v = b.step
	}
	for i, l := range b.p.Limits {
		if b.in[i] && l.Kind == k && touches(l.Spans, x, y) {
			if k == GapMin {
				v = max(v, l.Value)
			} else {
				v = min(v, l.Value)
			}
		}
	}
	return v
}

// endBound tells whether an end gap keeps the limits of a kind, and whether a must maximum binds it.
func (b *brute) endBound(k Kind, end Ends, x, y int64) (holds, own bool) {
	holds = true
	for i, l := range b.p.Limits {
		if b.in[i] && l.Kind == k && l.Ends&end != 0 && touches(l.Spans, x, y) {
			own = own || k == EndMax && !l.Should
			edge := x
			if end == RightEnd {
				edge = y
			}
			if k == EndMin && !touches(l.Spans, edge, edge) && y-x < l.Value || k == EndMax && y-x > l.Value {
				holds = false
			}
		}
	}
	return holds, own
}

// mirrored is the leftmost of the layouts that are their own mirror image to within one step.
func (b *brute) mirrored(n, g, m int) []int64 {
	first, last := b.ends(LeftEnd, g), b.ends(RightEnd, g)
	near := func(x, y int) bool {
		d := b.at(x) + b.at(y) - b.p.Length
		return max(d, -d) <= b.step
	}
	has := func(set uint64, x int) bool { return x >= 0 && x < b.n && set>>x&1 == 1 }
	// can: the marks from x on the left and y on the right, the kth from each end, can be completed inside.
	type state struct{ k, x, y int }
	memo := map[state]bool{}
	var can func(s state) bool
	can = func(s state) bool {
		if !has(b.ok, s.x) || !has(b.ok, s.y) || !near(s.x, s.y) {
			return false
		}
		switch left := n - 2*s.k; {
		case left == -1:
			return s.x == s.y
		case s.x >= s.y:
			return false
		case left == 0:
			return has(b.reach(s.x, g, m), s.y)
		}
		if v, ok := memo[s]; ok {
			return v
		}
		found := false
		for x := s.x + 1; x <= s.y && !found; x++ {
			for y := x; y < s.y && !found; y++ {
				found = has(b.reach(s.x, g, m), x) && has(b.reach(y, g, m), s.y) && can(state{s.k + 1, x, y})
			}
		}
		memo[s] = found
		return found
	}
	half := (n + 1) / 2
	// ways: every choice of right marks that goes with the left marks xs.
	var ways func(xs, ys []int) [][]int
	ways = func(xs, ys []int) [][]int {
		k := len(ys)
		if k == len(xs) {
			return [][]int{slices.Clone(ys)}
		}
		var out [][]int
		for y := range b.n {
			if !can(state{k + 1, xs[k], y}) {
				continue
			}
			if k == 0 && (!has(first, xs[0]) || !has(last, y)) {
				continue
			}
			if k > 0 && (!has(b.reach(xs[k-1], g, m), xs[k]) || !has(b.reach(y, g, m), ys[k-1])) {
				continue
			}
			out = append(out, ways(xs, append(ys, y))...)
		}
		return out
	}
	var xs []int
	for len(xs) < half {
		x := 0
		for ; x < b.n && len(ways(append(xs, x), nil)) == 0; x++ {
		}
		if x == b.n {
			return nil
		}
		xs = append(xs, x)
	}
	var best []int
	for _, ys := range ways(xs, nil) {
		slices.Reverse(ys)
		if best == nil || slices.Compare(ys, best) < 0 {
			best = ys
		}
	}
	if n%2 == 1 {
		best = best[1:]
	}
	var at []int64
	for _, x := range append(xs, best...) {
		at = append(at, b.at(x))
	}
	return at
}

// bruteBroken tells which limits a layout breaks, from the page's words.
func bruteBroken(p *Row, at []int64) []int {
	all := make([]bool, len(p.Limits))
	for i := range all {
		all[i] = true
	}
	b := newBrute(p, all)
	broken := map[int]bool{}
	least := map[Ends]int{}
	for i, l := range p.Limits {
		switch l.Kind {
		case Keep:
			for _, x := range at {
				broken[i] = broken[i] || inside(l.Spans, x)
			}
		case Step:
			for _, x := range at {
				broken[i] = broken[i] || x%l.Value != 0
			}
		case CountMin:
			broken[i] = int64(len(at)) < l.Value
		case CountMax:
			broken[i] = int64(len(at)) > l.Value
		case GapMin, GapMax:
			for k := 1; k < len(at); k++ {
				d := at[k] - at[k-1]
				if touches(l.Spans, at[k-1], at[k]) && (l.Kind == GapMin && d < l.Value || l.Kind == GapMax && d > l.Value) {
					broken[i] = true
				}
			}
		}
		for _, end := range []Ends{LeftEnd, RightEnd} {
			x, y := int64(0), p.Length
			reached := b.left.reached
			if end == RightEnd {
				reached = b.right.reached
			}
			if len(at) > 0 && end == LeftEnd {
				y = at[0]
			} else if len(at) > 0 {
				x = at[len(at)-1]
			}
			if !touches(l.Spans, x, y) {
				continue
			}
			d := y - x
			own := false
			for _, o := range p.Limits {
				own = own || o.Kind == EndMax && !o.Should && o.Ends&end != 0 && touches(o.Spans, x, y)
			}
			switch {
			case l.Kind == EndMin && len(at) > 0 && l.Ends&end != 0 && d < l.Value, l.Kind == EndMax && l.Ends&end != 0 && d > l.Value:
				broken[i] = true
			case l.Kind == GapMax && !own && d > reached && 2*d > l.Value && (p.Lay != Stepped || end == LeftEnd || d > l.Value):
				if k, ok := least[end]; l.Should {
					broken[i] = true
				} else if !ok || l.Value < p.Limits[k].Value {
					least[end] = i
				}
			}
		}
	}
	for _, i := range least {
		broken[i] = true
	}
	var out []int
	for i := range p.Limits {
		if broken[i] {
			out = append(out, i)
		}
	}
	return out
}
