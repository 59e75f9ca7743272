package rules

import (
	"math/big"

	"github.com/lapwright/lapwright/units"
	"github.com/shopspring/decimal"
)

func (c *checker) checkItems() {
	first := map[string]Name{}
	for _, f := range c.files {
		for _, d := range f.decls {
			decl, ok := d.(*itemNode)
			if !ok {
				continue
			}
			if at, ok := first[decl.Name.Text]; ok {
				c.twice("item", decl.Name.Text, decl.Name, at)
				continue
			}
			first[decl.Name.Text] = decl.Name
			item := c.item(decl)
			c.items[item.Name] = item
			c.itemNames = append(c.itemNames, item.Name)
			c.book.Items = append(c.book.Items, item)
		}
	}
}

// item fills an item in from its clauses and checks that they go together.
func (c *checker) item(decl *itemNode) *Item {
	item := &Item{Span: decl.Span, Name: decl.Name.Text, Title: decl.Title}
	by := map[string]*propertyNode{}
	for _, p := range decl.Props {
		if first, ok := by[p.Key]; ok && p.Key != "stock" {
			c.fail(p, CodeRepeatedProperty, "`%s` is said twice", p.Key).
				relate(first, "first said here").suggest("leave one out; only `stock` may be repeated")
			continue
		}
		if by[p.Key] == nil {
			by[p.Key] = p
		}
		c.property(item, p)
	}
	c.propertiesTogether(decl, by)
	c.pricesTogether(item)
	return item
}

// pricesTogether warns of a price that can't be weighed against another's.
func (c *checker) pricesTogether(item *Item) {
	var with, without *Stock
	for i := range item.Stock {
		if s := &item.Stock[i]; s.Price.IsZero() {
			without = s
		} else if with == nil {
			with = s
		}
	}
	if with != nil && without != nil {
		c.warn(with, CodeUnusedPrice, "a price counts only where each stock length of `%s` has one", item.Name).
			relate(without.Span, "this has none").suggest("give each stock length a price, or none")
	}
}

// property checks one clause of an item and takes its value.
func (c *checker) property(item *Item, p *propertyNode) {
	switch p.Key {
	case "pack":
		if v, ok := c.propertyValue(p, 0, Number); ok {
			if !v.IsInt() || !v.Num().IsInt64() {
				c.fail(p.Values[0], CodeBadProperty, "a pack holds a whole number of pieces").suggest("for example `pack 250`")
				return
			}
			item.Pack = v.Num().Int64()
		}
	case "waste":
		if v, ok := c.propertyValue(p, 0, PercentDim); ok {
			item.Waste = c.decimal(p.Values[0], v)
		}
	case "stock":
		c.stock(item, p)
	case "kerf":
		item.Kerf, _ = c.propertyLength(p, 0)
	case "girth":
		item.Girth, _ = c.propertyLength(p, 0)
	case "roll":
		item.Roll, _ = c.propertyLength(p, 0)
		item.RollSpan = p.Span
	case "cartridge":
		if v, ok := c.propertyValue(p, 0, VolumeDim); ok {
			volume, err := units.VolumeFromRat(v, units.Exact)
			if err != nil {
				c.fail(p.Values[0], CodeBadProperty, "this volume can't be held: %v", err)
			}
			item.Cartridge = volume
		}
	case "bead":
		item.Bead.Round = p.Shape == "round"
		item.Bead.Width, _ = c.propertyLength(p, 0)
		item.Bead.Depth = item.Bead.Width
		if p.Shape == "by" {
			item.Bead.Depth, _ = c.propertyLength(p, 1)
		}
	case "movement":
		by, ok := c.propertyLength(p, 0)
		per, ok2 := c.propertyLength(p, 1)
		if ok && ok2 {
			item.MovesBy, item.MovesPer = by, per
		}
	default:
		c.fail(p, CodeUnknownProperty, "an item has no `%s`", p.Key).meant(p.Key, []string{
			"pack", "waste", "stock", "kerf", "girth", "roll", "cartridge", "bead", "movement",
		})
	}
}

func (c *checker) stock(item *Item, p *propertyNode) {
	length, ok := c.propertyLength(p, 0)
	if !ok {
		return
	}
	for _, s := range item.Stock {
		if s.Length == length {
			c.fail(p, CodeRepeatedProperty, "this stock length is given twice").
				relate(s.Span, "first given here").suggest("leave one out")
			return
		}
	}
	stock := Stock{Span: p.Span, Length: length}
	if len(p.Values) > 1 {
		if v, ok := c.propertyValue(p, 1, Number); ok {
			stock.Price = c.decimal(p.Values[1], v)
		}
	}
	item.Stock = append(item.Stock, stock)
}

// propertyValue is the i-th value of a clause, of a dimension and above zero (waste and kerf: not below).
func (c *checker) propertyValue(p *propertyNode, i int, want Dim) (*big.Rat, bool) {
	if i >= len(p.Values) {
		c.fail(p, CodeBadProperty, "`%s` is not complete", p.Key)
		return nil, false
	}
	l := p.Values[i]
	if l.Value.Dim != want {
		c.fail(l, CodeWrongDimension, "`%s` takes %s, and this is %s", p.Key, want, l.Value.Dim)
		return nil, false
	}
	zero := p.Key == "waste" || p.Key == "kerf"
	if sign := l.Value.Num.Sign(); sign < 0 || sign == 0 && !zero {
		c.fail(l, CodeBadProperty, "`%s` is above zero", p.Key)
		return nil, false
	}
	return l.Value.Num, true
}

func (c *checker) propertyLength(p *propertyNode, i int) (units.Length, bool) {
	if _, ok := c.propertyValue(p, i, LengthDim); !ok {
		return units.Length{}, false
	}
	return c.length(p.Values[i]), true
}

// length is the exact length of a literal.
func (c *checker) length(l *Literal) units.Length {
	length, err := units.FromRat(l.Value.Num, units.Exact)
	if err != nil {
		c.fail(l, CodeBadProperty, "this length can't be held: %v", err)
	}
	return length
}

// decimal is the exact decimal of a literal's value.
func (c *checker) decimal(l *Literal, v *big.Rat) decimal.Decimal {
	// A literal has at most some thirty digits; what isn't whole after as many more never will be.
	const places = 64
	scaled := new(big.Rat).Mul(v, new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(places), nil)))
	if !scaled.IsInt() {
		c.fail(l, CodeBadProperty, "this has no finite decimal").suggest("write it as a decimal, rounded as you want it")
		return decimal.Zero
	}
	num, exp, ten, rest := scaled.Num(), int32(-places), big.NewInt(10), new(big.Int)
	for num.Sign() != 0 && exp < 0 {
		q, _ := new(big.Int).QuoRem(num, ten, rest)
		if rest.Sign() != 0 {
			break
		}
		num, exp = q, exp+1
	}
	return decimal.NewFromBigInt(num, exp)
}

// propertiesTogether reports clauses that don't go with one another: an item is bought in one way.
func (c *checker) propertiesTogether(decl *itemNode, by map[string]*propertyNode) {
	var bought *propertyNode
	for _, key := range []string{"stock", "roll", "cartridge", "pack"} {
		p := by[key]
		switch {
		case p == nil:
		case bought == nil:
			bought = p
		default:
			c.fail(p, CodeItemMixed, "an item is bought in one way, and `%s` is bought by `%s` and by `%s`",
				decl.Name.Text, bought.Key, key).
				relate(bought, "bought by `%s` here", bought.Key).suggest("make two items of it")
		}
	}
	if p := by["kerf"]; p != nil && by["stock"] == nil {
		c.fail(p, CodeItemMixed, "a kerf is lost in cutting stock, and this item has no `stock`").
			suggest("add `stock`, or leave the kerf out")
	}
	if p := by["cartridge"]; p != nil && by["bead"] == nil {
		c.fail(p, CodeItemMixed, "how far a cartridge goes depends on its bead, and none is given").
			suggest("add the bead's section, for example `bead 3/8 in round`")
	}
	if p := by["bead"]; p != nil && by["stock"] != nil || p != nil && by["roll"] != nil || p != nil && by["pack"] != nil {
		c.fail(p, CodeItemMixed, "a bead is of sealant, which is bought by the `cartridge`").
			suggest("leave the bead out, or make two items of it")
	}
}

// warnItems reports items that no element takes.
func (c *checker) warnItems() {
	for _, item := range c.book.Items {
		if !c.usedItems[item.Name] {
			c.warn(item, CodeUnusedItem, "item `%s` is used by no element", item.Name)
		}
	}
}
