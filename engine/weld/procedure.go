package weld

import (
	"slices"
	"strings"

	"rodcall/engine/metal"
)

// delayMinC is the preheat from which a metal is one that can crack hours later, so that it is looked at
// again after two days (common practice: 48 h).
const delayMinC = 100

// preparation is what is done before any heat.
func (b *Book) preparation(h []heated, s *situation) []string {
	var steps []string
	add := func(text string) {
		if text = sentence(text); text != "" && !slices.Contains(steps, text) {
			steps = append(steps, text)
		}
	}
	for _, act := range b.actions[s.bases[0].base] {
		if act.verdict == "recommended" && (act.value == "remove-coating" && s.zinc || act.value == "remove-sulphur-lead") {
			add(act.why)
		}
	}
	add(h[0].method.prep)
	if s.cracked() {
		add("find the ends, " + endsOr(h[0].method.ends))
	}
	return steps
}

func (s *situation) cracked() bool { return s.job == "crack" || s.job == "break" }

func endsOr(ends string) string {
	if ends == "" {
		return "cut to sound metal"
	}
	return ends
}

// steps is the repair after the preparation, in shop order, for the likeliest metal, with the heat that
// covers the others.
func (b *Book) steps(h []heated, heat Heat, butter string, picked []candidate, s *situation) []string {
	m := h[0].method
	var steps []string
	add := func(text string) {
		if text != "" {
			steps = append(steps, sentence(text))
		}
	}
	if s.cracked() || s.job == "join" {
		add(m.groove)
	}
	if butter != "" {
		add(butter)
	}
	add(preheatStep(heat.Preheat, m))
	if butter == "" {
		add(b.butterStep(picked, m))
	}
	class := b.classes[picked[0].class].ID
	if picked[0].role == Braze && m.name != "braze" {
		add(class + ": heat the joint evenly and let it flow")
	} else {
		add(beadStep(class, m.bead))
		add(peenStep(m.peen))
	}
	for _, step := range b.faceSteps(picked[0], heat, s) {
		add(step)
	}
	add("between beads stay under " + degrees(*heat.InterpassC))
	add("cool: " + heat.Cooling)
	if heat.PWHT != nil && !strings.HasPrefix(*heat.PWHT, "none") {
		add("after: " + *heat.PWHT)
	}
	add(m.note)
	if heat.Preheat.Min >= delayMinC && b.hardens(h[0]) {
		add("look for cracks when cold and again after 48 h")
	} else {
		add("look for cracks when cold")
	}
	return steps
}

func beadStep(class, bead string) string {
	if bead == "" {
		return "weld with " + class
	}
	return class + ": " + bead
}

func peenStep(peen string) string {
	switch {
	case peen == "" || peen == "no":
		return ""
	case peen == "yes":
		return "peen each bead"
	case peen == "light":
		return "peen lightly"
	}
	return "peen " + strings.TrimPrefix(peen, "yes, ")
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
