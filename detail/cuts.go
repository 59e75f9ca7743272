package detail

import (
	"cmp"
	"errors"
	"math/big"
	"slices"

	"github.com/lapwright/lapwright/detail/internal/cutting"
	"github.com/lapwright/lapwright/rules"
	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

// A Cut is one way of cutting a stock length, and how often.
type Cut struct {
	Item     *rules.Item
	Stock    units.Length
	Leftover bool // the stock is left over from before
	Times    int
	Lengths  []units.Length // the longest first
	Kerf     units.Length   // all kerfs together
	Offcut   units.Length
}

// Cutting says how good the cut list of an item is: it buys the fewest stock lengths that are found, or where each of
// them has a price what costs least. Left-over stock counts as nothing.
type Cutting struct {
	Item   *rules.Item
	Stocks int             // bought
	Bound  int             // no cut list buys fewer
	Cost   decimal.Decimal // of the stock bought; 0 without prices
	Least  decimal.Decimal // no cut list costs less; 0 without prices
	Proved bool            // none buys fewer, or costs less
}

// longestStock is the longest length that an item comes in.
func longestStock(it *rules.Item) rules.Stock {
	return slices.MaxFunc(it.Stock, func(a, b rules.Stock) int { return a.Length.Cmp(b.Length) })
}

// cutToLength cuts all pieces of an item from its stock and from what is left over of it.
func (a *adder) cutToLength(it *rules.Item, shares []*share) error {
	given := a.stockOf(it)
	if len(shares) == 0 {
		a.out.Leftovers = append(a.out.Leftovers, given...)
		return nil
	}
	p := &cutting.Problem{Kerf: it.Kerf.Ticks(), Demands: demands(shares)}
	cent, err := priceStocks(p, it)
	if err != nil {
		return err
	}
	for _, s := range given {
		p.Stocks = append(p.Stocks, cutting.Stock{Length: s.Length.Ticks(), Limit: int64(s.Count)})
	}
	plan, err := cutting.Solve(a.ctx, p)
	if err != nil {
		return err
	}
	cuts := cutsOf(it, p, plan)
	a.out.Cuts = append(a.out.Cuts, cuts...)
	c := Cutting{Item: it, Proved: plan.Proved(), Bound: int(plan.Bound)}
	for _, x := range cuts {
		if !x.Leftover {
			c.Stocks += x.Times
		}
	}
	if !cent.IsZero() {
		c.Cost, c.Least = decimal.NewFromInt(plan.Cost).Mul(cent), decimal.NewFromInt(plan.Bound).Mul(cent)
		c.Bound = min(c.Stocks, fewestByLength(it, shares, given))
	}
	a.out.Cutting = append(a.out.Cutting, c)
	a.out.Leftovers = append(a.out.Leftovers, staying(it, given, cuts)...)
	a.out.Lines = append(a.out.Lines, stockLines(it, shares, cuts)...)
	return nil
}

// demands counts equal pieces, the longest first.
func demands(shares []*share) (list []cutting.Demand) {
	var all []int64
	for _, s := range shares {
		for _, p := range s.pieces {
			all = append(all, p.Ticks())
		}
	}
	slices.Sort(all)
	slices.Reverse(all)
	for i, t := range all {
		if i == 0 || t != all[i-1] {
			list = append(list, cutting.Demand{Length: t})
		}
		list[len(list)-1].Count++
	}
	return list
}

// priceStocks gives the problem the item's stock. Where each length has a price, a unit of the cost is worth cent; else
// each costs 1 and cent is 0.
func priceStocks(p *cutting.Problem, it *rules.Item) (cent decimal.Decimal, err error) {
	places, priced := int32(0), true
	for _, s := range it.Stock {
		priced = priced && !s.Price.IsZero()
		places = max(places, -s.Price.Exponent())
	}
	for _, s := range it.Stock {
		cost := big.NewInt(1)
		if priced {
			cost = s.Price.Shift(places).BigInt()
		}
		if !cost.IsInt64() {
			return cent, errors.New("a price has too many digits")
		}
		p.Stocks = append(p.Stocks, cutting.Stock{Length: s.Length.Ticks(), Cost: cost.Int64()})
	}
	if priced {
		cent = decimal.New(1, -places)
	}
	return cent, nil
}

// cutsOf are the plan's patterns, those with the longest pieces first; equal ones are one.
func cutsOf(it *rules.Item, p *cutting.Problem, plan *cutting.Plan) (cuts []Cut) {
	for _, x := range plan.Patterns {
		c := Cut{Item: it, Stock: ticks(p.Stocks[x.Stock].Length), Leftover: x.Stock >= len(it.Stock), Times: int(x.Times)}
		rest, kerfs := p.Stocks[x.Stock].Length, int64(0)
		for _, t := range x.Takes {
			length := p.Demands[t.Demand].Length
			for range t.Count {
				c.Lengths = append(c.Lengths, ticks(length))
				k := min(rest-length, p.Kerf)
				rest, kerfs = rest-length-k, kerfs+k
			}
		}
		c.Kerf, c.Offcut = ticks(kerfs), ticks(rest)
		cuts = append(cuts, c)
	}
	slices.SortStableFunc(cuts, compareCuts)
	merged := cuts[:0]
	for _, c := range cuts {
		if n := len(merged); n > 0 && compareCuts(merged[n-1], c) == 0 {
			merged[n-1].Times += c.Times
		} else {
			merged = append(merged, c)
		}
	}
	return merged
}

func compareCuts(a, b Cut) int {
	lengths := slices.CompareFunc(b.Lengths, a.Lengths, units.Length.Cmp)
	return cmp.Or(lengths, b.Stock.Cmp(a.Stock), compareBools(a.Leftover, b.Leftover))
}

func compareBools(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// fewestByLength is the fewest of the longest stock lengths that the pieces fill with their kerfs, beyond what is left
// over.
func fewestByLength(it *rules.Item, shares []*share, given []Leftover) int {
	sum := new(big.Int)
	count := func(l units.Length, n int64) {
		each := new(big.Int).Add(ticksOf(l), ticksOf(it.Kerf))
		sum.Add(sum, each.Mul(each, big.NewInt(n)))
	}
	for _, s := range shares {
		for _, p := range s.pieces {
			count(p, 1)
		}
	}
	for _, s := range given {
		count(s.Length, -int64(s.Count))
	}
	stock := new(big.Int).Add(ticksOf(longestStock(it).Length), ticksOf(it.Kerf))
	sum.Add(sum, stock).Sub(sum, big.NewInt(1))
	return int(max(0, sum.Quo(sum, stock).Int64()))
}

// stockLines are the lines of an item that is cut from stock: one for each length bought, the longest first, and one
// for all that is cut from left-overs. Equal pieces are taken from the cuts in the order of the shares.
func stockLines(it *rules.Item, shares []*share, cuts []Cut) (lines []Quantity) {
	type kind struct {
		length   units.Length
		leftover bool
	}
	type bought struct {
		kind
		times int64
		net   big.Int
		gross big.Int
		parts []big.Int // of each share
	}
	var list []*bought
	of := map[kind]*bought{}
	owners := map[units.Length][]int{} // of pieces not yet cut, their shares
	lengths := []*big.Int{ticksOf(it.Girth)}
	for i, s := range shares {
		for _, p := range s.pieces {
			owners[p] = append(owners[p], i)
		}
	}
	for _, c := range cuts {
		k := kind{c.Stock, false}
		if c.Leftover {
			k = kind{leftover: true}
		}
		b := of[k]
		if b == nil {
			b = &bought{kind: k, parts: make([]big.Int, len(shares))}
			of[k] = b
			list = append(list, b)
			lengths = append(lengths, ticksOf(k.length))
		}
		b.times += int64(c.Times)
		b.gross.Add(&b.gross, new(big.Int).Mul(ticksOf(c.Stock), big.NewInt(int64(c.Times))))
		for range c.Times {
			for _, p := range c.Lengths {
				i := owners[p][0]
				owners[p] = owners[p][1:]
				b.parts[i].Add(&b.parts[i], ticksOf(p))
				b.net.Add(&b.net, ticksOf(p))
			}
		}
	}
	for _, b := range list {
		lengths = append(lengths, &b.net, &b.gross)
		for i := range b.parts {
			lengths = append(lengths, &b.parts[i])
		}
	}
	unit := unitOf(lengths...)
	slices.SortFunc(list, func(a, b *bought) int { return b.length.Cmp(a.length) })
	for _, b := range list {
		q := Quantity{Item: it, Unit: unit, Leftover: b.leftover}
		q.Net, q.Gross = lengthIn(unit, &b.net), lengthIn(unit, &b.gross)
		q.Waste = q.Gross.Sub(q.Net)
		q.Area = q.Gross.Mul(lengthIn(unit, ticksOf(it.Girth)))
		if !b.leftover {
			q.Pack, q.Packs = lengthIn(unit, ticksOf(b.length)), decimal.NewFromInt(b.times)
			q.Cost = q.Packs.Mul(priceOf(it, b.length))
		}
		for i := range b.parts {
			if b.parts[i].Sign() > 0 {
				part := shares[i].Part
				part.Net = lengthIn(unit, &b.parts[i])
				q.From = append(q.From, part)
			}
		}
		lines = append(lines, q)
	}
	return lines
}

func priceOf(it *rules.Item, stock units.Length) decimal.Decimal {
	for _, s := range it.Stock {
		if s.Length == stock {
			return s.Price
		}
	}
	return decimal.Zero
}
