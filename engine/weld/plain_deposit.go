package weld

import (
	"fmt"

	"rodcall/engine/formula"
)

// PlainDeposit is what a steel filler becomes on the likeliest steel over a range of dilution; no constitution diagram
// reads it.
type PlainDeposit struct {
	Class, Grade string
	Other        string // the other side of a joint
	P            float64
	Process, Use string
	Taken        formula.Dilution // the share asked, else the usual range
	Usual        formula.Dilution
	Carbon       [2]float64 // wt% at the least and the greatest share
	CE, UCS      [2]float64
	UCSIn        bool    // at the greatest
	Most         float64 // greatest share, 0 to 1, at which the crack index stays at 30 or under
}

// PlainDeposit works out a steel filler on the metal of a question. It fails with a sentence on another class and on a metal
// that is no steel.
func (b *Book) PlainDeposit(q Question, l Laying) (PlainDeposit, error) {
	if len(l.Fillers) != 1 {
		return PlainDeposit{}, fmt.Errorf("dilution: one steel rod at a time; say 7018 on this at 30 %%")
	}
	word := b.byProcess(l.Fillers[0], l.Process)
	rod, class, ok := b.steelDeposit(word)
	if !ok {
		return PlainDeposit{}, fmt.Errorf("dilution: %s is no steel or stainless class; say 309L, 312 or 7018 on this", shortWord(word))
	}
	s := b.situationOf(q, &Scratch{})
	at, ok := likeliestIron(b, s.grades)
	if !ok {
		return PlainDeposit{}, fmt.Errorf("dilution: %s is for steel, and this is likely none; say rods for what suits it", class)
	}
	d := PlainDeposit{Class: class, Grade: b.gradeHeats[at].designation, P: s.grades[at], Process: l.Process, Use: l.Use}
	if d.Use == "" {
		d.Use = useOf(s.job, 1)
	}
	if d.Process == "" {
		d.Process = processOfClass(&b.classes[b.classAt[class]])
	}
	d.Usual, _ = b.formulas.DilutionOf(d.Process, d.Use)
	if d.Taken = d.Usual; l.Share > 0 {
		d.Taken = formula.Dilution{Low: l.Share, High: l.Share}
	}
	base := b.compositionOf(at, &s.analysis)
	if s.joined >= 0 && d.Use == "join" {
		other, err := b.otherSide(s, l.Other)
		if err != nil {
			return PlainDeposit{}, err
		}
		d.Other = b.gradeHeats[other].designation
		base = formula.Dilute(base, b.middles[other], 0.5)
	}
	for i, share := range [2]float64{d.Taken.Low, d.Taken.High} {
		x := formula.Dilute(base, rod, share)
		d.Carbon[i], d.CE[i], d.UCS[i] = x[formula.C], formula.CEIIW.Eval(x), formula.UCS.Eval(x)
		d.UCSIn = formula.UCS.InRange(x)
	}
	d.Most, _ = formula.Window(base, rod, windowSteps, func(x formula.Values) bool { return formula.UCS.Eval(x) <= crackUCS })
	return d, nil
}
