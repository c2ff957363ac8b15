package weld

import (
	"slices"
	"strings"

	"rodcall/engine/metal"
)

// delayMinC is the preheat from which a metal is one that can crack hours later, so that it is looked at
// again after two days (common practice: 48 h).
const delayMinC = 100

// preparation is what is done before any heat, for the leading metals together: each step once.
func (b *Book) preparation(h []heated, s *situation) []string {
	var steps []string
	add := func(text string) {
		if text = sentence(text); text != "" && !slices.Contains(steps, text) {
			steps = append(steps, text)
		}
	}
	for _, m := range s.bases {
		if m.p < leadingShare && m != s.bases[0] {
			break
		}
		for _, act := range b.actions[m.base] {
			if act.verdict == "recommended" && (act.value == "remove-coating" || act.value == "remove-sulphur-lead") {
				add(act.why)
			}
		}
	}
	add(h[0].method.prep)
	if s.job == "crack" || s.job == "break" {
		add("find the ends, " + endsOr(h[0].method.ends))
	}
	return steps
}

func endsOr(ends string) string {
	if ends == "" {
		return "cut to sound metal"
	}
	return ends
}

// steps is the repair in shop order for the likeliest metal, with the heat that covers the others.
func (b *Book) steps(h []heated, plan *Plan, picked []candidate, s *situation) []string {
	m := h[0].method
	steps := b.preparation(h, s)
	add := func(text string) {
		if text != "" {
			steps = append(steps, sentence(text))
		}
	}
	if s.job == "crack" || s.job == "break" || s.job == "join" {
		add(m.groove)
	}
	add(preheatStep(plan.Heat.Preheat, m))
	if butter := b.butterStep(picked, m); butter != "" {
		add(butter)
	}
	if len(picked) > 0 {
		text := b.classes[picked[0].class].ID
		if m.bead != "" {
			text += ": " + m.bead
		}
		add(text)
	} else {
		add(m.bead)
	}
	if m.peen != "" && m.peen != "no" {
		add("peen: " + m.peen)
	}
	if plan.Heat.InterpassC != nil {
		add("between beads stay under " + degrees(*plan.Heat.InterpassC))
	}
	add("cool: " + plan.Heat.Cooling)
	if plan.Heat.PWHT != nil {
		add("after: " + *plan.Heat.PWHT)
	}
	add(m.note)
	if plan.Heat.Preheat.Min >= delayMinC && b.hardens(h[0]) {
		add("look for cracks when cold and again after 48 h")
	} else {
		add("look for cracks when cold")
	}
	return steps
}

func (b *Book) hardens(h heated) bool {
	group := b.catalogue.FamilyGroup(metal.Families[b.heatGroups[h.group].family])
	return h.method.acceptMin > 50 && group != "copper" && group != "light-metal"
}

func preheatStep(band *Band, m *method) string {
	switch {
	case band == nil:
		return ""
	case m.spoils && band.Max <= 66:
		return "no preheat; keep it cool"
	case band.Max <= 50:
		return "no preheat; dry it and bring it to 10 C or more"
	case band.Min <= 20:
		return "dry it; preheat at most " + degrees(band.Max)
	case band.Min == band.Max:
		return "preheat to " + degrees(band.Min) + " and hold it there"
	}
	return "preheat to " + degrees(band.Min) + ", at most " + degrees(band.Max) + ", and hold it there"
}

func (b *Book) butterStep(picked []candidate, m *method) string {
	for _, c := range picked {
		if c.role == Buffer {
			return "butter first with " + b.classes[c.class].ID
		}
	}
	return m.first
}

// sentence starts a step with a capital letter.
func sentence(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
