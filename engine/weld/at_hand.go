package weld

import (
	"fmt"
	"slices"
	"strings"
)

// AtHand answers for one rod that the rep has: to take it, to leave it, and why.
type AtHand struct {
	Class string
	Take  bool
	Why   string // in a few words; for the rod to take, what it needs
}

// heldRod is a rod at hand in the role in which it does best.
type heldRod struct {
	candidate
	usable bool // within the limits told
}

// atHandMost bounds the rods that are answered one by one.
const atHandMost = 8

// atHand answers for each rod that the rep has, in the order told.
func (b *Book) atHand(s *situation) []AtHand {
	var rods []heldRod
	for _, class := range s.have[:min(atHandMost, len(s.have))] {
		if rod, ok := b.heldIn(class, s); ok && !slices.ContainsFunc(rods, func(r heldRod) bool { return r.class == class }) {
			rods = append(rods, rod)
		}
	}
	best := -1
	for i, r := range rods {
		if r.takeable() && (best < 0 || r.expected > rods[best].expected) {
			best = i
		}
	}
	out := make([]AtHand, 0, len(rods))
	for i, r := range rods {
		a := AtHand{Class: b.classes[r.class].ID, Take: i == best}
		if a.Take {
			a.Why = supplyText(r.top.need)
		} else {
			a.Why = b.whyNot(r, best >= 0 && r.takeable(), s)
		}
		out = append(out, a)
	}
	return out
}

// takeable holds for a rod that suits most of what the metal can be, and is never for none of weight.
func (r heldRod) takeable() bool { return r.usable && r.barredBy < 0 && r.suits >= 0.5 }

// heldIn is the rod in the role, of those that carry the job, in which it does best.
func (b *Book) heldIn(class int, s *situation) (rod heldRod, ok bool) {
	for _, r := range s.roles {
		if r.order != 1 {
			continue
		}
		if c := b.rate(class, r.role, s); !ok || c.expected > rod.expected {
			rod, ok = heldRod{c, s.usable(&b.classes[class])}, true
		}
	}
	return rod, ok
}

// whyNot says in a few words why a rod is left in the box.
func (b *Book) whyNot(r heldRod, second bool, s *situation) string {
	switch {
	case !r.usable:
		return "not by the process, current or position told"
	case second:
		return "would do; the other suits better"
	}
	fares, f := -1.0, b.faring(r.role, r.class, s)
	why := ""
	for _, m := range s.bases {
		o := f.on(m.base)
		weight := m.p * float64(1-o.utility+o.harm())
		if o.kind.suits() || weight <= fares {
			continue
		}
		fares = weight
		what := b.what(*o)
		if words := b.soundOnly(m.base, r.role, r.class, s); o.kind == NotAdvised && words != "" {
			what = "only for " + words
		}
		why = "on " + b.names[b.bases[m.base].Family].short + ": " + what
	}
	return why
}

// soundOnly are the conditions, not told here, under which a good row speaks for a class: "thin".
func (b *Book) soundOnly(base int, role Role, class int, s *situation) string {
	i := b.cells[b.cell(base, role, class)]
	if i < 0 {
		return ""
	}
	met := s.metOn(b, base, role)
	missing := condition(0)
	for _, r := range b.entries[i].rules {
		if lacks := r.names &^ met &^ s.can &^ ofSubgroup; r.good() && lacks != 0 && (missing == 0 || lacks.count() < missing.count()) {
			missing = lacks
		}
	}
	return strings.Join(missing.words(), ", ")
}

// words are the condition words of a set.
func (c condition) words() (out []string) {
	for i, w := range conditionWords {
		if c&(1<<i) != 0 {
			out = append(out, strings.ReplaceAll(w, "-", " "))
		}
	}
	return out
}

// haveNote says whether one of the rods at hand will do, and else what is nearest.
func (b *Book) haveNote(rods []AtHand, carrying []candidate, s *situation) string {
	if len(s.have) == 0 && len(s.unknown) == 0 {
		return ""
	}
	if at := slices.IndexFunc(rods, func(a AtHand) bool { return a.Take }); at >= 0 {
		return "take the " + rods[at].Class
	}
	if len(carrying) == 0 {
		return "none of your rods is right here"
	}
	return "none of your rods is right here: get " + b.nearest(carrying, s)
}

// nearest is the class to get where none at hand will do: the best that the team keeps and that suits, else the
// best; with its item and price where the stock list has them.
func (b *Book) nearest(carrying []candidate, s *situation) string {
	at := slices.IndexFunc(carrying, func(c candidate) bool {
		return c.suits >= 0.5 && len(b.stock.items[c.class]) > 0
	})
	if at < 0 {
		at = 0
	}
	id := b.classes[carrying[at].class].ID
	if pull, ok := b.Pull(id, s.thickness, nil); ok {
		return fmt.Sprintf("%s (%s)", id, pull.priceText())
	}
	return id
}
