package weld

import (
	"fmt"
	"slices"
	"strings"

	"rodcall/engine/formula"
	"rodcall/engine/measure"
)

// What is done about each figure is common practice of the trade; the limits are those that the formulas cite.

// Figured is what the formulas add to the steps of a plan where they change what one does: the dilution that keeps a
// stainless deposit sound, a zone beside the weld that gets too hard in spite of the heat, austenite that stays, sulphur
// and crack index of an analysed or resulphurised steel, embrittlement in hot service. Empty when nothing of it matters.
func (r Ready) Figured(plan *Plan) []string {
	b, s := r.book, r.s
	if len(plan.Consumables) == 0 || plan.Conflict || plan.Consumables[0].Role == Braze || plan.Heat.Preheat == nil {
		return nil
	}
	at, ok := likeliestIron(b, s.grades)
	if !ok {
		return nil
	}
	base := b.compositionOf(at, &s.analysis)
	var steps []string
	add := func(text string) {
		if text != "" {
			steps = append(steps, sentence(text))
		}
	}
	add(b.dilutionStep(plan.Consumables[0], at, base, s))
	if b.hydrogenShare(s) > 0.5 {
		add(b.hardnessStep(plan.Heat, s))
		add(b.austeniteStep(at, base))
		add(b.crackStep(plan.Consumables[0], base, s))
		for _, sign := range embrittlement(base, s) {
			if sign.Bad {
				add(fmt.Sprintf("%s %.0f (%s): %s", sign.Name, sign.Value, sign.Limit, sign.Says))
			}
		}
	}
	return steps
}

// dilutionStep says how much of the base may be melted under a stainless filler, where the usual dilution of its process
// leaves the sound window.
func (b *Book) dilutionStep(c Choice, at int, base formula.Values, s *situation) string {
	filler, class, ok := b.DepositOf(c.Class)
	if !ok || filler[formula.Cr] < leastStainless || slices.Contains(stainlessFamilies, b.catalogue.Grades[at].Family) {
		return ""
	}
	if filler[formula.N] == 0 {
		filler[formula.N] = usualNitrogen
	}
	k := &b.classes[b.classAt[class]]
	usual, ok := b.formulas.DilutionOf(processOfClass(k), useOf(s.job, 1))
	if !ok {
		return ""
	}
	hot := s.tempC != nil && *s.tempC >= sigmaLow && *s.tempC <= sigmaHigh
	high := b.constituted(formula.Dilute(base, filler, usual.High), hot)
	if high.Hazards == 0 || high.Hazards&Unread != 0 {
		return ""
	}
	most := usual.High
	for most > usual.Low/2 && b.constituted(formula.Dilute(base, filler, most), hot).Hazards != 0 {
		most -= 1.0 / windowSteps
	}
	why := "the weld hot-cracks"
	switch {
	case high.Hazards&(Martensite|NearMartensite) != 0:
		why = "martensite makes the weld hard and crack"
	case high.Hazards == Sigma:
		return "" // less dilution would not help
	}
	usually := fmt.Sprintf("usual %.0f-%.0f %%", usual.Low*100, usual.High*100)
	if most <= usual.Low/2 {
		return "" // no bead is laid so thin: another rod, not another dilution
	}
	return fmt.Sprintf("%s: melt at most %.0f %% of base into it (%s), beyond that %s (Schaeffler)", class, most*100, usually, why)
}

// hardnessStep warns where the zone beside the weld passes 350 HV at the heat of the plan, on nine in ten of what it may be.
func (b *Book) hardnessStep(heat Heat, s *situation) string {
	j := s.jointOf(Conditions{})
	seconds, _ := formula.Cooling(measure.Celsius(max(heat.Preheat.Min, room)), j.heat, measure.MM(j.thickness), 1, 1)
	most := b.hardnessCovering(seconds, s)
	switch tempered := heat.PWHT != nil && !strings.HasPrefix(*heat.PWHT, "none"); {
	case most > 400 && tempered:
		return fmt.Sprintf("beside the weld it gets to about %.0f HV before the heat treatment (over 400 HV is prone to cold cracks, Dearden and O'Neill): do not let it go cold in between", most)
	case most > 400:
		return fmt.Sprintf("beside the weld it gets to about %.0f HV even so (over 400 HV is prone to cold cracks, Dearden and O'Neill): hold the heat 2 h after the last bead", most)
	case most > limitHV:
		return fmt.Sprintf("beside the weld it gets to about %.0f HV (over 350 HV cold cracks can come, Dearden and O'Neill): no bead below the heat, cool slow", most)
	}
	return ""
}

// hardnessCovering is the hardness in HV under which nine in ten of the steels that harden stay, at a cooling time.
func (b *Book) hardnessCovering(seconds float64, s *situation) float64 {
	var by [100]float64 // share by tens of HV
	total := 0.0
	for i, p := range s.grades {
		if p < namedGrade || !b.gradeHeats[i].computed {
			continue
		}
		hv := hardest(formula.CooledIn(b.compositionOf(i, &s.analysis), seconds))
		by[min(max(int(hv/10), 0), len(by)-1)] += p
		total += p
	}
	sum := 0.0
	for tens, p := range by {
		if sum += p; total > 0 && sum >= coveredShare*total-1e-9 {
			return float64(tens+1) * 10
		}
	}
	return 0
}

// namedGrade is the chance below which a grade does not move the hardness step.
const namedGrade = 0.01

// austeniteStep warns of austenite that stays in the hard zone of high-carbon steel.
func (b *Book) austeniteStep(at int, base formula.Values) string {
	if !formula.MsMean.InRange(base) || !b.gradeHeats[at].computed {
		return ""
	}
	ms, _ := formula.Ms(base)
	if kept := formula.Retained(ms, room); kept > retainedMost {
		return fmt.Sprintf("martensite starts near %.0f C and about %.0f %% austenite stays: temper twice, sizes can move", ms, kept*100)
	}
	return ""
}

// crackStep warns of hot cracks of weld metal on steel with much sulphur or carbon, by the figures that hold.
func (b *Book) crackStep(c Choice, base formula.Values, s *situation) string {
	if ratio, ok := formula.ManganeseToSulphur(base); ok && s.analysis.seen[formula.S] && (ratio < formula.LiquationMnS || base[formula.S] > formula.FreeMachiningSulphur) {
		return fmt.Sprintf("sulphur %.2f %%, Mn/S %.0f (under 10 grain edges melt): low current, small convex beads, melt little of it", base[formula.S], ratio)
	}
	rod, _, ok := b.steelDeposit(c.Class)
	usual, known := b.formulas.DilutionOf("smaw", useOf(s.job, 1))
	if !ok || !known {
		return ""
	}
	x := formula.Dilute(base, rod, usual.High)
	if ucs := formula.UCS.Eval(x); ucs > crackUCS && formula.UCS.InRange(x) {
		return fmt.Sprintf("crack index UCS %.0f at %.0f %% dilution (EN 1011-2: over 30 hot-cracks): small convex beads, low current, fill craters", ucs, usual.High*100)
	}
	return ""
}
