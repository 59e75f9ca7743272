package rules

import (
	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
)

// The grammar: one production for each sentence between braces. At every point the next word alone decides, so
// participle looks ahead no further and its errors are at the word that doesn't fit; the two places in
// expectations that need more say so with a lookahead of their own. Blocks, and so nesting, are parse.go's;
// only parentheses recurse, and those are counted before.
type (
	// sentence gives a production its words. Participle's own end position would be the next word's start.
	sentence struct{ Tokens []lexer.Token }

	word struct {
		Token lexer.Token `parser:"@Word"`
	}
	anyWord struct {
		Token lexer.Token `parser:"@(Word | Reserved)"`
	}
	quoted struct {
		Token lexer.Token `parser:"@Text"`
	}
	literal struct {
		Token lexer.Token `parser:"@(Number | Length | Slope | Percent | Volume)"`
	}
	whole struct {
		Token lexer.Token `parser:"@Number"`
	}

	bookHead struct {
		sentence
		Name quoted `parser:"'book' @@ '{'"`
	}
	bookClause struct {
		sentence
		Edition *quoted  `parser:"  'edition' @@"`
		Basis   *quoted  `parser:"| 'basis' @@"`
		Mark    *literal `parser:"| 'mark' @@"`
		Zones   []word   `parser:"| 'zones' @@ (',' @@)*"`
	}

	includeDecl struct {
		sentence
		Path quoted `parser:"'include' @@"`
	}

	itemHead struct {
		sentence
		Name  word         `parser:"'item' @@"`
		Title *quoted      `parser:"@@?"`
		Open  *lexer.Token `parser:"@'{'?"`
	}
	itemClause struct {
		sentence
		Key     *lexer.Token `parser:"(   @('pack' | 'waste' | 'kerf' | 'girth' | 'roll' | 'cartridge')"`
		Value   *literal     `parser:"    @@"`
		Stock   *literal     `parser:"  | 'stock' @@"`
		Price   *literal     `parser:"    ('price' @@)?"`
		Bead    *literal     `parser:"  | 'bead' @@"`
		Shape   *lexer.Token `parser:"    ( @('round' | 'square')"`
		Depth   *literal     `parser:"    | 'by' @@ )"`
		Moves   *literal     `parser:"  | 'movement' @@"`
		Per     *literal     `parser:"    'per' @@"`
		Degrees *lexer.Token `parser:"    'per' @Degrees )"`
	}

	detailHead struct {
		sentence
		Name    word         `parser:"'detail' @@"`
		Title   *quoted      `parser:"@@?"`
		Field   *lexer.Token `parser:"('for' ( @'field'"`
		Edges   []word       `parser:"       | 'edge' @@ (',' @@)* ))?"`
		Extends *word        `parser:"('extends' @@)?"`
		Open    lexer.Token  `parser:"@'{'"`
	}

	inputClause struct {
		sentence
		Name    word         `parser:"'input' @@ ':'"`
		Type    *lexer.Token `parser:"( @('length' | 'number' | 'slope' | 'percent')"`
		Choice  *lexer.Token `parser:"| @'choice'"`
		Choices []word       `parser:"  'of' @@ (',' @@)* )"`
		Default *expression  `parser:"('=' @@)?"`
		Where   *expression  `parser:"('where' @@)?"`
		Title   *quoted      `parser:"@@?"`
	}
	letClause struct {
		sentence
		Name  word       `parser:"'let' @@ '='"`
		Value expression `parser:"@@"`
	}
	requireClause struct {
		sentence
		Should  *lexer.Token `parser:"@'should'? 'require'"`
		Clear   *clearance   `parser:"( 'penetration' @@"`
		Cond    *expression  `parser:"| @@ )"`
		Reasons []reason     `parser:"@@*"`
	}
	reason struct {
		Key  lexer.Token `parser:"@('because' | 'source')"`
		Text quoted      `parser:"@@"`
	}
	reasons struct {
		sentence
		Reasons []reason `parser:"@@*"`
	}

	elementHead struct {
		sentence
		Kind  lexer.Token `parser:"@('row' | 'pieces' | 'strip' | 'bead')"`
		Name  word        `parser:"@@"`
		Title *quoted     `parser:"@@?"`
		Item  *word       `parser:"('of' @@)?"`
		Scope *scope      `parser:"@@?"`
		When  *expression `parser:"('when' @@)?"`
		Open  lexer.Token `parser:"@'{'"`
	}
	scope struct {
		sentence
		Along  *along       `parser:"  'along' @@"`
		Around *lexer.Token `parser:"| 'around' 'each' @'penetration'"`
		In     *inEach      `parser:"| 'in' 'each' @@"`
		At     *atEach      `parser:"| 'at' 'each' @@"`
	}
	along struct {
		Run  *lexer.Token `parser:"  @'run'"`
		Each *alongEach   `parser:"| 'each' @@"`
	}
	alongEach struct {
		Side  *lexer.Token `parser:"  @'side'"`
		Rib   *ribs        `parser:"| @@"`
		Piece *word        `parser:"| 'piece' 'of' @@"`
	}
	inEach struct {
		Panel *lexer.Token `parser:"  @'panel'"`
		Gap   *word        `parser:"| 'gap' 'of' @@"`
	}
	atEach struct {
		Of   *lexer.Token `parser:"  @('panel' | 'end' | 'penetration')"`
		Rib  *ribs        `parser:"| @@"`
		Lap  *word        `parser:"| 'lap' 'of' @@"`
		Mark *word        `parser:"| 'mark' 'of' @@"`
		Gap  *word        `parser:"| 'gap' 'of' @@"`
	}
	ribs struct {
		Every *lexer.Token `parser:"( @Ordinal 'rib' | 'rib' )"`
		From  *whole       `parser:"('from' 'rib' @@)?"`
	}

	layClause struct {
		sentence
		Way lexer.Token `parser:"'lay' @('even' | 'stepped' | 'centered' | 'full')"`
	}
	ruleClause struct {
		sentence
		Force   *lexer.Token `parser:"@('must' | 'should')?"`
		Measure *lexer.Token `parser:"( @('spacing' | 'count' | 'clear' | 'offset' | 'lap' | 'length')"`
		Sided   *lexer.Token `parser:"| @('end' | 'extend')"`
		Side    *lexer.Token `parser:"  @('left' | 'right')? )"`
		Op      lexer.Token  `parser:"@Compare"`
		Value   expression   `parser:"@@"`
		From    *feature     `parser:"('from' @@)?"`
		When    *expression  `parser:"('when' @@)?"`
		Reasons []reason     `parser:"@@*"`
	}
	clearance struct {
		sentence
		Op    lexer.Token `parser:"'clear' @Compare"`
		Value expression  `parser:"@@"`
		From  feature     `parser:"'from' @@"`
	}
	feature struct {
		sentence
		Of   *lexer.Token `parser:"  @('rib' | 'end' | 'penetration' | 'zone')"`
		Lap  *word        `parser:"| 'lap' 'of' @@"`
		Mark *word        `parser:"| @@"`
	}

	relaxHead struct {
		sentence
		Name word        `parser:"'relax' @@"`
		Open lexer.Token `parser:"@'{'"`
	}
	dropClause struct {
		sentence
		Name    word     `parser:"'drop' @@"`
		Reasons []reason `parser:"@@*"`
	}
	stepClause struct {
		sentence
		Step *quoted `parser:"  'step' @@"`
		Sets []word  `parser:"  ('sets' @@ (',' @@)*)?"`
		Hold *quoted `parser:"| 'hold' @@"`
	}
	remarkClause struct {
		sentence
		Key  lexer.Token `parser:"@('caution' | 'note')"`
		Text quoted      `parser:"@@"`
	}

	exampleHead struct {
		sentence
		Name quoted      `parser:"'example' @@"`
		Open lexer.Token `parser:"@'{'"`
	}
	onClause struct {
		sentence
		Job   *quoted  `parser:"'on' ( 'job' @@"`
		Edge  *word    `parser:"     | 'edge' @@"`
		Parts []onPart `parser:"       @@* )"`
	}
	onPart struct {
		sentence
		Key    *lexer.Token `parser:"  @('length' | 'slope' | 'panels' | 'first')"`
		Value  *literal     `parser:"  @@"`
		Width  *literal     `parser:"| 'rib' @@"`
		Height *literal     `parser:"  'x' @@"`
		Ends   []anyWord    `parser:"| 'ends' @@ ',' @@"`
		Zone   *word        `parser:"| ( 'zone' @@"`
		Hole   *lexer.Token `parser:"  | @'penetration' )"`
		From   *literal     `parser:"  @@"`
		To     *literal     `parser:"  'to' @@"`
	}
	layingClause struct {
		sentence
		Detail word      `parser:"'lay' @@"`
		With   []binding `parser:"('with' @@ (',' @@)*)?"`
	}
	binding struct {
		sentence
		Name  word       `parser:"@@ '='"`
		Value expression `parser:"@@"`
	}
	sourceClause struct {
		sentence
		Text quoted `parser:"'source' @@"`
	}

	// An expectation of positions starts with a row's name, which may be gap, length, takeoff, stock, area, cost, along,
	// must or should: those are told apart by the `in` or `at` that follows a row.
	expectClause struct {
		sentence
		None      *lexer.Token  `parser:"'expect' ( 'no' @'violation'"`
		Violation *violated     `parser:"| @@"`
		Range     *stretch      `parser:"| @@"`
		Measured  *measured     `parser:"| @@"`
		Bought    *bought       `parser:"| @@"`
		At        *expectations `parser:"| @@ )"`
	}
	violated struct {
		Force   *lexer.Token `parser:"( (?= Word 'violation') @('must' | 'should') )? 'violation' 'of'"`
		Of      word         `parser:"@@"`
		Measure *lexer.Token `parser:"@('spacing' | 'count' | 'end' | 'clear' | 'offset' | 'lap' | 'length' | 'extend')?"`
		In      *place       `parser:"@@?"`
		Against []ruleName   `parser:"('against' @@ (',' @@)*)?"`
	}
	ruleName struct {
		Token lexer.Token `parser:"@(Word | Dotted | Text)"`
	}
	stretch struct {
		Of      lexer.Token `parser:"(?! Word ('in' | 'at')) 'along' @(Word | 'panel' | 'slope')"`
		From    literal     `parser:"@@"`
		To      literal     `parser:"'to' @@"`
		Verdict lexer.Token `parser:"@('built' | 'yields' | 'conflicts' | 'refused')"`
	}
	measured struct {
		What  *lexer.Token `parser:"( @('count' | 'lap') | (?! Word ('in' | 'at')) @('gap' | 'length') )"`
		Of    word         `parser:"'of' @@"`
		N     *whole       `parser:"( @@"`
		In    *place       `parser:"| @@ )?"`
		Op    lexer.Token  `parser:"@Compare"`
		Value expression   `parser:"@@"`
	}
	bought struct {
		What  lexer.Token `parser:"(?! Word ('in' | 'at') (?! Compare)) @('takeoff' | 'stock' | 'area' | 'cost')"`
		Of    word        `parser:"@@"`
		Op    lexer.Token `parser:"@Compare"`
		Value expression  `parser:"@@"`
	}
	expectations struct {
		Of word         `parser:"@@"`
		In *place       `parser:"@@?"`
		At []expression `parser:"'at' @@ (',' @@)*"`
	}
	place struct {
		Of lexer.Token `parser:"'in' @('panel' | 'rib' | 'side' | 'gap' | 'piece' | 'lap' | 'mark' | 'end' | 'penetration')"`
		N  whole       `parser:"@@"`
	}

	// An expression is a flat list, which lower.go folds by precedence.
	expression struct {
		sentence
		First operand     `parser:"@@"`
		Rest  []operation `parser:"@@*"`
	}
	operation struct {
		Is   *anyWord     `parser:"( 'is' @@"`
		Op   *lexer.Token `parser:"| @(Compare | Arithmetic | 'and' | 'or')"`
		With *operand     `parser:"  @@ )"`
	}
	operand struct {
		sentence
		Prefix  []lexer.Token `parser:"@(('-' | 'not')*)"`
		Literal *literal      `parser:"( @@"`
		Call    *lexer.Token  `parser:"| @('min' | 'max' | 'floor' | 'ceil' | 'abs') '('"`
		Args    []expression  `parser:"    @@ (',' @@)* ')'"`
		Ref     *lexer.Token  `parser:"| @(Word | Dotted | 'slope' | 'side' | 'zone')"`
		Inner   *expression   `parser:"| '(' @@ ')' )"`
	}
)

// A production reads one kind of sentence.
type production[T any] struct {
	parser *participle.Parser[T]
	trials []trial
}

func produce[T any]() production[T] {
	p := participle.MustBuild[T](participle.Lexer(definition{}), participle.UseLookahead(0))
	return production[T]{p, trialsOf(p.String())}
}

var (
	books        = produce[bookHead]()
	bookClauses  = produce[bookClause]()
	includes     = produce[includeDecl]()
	items        = produce[itemHead]()
	itemClauses  = produce[itemClause]()
	details      = produce[detailHead]()
	inputs       = produce[inputClause]()
	lets         = produce[letClause]()
	requirements = produce[requireClause]()
	reasonLists  = produce[reasons]()
	elements     = produce[elementHead]()
	lays         = produce[layClause]()
	ruleLines    = produce[ruleClause]()
	relaxations  = produce[relaxHead]()
	drops        = produce[dropClause]()
	steps        = produce[stepClause]()
	remarks      = produce[remarkClause]()
	examples     = produce[exampleHead]()
	ons          = produce[onClause]()
	layings      = produce[layingClause]()
	sources      = produce[sourceClause]()
	expects      = produce[expectClause]()
)

// read reads one sentence and leaves the words after it. On failure it returns the index of the word that
// doesn't fit.
func (p production[T]) read(from *lexer.PeekingLexer) (sentence *T, failed int, ok bool) {
	sentence, err := p.parser.ParseFromLexer(from, participle.AllowTrailing(true))
	if err == nil {
		return sentence, 0, true
	}
	return nil, failedAt(err), false
}

// reach reads words, the last of them the end of the file, and returns the index of the first that doesn't
// fit, or their number if all do.
func (p production[T]) reach(tokens []lexer.Token) int {
	if _, err := p.parser.ParseFromLexer(peeking(tokens)); err != nil {
		return failedAt(err)
	}
	return len(tokens)
}

// peeking gives words to participle. Its error could only be one of reading, and the words are read.
func peeking(tokens []lexer.Token) *lexer.PeekingLexer {
	l, _ := lexer.Upgrade(&words{tokens})
	return l
}

// failedAt is the index, which the scanner put for a column.
func failedAt(err error) int {
	if e, ok := err.(participle.Error); ok {
		return e.Position().Column
	}
	return 0
}
