// Package cost reads what a message says of money and time: the price of a new part, how long it takes to come,
// what standing and labour cost. It knows nothing of metals, and what it does not read is left to the others.
package cost

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"rodcall/engine/observation"
	"rodcall/engine/reader/token"
)

// Reading is what a message says of costs, with the stretches that said it.
type Reading struct {
	Cost  *observation.Cost // nil when it says nothing
	Spans []token.Span
	Mixed bool // figures in two currencies: none of them is taken
}

// Pieces of the patterns. An amount is a number with a mark or word of money on one side, or a bare number where
// the words around leave no other meaning; "pounds" is a weight here, never money.
const (
	number = `([0-9]+(?:,[0-9]{3})*(?:\.[0-9]+)?)( ?k\b)?`
	money  = `([$€£])? ?` + number + ` ?((?:us |u\.s\. |canadian |australian )?(?:dollars?|bucks)|usd|euros?|eur|gbp|quid|cad|aud|€|£|\$)?`
	links  = `(?:[ :,=]+(?:part|one|piece|unit|item|is|are|was|it's|cost(?:s|ing)?|comes? (?:at|to)|at|for|of|runs?|would be|will be|about|around|roughly|some|only|us|goes for|price|fitted|me))*[ :,=]*`
	each   = ` ?(?:an?|per|/|each|the) ?`
	hours  = `(?:hours?|hrs?|h)\b`
	span   = number + ` ?(hours?|hrs?|h|shifts?|days?|weeks?|wks?|months?)\b`
)

// pattern is a form in which people tell one figure.
type pattern struct {
	needs  [][]string // of each list a word must be in the text
	form   *regexp.Regexp
	figure func(*observation.Cost) **float64
	amount int  // group of the currency sign of a money amount; 0 for a time
	time   int  // group of the number of a time; 0 for money
	per    int  // group of the word "day" or "shift" behind a rate; 0 for none
	marked bool // the amount must bear a mark of money, or the words speak of cost
	weak   bool // counts only beside another figure
}

func form(text string) *regexp.Regexp { return regexp.MustCompile(`(?i)(?:^|\W)(` + text + `)`) }

func replacement(c *observation.Cost) **float64 { return &c.Replacement }
func replaceH(c *observation.Cost) **float64    { return &c.ReplaceH }
func downtime(c *observation.Cost) **float64    { return &c.DowntimeH }
func labour(c *observation.Cost) **float64      { return &c.LabourH }
func repairH(c *observation.Cost) **float64     { return &c.RepairH }
func rods(c *observation.Cost) **float64        { return &c.ConsumableKG }
func fuel(c *observation.Cost) **float64        { return &c.FuelKG }

// patterns in the order in which they are tried; what one has read is gone for the next.
var patterns = []pattern{
	{needs: [][]string{standing, hourly}, form: form(`(?:down ?time|down|standing|stand ?still|idle|line down|lost production|production loss|stopped|outage)` + links + money + each + `(hour|hr|h|shift|day)\b`), figure: downtime, amount: 2, per: 6},
	{needs: [][]string{standing, hourly}, form: form(`(?:(?:we |i |it )?(?:loses?|losing|costs?) (?:us |me )?)?` + money + each + `(hour|hr|h|shift|day)\b,? ?(?:of |for |in |while )?(?:it is |it's |we're |we are )?(?:down ?time|down|standing|idle|lost production|stopped)`), figure: downtime, amount: 2, per: 6},
	{needs: [][]string{losing, hourly}, form: form(`los(?:es?|ing)` + links + money + each + `(hour|hr|h|shift|day)\b`), figure: downtime, amount: 2, per: 6},
	{needs: [][]string{working, hourly}, form: form(`(?:labou?r|welder|my time|our time|shop rate|shop time|man ?hours?|wages?|hourly rate)` + links + money + each + `(hour|hr|h)\b`), figure: labour, amount: 2},
	{needs: [][]string{working, hourly}, form: form(money + each + `(?:hour|hr|h)\b,? ?(?:of |for )?(?:the )?(?:labou?r|welder|my time|shop)`), figure: labour, amount: 2},
	{needs: [][]string{kilos, priced}, form: form(`(?:rods?|wire|electrodes?|filler|consumables?)` + links + money + each + `(?:kg|kilo|kilogram)\b`), figure: rods, amount: 2},
	{needs: [][]string{kilos, priced}, form: form(`(?:propane|gas|fuel|acetylene)` + links + money + each + `(?:kg|kilo|kilogram)\b`), figure: fuel, amount: 2},
	{needs: [][]string{another, paid}, form: form(`(?:(?:a |the )?(?:brand )?(?:new|replacement|spare)(?: [a-z-]+){0,2}?|replacing it|to replace(?: it)?|replacement)` + links + money), figure: replacement, amount: 2, marked: true},
	{needs: [][]string{another, paid}, form: form(money + ` (?:for|to get|buys|gets) (?:a |the |me a |us a )?(?:new|replacement|spare)\b(?: one| part| piece)?`), figure: replacement, amount: 2, marked: true},
	{needs: [][]string{mending, lasting}, form: form(`(?:repair|weld(?:ing)?|job)(?: itself)?(?: takes| is| will take| about|:)+ ?` + span), figure: repairH, time: 2},
	{needs: [][]string{coming, lasting}, form: form(`(?:lead ?time|delivery|delivered)(?: time)?(?:[ :,=]+(?:is|in|of|takes|about|after|for))*[ :,=]*` + span), figure: replaceH, time: 2},
	{needs: [][]string{apart, lasting}, form: form(span + `,? ?(?:away|delivery|lead(?: ?time)?|for (?:a |the )?(?:new|replacement|spare)(?: one| part)?)\b`), figure: replaceH, time: 2},
	{needs: [][]string{lasting}, form: form(`(?:arrives?|comes?|wait(?:ing)?|takes|there in|here in)(?:[ :,=]+(?:is|in|of|about|after|for))*[ :,=]*` + span), figure: replaceH, time: 2, weak: true},
	{needs: [][]string{lasting}, form: form(span + `,? ?(?:out|wait|to (?:get|come|arrive|deliver))\b`), figure: replaceH, time: 2, weak: true},
	{needs: [][]string{lasting, another}, form: form(`(?:and|in|,) ?` + span + `(?:[,.;]|$)`), figure: replaceH, time: 2, weak: true},
}

// Words of which each pattern needs one: most messages hold none, and are read no further.
var (
	standing = []string{"down", "stand", "idle", "lost", "stopped", "outage", "loss"}
	losing   = []string{"lose", "losing"}
	working  = []string{"labo", "welder", "time", "shop", "man", "wage", "hourly"}
	kilos    = []string{"kg", "kilo"}
	priced   = []string{"a kilo", "a kg", "per k", "/k", "/ k", "each k"}
	another  = []string{"new", "spare", "replac"}
	paid     = []string{"$", "€", "£", "dollar", "buck", "usd", "eur", "gbp", "quid", "cad", "aud", "cost", "price", "goes for"}
	hourly   = []string{"hour", "hr", "/h", "per h", "an h", "shift", "day"}
	mending  = []string{"repair", "weld", "job"}
	coming   = []string{"lead", "deliver"}
	apart    = []string{"away", "lead", "deliver", "for a", "for the"}
	lasting  = []string{"hour", "hr", " h", "0h", "shift", "day", "week", "wk", "month"}
)

// Read says what a message tells of costs.
func Read(text string) Reading {
	var out Reading
	if !strings.ContainsAny(text, "0123456789") {
		return out
	}
	lower := strings.ToLower(text)
	var cost observation.Cost
	left := []byte(text)
	for _, p := range patterns {
		if p.weak && len(out.Spans) == 0 || !p.mayStand(lower) {
			continue
		}
		m := p.form.FindSubmatchIndex(left)
		if m == nil {
			continue
		}
		v, currency, ok := p.value(left, m)
		if !ok || p.marked && currency == "" && !ofCost.Match(left[m[2]:m[3]]) {
			continue
		}
		into := p.figure(&cost)
		if *into != nil {
			continue
		}
		if currency != "" {
			out.Mixed = out.Mixed || cost.Currency != "" && cost.Currency != currency
			cost.Currency = currency
		}
		*into = &v
		out.Spans = append(out.Spans, token.Span{Start: m[2], End: m[3]})
		for i := m[2]; i < m[3]; i++ {
			left[i] = ';' // read, and no bridge for the next pattern
		}
	}
	if len(out.Spans) == 0 || out.Mixed {
		return Reading{Mixed: out.Mixed}
	}
	out.Cost, out.Spans = &cost, joined(out.Spans)
	return out
}

// joined are the stretches in the order of the text, those that touch made one.
func joined(spans []token.Span) []token.Span {
	slices.SortFunc(spans, func(a, b token.Span) int { return a.Start - b.Start })
	out := spans[:1]
	for _, s := range spans[1:] {
		if last := &out[len(out)-1]; s.Start <= last.End+1 {
			last.End = max(last.End, s.End)
			continue
		}
		out = append(out, s)
	}
	return out
}

// ofCost are words after which a bare number is money.
var ofCost = regexp.MustCompile(`(?i)\b(?:costs?|costing|price|goes for)\b`)

// mayStand holds when the words that the pattern needs are in the text.
func (p *pattern) mayStand(lower string) bool {
	for _, words := range p.needs {
		if !slices.ContainsFunc(words, func(w string) bool { return strings.Contains(lower, w) }) {
			return false
		}
	}
	return true
}

// value is the figure of a match, in money or in hours.
func (p *pattern) value(text []byte, m []int) (v float64, currency string, ok bool) {
	group := func(i int) string {
		if m[2*i] < 0 {
			return ""
		}
		return string(text[m[2*i]:m[2*i+1]])
	}
	last := 0
	for i := max(p.amount, p.time); i <= max(p.amount+3, p.time+2) && 2*i+1 < len(m); i++ {
		last = max(last, m[2*i+1])
	}
	if last < len(text) && wordByte(text[last]) {
		return 0, "", false // 1e400, 12mm: the figure goes on, and is another one
	}
	if p.time > 0 {
		v, ok = figure(group(p.time), group(p.time+1))
		return v * hoursOf(group(p.time+2)), "", ok && v > 0
	}
	v, ok = figure(group(p.amount+1), group(p.amount+2))
	if p.per > 0 {
		v /= hoursOf(group(p.per))
	}
	currency = currencyOf(group(p.amount), group(p.amount+3))
	return v, currency, ok && v <= observation.MostCost
}

func wordByte(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}

// figure reads 1,200 and 1.2k.
func figure(digits, kilo string) (float64, bool) {
	v, err := strconv.ParseFloat(strings.ReplaceAll(digits, ",", ""), 64)
	if kilo != "" {
		v *= 1000
	}
	return v, err == nil
}

// Hours of what people count in: a shift of eight, days and weeks round the clock, since a part out of use stands
// at night too; a rate by the day is spread over them (judgement).
func hoursOf(word string) float64 {
	switch word = strings.ToLower(word); {
	case strings.HasPrefix(word, "shift"):
		return 8
	case strings.HasPrefix(word, "d"):
		return 24
	case strings.HasPrefix(word, "w"):
		return 7 * 24
	case strings.HasPrefix(word, "m"):
		return 30 * 24
	}
	return 1
}

// currencyOf is the currency of a sign or word; a bare dollar is the US one.
func currencyOf(sign, word string) string {
	switch word = strings.ToLower(strings.TrimSpace(word)); {
	case sign == "€" || word == "€" || strings.HasPrefix(word, "eur"):
		return "eur"
	case sign == "£" || word == "£" || word == "gbp" || word == "quid":
		return "gbp"
	case strings.HasPrefix(word, "canadian") || word == "cad":
		return "cad"
	case strings.HasPrefix(word, "australian") || word == "aud":
		return "aud"
	case sign == "$" || word != "":
		return "usd"
	}
	return ""
}
