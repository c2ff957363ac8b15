package reader

import (
	"slices"

	"rodcall/engine/reader/token"
)

// pair is one element with its figure: tokens [from, to).
type pair struct {
	from, to int
	symbol   string
	value    float64
	percent  bool
	decimal  bool
	named    bool // written as a word: carbon, chrome
	leads    bool // the figure stands before the element
}

// chemistry reads analyses: "C .42 Mn .8 Cr 1.0", "18% chrome 8 nickel", "Cr: 17.2 %". A single element and
// figure is an analysis only with a percent sign, in talk of an analysis, or as a carbon of a few tenths.
func (s *state) chemistry() {
	var run []pair
	for i := 0; i < len(s.tokens); {
		p, ok := s.pairAt(i, run)
		if ok {
			run = append(run, p)
			i = p.to
			continue
		}
		if len(run) > 0 && s.linksPairs(i) {
			i++
			continue
		}
		s.analysis(run)
		run = run[:0]
		s.notSeen(i)
		i++
	}
	s.analysis(run)
}

// shown are the elements that every method of analysis shows when there is any to speak of. That the others
// were not seen says nothing of them: an analyser by X-ray sees no carbon.
var shown = []string{"Cr", "Ni", "Mo", "Mn", "V", "W", "Cu", "Co", "Ti", "Nb", "Pb", "Sn", "Zn", "Fe"}

// notSeen reads "no Ni" in talk of an analysis: the instrument showed none of it.
func (s *state) notSeen(i int) {
	it := s.itemOn(i)
	e := s.has(it, kindElement)
	if e == nil || it.start != i || i == 0 || !slices.Contains(shown, e.value) || s.has(s.itemOn(i-1), kindNegator) == nil || !s.chemNear(i, it.end) || s.marks[i]&(markHedged|markAsked|markOrdered) != 0 {
		return
	}
	s.mark(i-1, it.end, markUsed)
	s.add(fact{key: keyChem, value: e.value, start: i, end: it.end, from: i - 1, to: it.end})
}

// linksPairs reports whether a token may stand between two elements of one analysis.
func (s *state) linksPairs(i int) bool {
	t := &s.tokens[i]
	if t.Kind == token.Mark {
		switch t.Text {
		case ",", ";", "/", "\n", "&", "+", "|", "-", ")":
			return true
		}
		return false
	}
	return t.Text == "and" || t.Text == "with" || t.Text == "bal" || t.Text == "balance"
}

// pairAt reads an element and its figure at token i. The order of the first pair holds for the run.
func (s *state) pairAt(i int, run []pair) (pair, bool) {
	if s.marks[i]&markUsed != 0 {
		return pair{}, false
	}
	figureFirst := len(run) > 0 && run[0].leads
	if it := s.itemOn(i); it != nil && it.start == i && !figureFirst {
		if e := s.has(it, kindElement); e != nil {
			return s.elementThenFigure(it, e)
		}
		if s.tokens[i].Kind == token.Number {
			return pair{}, false
		}
	}
	switch {
	case len(run) > 0 && !figureFirst:
		return pair{}, false
	case s.tokens[i].Kind == token.Number:
		return s.figureThenElement(i)
	}
	if sp, ok := s.spokenAt(i); ok {
		return s.spokenThenElement(sp)
	}
	return pair{}, false
}

// spokenThenElement reads "point four two carbon". Whole numbers in words are read in talk of an analysis only.
func (s *state) spokenThenElement(sp spoken) (pair, bool) {
	at := sp.to
	percent := at < len(s.tokens) && (s.tokens[at].Text == "%" || s.tokens[at].Text == "percent")
	if percent {
		at++
	}
	it := s.itemOn(at)
	e := s.has(it, kindElement)
	if e == nil || it.start != at || !sp.decimal && !percent && !s.chemNear(sp.from, it.end) {
		return pair{}, false
	}
	p := pair{from: sp.from, to: it.end, percent: percent, symbol: e.value, value: sp.value, decimal: sp.decimal, named: e.role == "name", leads: true}
	return p, p.sane()
}

// elementThenSpoken reads "carbon point four two".
func (s *state) elementThenSpoken(it *item, e *entry, i int) (pair, bool) {
	sp, ok := s.spokenAt(i)
	if !ok || !sp.decimal && !s.chemNear(it.start, sp.to) {
		return pair{}, false
	}
	p := pair{from: it.start, to: sp.to, symbol: e.value, value: sp.value, decimal: sp.decimal, named: e.role == "name"}
	return p, p.sane()
}

func (s *state) elementThenFigure(it *item, e *entry) (pair, bool) {
	j := it.end
	for j < len(s.tokens) && j < it.end+2 && linksFigure(s.tokens[j].Text) {
		j++
	}
	if j < len(s.tokens) && s.tokens[j].Kind == token.Word {
		return s.elementThenSpoken(it, e, j)
	}
	if j >= len(s.tokens) || s.tokens[j].Kind != token.Number || s.tokens[j].Has(token.Fraction) {
		return pair{}, false
	}
	p := pair{from: it.start, to: j + 1, symbol: e.value, named: e.role == "name"}
	s.finishPair(&p, j)
	if _, _, dimension := s.unitAt(p.to); dimension != "" && !p.percent && s.has(s.itemOn(p.to), kindElement) == nil {
		return pair{}, false
	}
	return p, p.sane()
}

// linksFigure reports whether a word or sign may stand between an element and its figure.
func linksFigure(text string) bool {
	switch text {
	case ":", "=", "~", "is", "at", "of", "about", "around":
		return true
	}
	return false
}

func (s *state) figureThenElement(i int) (pair, bool) {
	j := i + 1
	p := pair{from: i, leads: true}
	if j < len(s.tokens) && s.tokens[j].Text == "%" {
		j++
	}
	it := s.itemOn(j)
	if it == nil || it.start != j || s.tokens[i].Has(token.Fraction) {
		return pair{}, false
	}
	e := s.has(it, kindElement)
	if e == nil {
		return pair{}, false
	}
	p.to, p.symbol, p.named = it.end, e.value, e.role == "name"
	s.finishPair(&p, i)
	p.percent = j == i+2
	if p.symbol == "C" && !p.named && (!p.decimal || p.value > mostCarbon) {
		return pair{}, false // 200 C is a temperature
	}
	return p, p.sane()
}

func (s *state) finishPair(p *pair, figure int) {
	t := &s.tokens[figure]
	p.value, p.decimal = (t.Value+t.High)/2, t.Has(token.Decimal)
	if p.to < len(s.tokens) && (s.tokens[p.to].Text == "%" || s.tokens[p.to].Text == "percent") {
		p.to++
		p.percent = true
	}
}

// mostCarbon is above what any metal of the catalogue holds, in percent.
const mostCarbon = 7

func (p *pair) sane() bool {
	return p.value >= 0 && p.value <= 100 && (p.symbol != "C" || p.value <= mostCarbon)
}

// analysis notes a run of elements when it is one.
func (s *state) analysis(run []pair) {
	if len(run) == 0 {
		return
	}
	first, last := run[0].from, run[len(run)-1].to
	sum, percent := 0.0, false
	for _, p := range run {
		sum += p.value
		percent = percent || p.percent
	}
	field := s.field[first] == keyChem
	lone := len(run) == 1 && !percent && !field && !s.chemNear(first, last) && !(run[0].symbol == "C" && run[0].decimal && run[0].value < 2.2)
	if lone || sum > 101 || s.field[first] != keyNone && !field && s.field[first] != keyClaim || s.haveNear(first) && !percent {
		return
	}
	over := s.marks[first]
	if over&(markHedged|markOrdered) != 0 || over&markAsked != 0 && !percent {
		s.mark(first, last, markHeard)
		return
	}
	for _, p := range run {
		s.mark(p.from, p.to, markUsed)
		s.add(fact{key: keyChem, value: p.symbol, number: p.value, start: p.from, end: p.to, from: first, to: last})
	}
}

// chemNear reports whether an analysis is spoken of near two tokens.
func (s *state) chemNear(from, to int) bool {
	for i := max(0, from-12); i < min(len(s.tokens), to+8); i++ {
		if it := s.itemOn(i); it != nil && it.topic == topicChem && s.sameSentence(i, from) {
			return true
		}
	}
	return false
}

// haveNear reports whether rods at hand are spoken of shortly before a token.
func (s *state) haveNear(i int) bool {
	for j := max(0, i-6); j < i; j++ {
		if it := s.itemOn(j); it != nil && it.topic == topicHave && s.sameSentence(j, i) {
			return true
		}
	}
	return false
}
