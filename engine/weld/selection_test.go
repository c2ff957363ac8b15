package weld

import (
	"bufio"
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// selectionCase is one published case: what was welded with what.
type selectionCase struct {
	ID         string    `json:"id"`
	Text       string    `json:"text"`
	Base       string    `json:"base"`
	Job        string    `json:"job"`
	Service    string    `json:"service"`
	Acceptable []string  `json:"acceptable_classes"`
	MustAvoid  []string  `json:"must_avoid"`
	PreheatC   []float64 `json:"preheat_c"`
	Stop       string    `json:"expect_stop"`
}

func selectionCases(t testing.TB) []selectionCase {
	file, err := os.Open("../../testdata/selection/cases.jsonl")
	require.NoError(t, err)
	defer file.Close()
	var cases []selectionCase
	for lines := bufio.NewScanner(file); lines.Scan(); {
		var c selectionCase
		require.NoError(t, json.Unmarshal(lines.Bytes(), &c))
		cases = append(cases, c)
	}
	return cases
}

// Words of the cases' own job and service columns and what they state; a case may match several. The
// grade words stand in for what identification would read from the same text.
var (
	jobWordsOfCases = []struct{ word, job string }{
		{"manganese overlay", "hardface"}, {"re-hardface", "hardface"}, {"hard face", "hardface"}, {"cavitation overlay", "overlay"},
		{"plate insert", "join"}, {"overlay", "overlay"}, {"build-up", "build-up"}, {"rebuild", "build-up"}, {"crack", "crack"},
		{"casting repair", "crack"}, {"die surface", "patch"}, {"edge", "build-up"}, {"fracture", "break"},
	}
	serviceWordsOfCases = []struct{ word, service string }{
		{"impact", "impact"}, {"crushing", "impact"}, {"abrasion", "high-stress"}, {"wear", "high-stress"}, {"cavitation", "cavitation"},
		{"corrosion", "corrosion"}, {"sea water", "sea-water"}, {"marine", "sea-water"}, {"acid", "corrosion"}, {"alkali", "corrosion"},
		{"galling", "galling"}, {"metal to metal", "metal-to-metal"}, {"cutting", "cutting-edge"},
	}
	limitWordsOfCases = []struct{ word, limit string }{
		{"emergency", "emergency"}, {"no time", "emergency"}, {"no heat treatment", "no-pwht"}, {"cannot heat", "no-preheat"},
	}
	gradeWordsOfCases = []struct{ word, grade string }{
		{"4140", "sae-4140"}, {"2.25cr", "astm-a387-22"}, {"c12a", "astm-a335-p91"}, {"d2 die", "aisi-d2"}, {"h13", "aisi-h13"},
		{"316 pipe", "aisi-316"}, {"304", "aisi-304"}, {"410 casting", "astm-ca15"}, {"410nimo", "astm-ca15"}, {"355", "aa-356.0"},
		{"5456", "aa-5083"}, {"ferritic ductile", "astm-a536-60-40-18"}, {"12l14", "sae-12l14"}, {"nickel aluminium", "uns-c95800"},
		{"n06600", "uns-n06600"}, {"n10276", "uns-n10276"}, {"nickel 200", "uns-n02200"}, {"17-4", "uns-s17400"}, {"430 exhaust", "aisi-430"},
		{"15cr chrome", "astm-a532-ii-b"}, {"5160", "sae-5160"},
	}
	joinedWordsOfCases = []struct{ word, family string }{
		{"304 patch", "austenitic-stainless"}, {"304 to 0.35", "austenitic-stainless"}, {"galvanised base", "low-carbon-steel"},
		{"to quenched and tempered", "quenched-tempered-plate"},
	}
	thickWordsOfCases = []struct {
		word string
		mm   float64
	}{{"40 mm", 40}, {"260 mm", 260}, {"thick", 40}}
)

func (c selectionCase) observation() *observation.Observation {
	o := &observation.Observation{Job: "join"}
	job, service, all := strings.ToLower(c.Job), strings.ToLower(c.Service), strings.ToLower(c.Text+" "+c.Job+" "+c.Service)
	for _, w := range jobWordsOfCases {
		if strings.Contains(job, w.word) {
			o.Job = w.job
			break
		}
	}
	for _, w := range serviceWordsOfCases {
		if strings.Contains(service, w.word) && !slices.Contains(o.Service, w.service) {
			o.Service = append(o.Service, w.service)
		}
	}
	if slices.Contains(strings.FieldsFunc(service, func(r rune) bool { return r == ' ' || r == ',' }), "heat") && !strings.Contains(service, "heat treatment") {
		o.Service = append(o.Service, "heat")
	}
	for _, w := range limitWordsOfCases {
		if strings.Contains(all, w.word) {
			o.Limits = append(o.Limits, w.limit)
		}
	}
	for _, w := range joinedWordsOfCases {
		if strings.Contains(all, w.word) && w.family != c.Base {
			o.JoinedTo = w.family
		}
	}
	for _, w := range thickWordsOfCases {
		if strings.Contains(all, w.word) {
			mm := w.mm
			o.Size = &observation.Size{ThicknessMM: &mm}
			break
		}
	}
	return o
}

// posterior gives the grade that the text names all the weight, else spreads it over the family as the
// catalogue meets its grades.
func (c selectionCase) posterior(b *Book) []float64 {
	p := make([]float64, len(b.catalogue.Grades))
	for _, w := range gradeWordsOfCases {
		if g, ok := b.catalogue.Grade(w.grade); ok && g.Family == c.Base && strings.Contains(strings.ToLower(c.Text), w.word) {
			for i := range b.catalogue.Grades {
				if b.catalogue.Grades[i].ID == w.grade {
					p[i] = 1
				}
			}
			return p
		}
	}
	total := 0.0
	for _, g := range b.catalogue.Grades {
		if g.Family == c.Base {
			total += g.MetWeight
		}
	}
	for i, g := range b.catalogue.Grades {
		if g.Family == c.Base {
			p[i] = g.MetWeight / total
		}
	}
	return p
}

func TestPublishedSelectionCasesGetAnAcceptableClassInTheFirstTwo(t *testing.T) {
	b := load(t)
	good, asked, clean, inBand, banded := 0, 0, 0, 0, 0
	for _, c := range selectionCases(t) {
		plan := b.Plan(Question{Observation: c.observation(), Grades: c.posterior(b)})
		var named []string
		for _, choice := range plan.Consumables {
			named = append(named, choice.Class)
		}
		if known := slices.ContainsFunc(c.Acceptable, func(a string) bool { _, ok := b.Class(a); return ok }); known {
			asked++
			if slices.ContainsFunc(named[:min(2, len(named))], func(n string) bool { return slices.Contains(c.Acceptable, n) }) {
				good++
			} else {
				t.Logf("%s %s (%s, %s): %v, acceptable %v; %s", c.ID, c.Base, c.Job, c.Service, named, c.Acceptable, plan.ConflictWhy)
			}
		}
		if bad := slices.IndexFunc(named, func(n string) bool { return slices.Contains(c.MustAvoid, n) }); bad < 0 {
			clean++
		} else {
			t.Logf("%s %s: names %s, which must be avoided", c.ID, c.Base, named[bad])
		}
		if c.PreheatC == nil {
			continue
		}
		banded++
		if p := plan.Heat.Preheat; p != nil && p.Min >= c.PreheatC[0]-10 && p.Min <= c.PreheatC[1] {
			inBand++
		} else {
			t.Logf("%s %s: preheat %v, published %v; %s", c.ID, c.Base, p, c.PreheatC, plan.ConflictWhy)
		}
	}
	require.GreaterOrEqual(t, good*100, 95*asked, "an acceptable class in the first two")
	require.Equal(t, len(selectionCases(t)), clean, "classes that must be avoided are not named")
	require.GreaterOrEqual(t, inBand*100, 95*banded, "preheat in the published band")
	t.Logf("acceptable class in the first two: %d of %d; nothing to avoid named: %d; preheat in the band: %d of %d", good, asked, clean, inBand, banded)
}

func TestDoubtNeverBringsAClassThatThePublishedCasesForbid(t *testing.T) {
	b := load(t)
	for _, c := range selectionCases(t) {
		for _, rival := range metal.Families {
			for _, share := range []float64{0.03, 0.15} {
				p := c.posterior(b)
				for i, v := range doubt(b, map[string]float64{rival: share}) {
					p[i] = p[i]*(1-share) + v
				}
				for _, choice := range b.Plan(Question{Observation: c.observation(), Grades: p}).Consumables {
					require.NotContains(t, c.MustAvoid, choice.Class, "%s with %g of %s", c.ID, share, rival)
				}
			}
		}
	}
}
