package safety

import (
	"strings"

	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// Scene is one job as the safety rules see it. The observation is read, never changed.
type Scene struct {
	Observation *observation.Observation

	Families []metal.Share // chance of each family; what is missing counts as zero
	Named    []string      // family ids that the message names, beside those of its claims
	FitGood  bool          // the observations agree with each other and with some metal
	Unlisted float64       // chance that none of the listed metals fits, 0 to 1

	Consumable        bool     // a consumable would be given: the job is a weld even if no process is named
	ConsumableProcess string   // process word of the first consumable; warnings and notes only
	ConsumableClass   string   // its class, for what it gives off (E7018: low hydrogen; ENi: nickel)
	PreheatMinC       float64  // lowest preheat that would be advised, in degrees Celsius; 0 when none
	Grinds, Peens     bool     // a step of the procedure says so
	Proposed          []string // tests that the answer proposes; warnings and notes only
	TestFirst         bool     // the decision is test-first already

	Country string // us | eu | uk | ca | au
	Answers []Answer
}

// derivedTags are the tags that no word of the message makes: they follow from readings and figures.
var derivedTags = []string{"hardened", "soft", "broken", "thick-section", "low-temperature", "nickel-filler", "low-hydrogen",
	"spark", "file", "chip", "fracture", "magnet", "density", "torch", "xrf", "libs", "hardness-rebound", "hardness-indent",
	"build-up", "hardface", "grind", "peen", "preheat", "braze", "torch-heat"}

const (
	preheatFromC    = 50   // from this preheat on the part burns skin (a rule of the machine contract)
	thickFromMM     = 30   // a section that holds a weld rigidly (judgement)
	lowTemperatureC = -20  // duty at which a brittle weld breaks (judgement)
	unlistedDoubt   = 0.2  // chance of an unlisted metal from which confidence is low (machine contract)
	likelyFrom      = 0.55 // chance from which a family is called likely; below it the identity is uncertain (judgement)
	stillOpenBelow  = 0.35 // chance of the best family below which the metal is still open (judgement)
)

// facts is a Scene as bits.
type facts struct {
	said  tagSet // tags of the message
	stops tagSet // with any-weld when a consumable would be given: stops are decided on these
	all   tagSet // with what the answer itself would do: warnings and notes
	now   tagSet // of them those that hold before anything is welded
	named uint64 // families that the message names
	warn  uint64 // families from 2 % on, named ones, and "unknown"
	above [maxThresholds]uint64
	best  float64 // chance of the likeliest family

	chance [unknownFamily]float64 // of each family, by its bit
}

func (r *Rules) facts(s *Scene) facts {
	var f facts
	r.addObservation(&f.said, s.Observation)
	f.stops = f.said
	if s.Consumable {
		f.stops.join(&r.closure[r.anyWeld])
	}
	r.addFamilies(&f, s)
	return f
}

func (r *Rules) add(set *tagSet, name string) {
	if i := r.tags.Index(name); i >= 0 {
		set.join(&r.closure[i])
	}
}

func (r *Rules) addKey(set *tagSet, key string, names []string) {
	for _, name := range names {
		if i := r.tags.Index(name); i >= 0 && r.keyOf[key].has(i) {
			set.join(&r.closure[i])
		}
	}
}

// addObservation adds what the message says of the job.
func (r *Rules) addObservation(set *tagSet, o *observation.Observation) {
	if o == nil {
		return
	}
	r.addKey(set, "process", o.Process)
	r.addTests(set, o.Test)
	r.addKey(set, "service", o.Service)
	r.addKey(set, "process", o.Limits)
	switch o.Job {
	case "build-up", "hardface":
		r.add(set, o.Job)
	case "break":
		r.add(set, "broken")
	}
	switch o.File {
	case "skates":
		r.add(set, "hardened")
	case "bites", "bites-easily":
		r.add(set, "soft")
	}
	if o.Size != nil && o.Size.ThicknessMM != nil && *o.Size.ThicknessMM >= thickFromMM {
		r.add(set, "thick-section")
	}
	if o.ServiceTempC != nil && *o.ServiceTempC <= lowTemperatureC {
		r.add(set, "low-temperature")
	}
	r.addScene(set, o.Scene)
}

// addTests adds tests that will be done. A spark test is grinding and a torch test is heating: what
// forbids those on a part forbids the test.
func (r *Rules) addTests(set *tagSet, tests []string) {
	r.addKey(set, "test", tests)
	for _, test := range tests {
		switch test {
		case "spark":
			r.add(set, "grind")
		case "torch":
			r.add(set, "torch-heat")
		}
	}
}

func (r *Rules) addScene(set *tagSet, s *observation.Scene) {
	if s == nil {
		return
	}
	r.addKey(set, "site", s.Site)
	r.addKey(set, "where", s.Where)
	r.addKey(set, "use", s.Use)
	r.addKey(set, "coating", s.Coating)
	r.addKey(set, "enclosure", s.Enclosure)
	r.addKey(set, "residue", s.Residue)
	r.addKey(set, "state", s.State)
	r.addKey(set, "person", s.Person)
	r.addKey(set, "temp", s.Temp)
	r.addKey(set, "part", s.Part)
	if i := r.tags.Index("other"); i >= 0 && set.has(i) {
		set.remove(r.tags.Index("implant")) // somebody else does the step
	}
}

// addAnswer sets the tags of warnings and notes: those of the stops, and what the answer itself would do: its
// consumable, its heat, its tests. Tests that the observation reports count here too, so that their care is
// said once more.
func (r *Rules) addAnswer(f *facts, s *Scene) {
	f.all, f.now = f.stops, f.said
	for _, set := range []*tagSet{&f.all, &f.now} {
		r.addKey(set, "test", s.Proposed)
		r.addReported(set, s.Observation)
	}
	set := &f.all
	r.addKey(set, "process", []string{s.ConsumableProcess})
	if s.PreheatMinC > preheatFromC {
		r.add(set, "preheat")
	}
	if s.Grinds {
		r.add(set, "grind")
	}
	if s.Peens {
		r.add(set, "peen")
	}
	switch {
	case strings.HasPrefix(s.ConsumableClass, "ENi"):
		r.add(set, "nickel-filler")
	case lowHydrogen(s.ConsumableClass):
		r.add(set, "low-hydrogen")
	}
}

// lowHydrogen holds for the basic stick classes: E7015, E8018-B2, E7028, E7048 and their like.
func lowHydrogen(class string) bool {
	digits := strings.TrimLeft(strings.SplitN(class, "-", 2)[0], "E")
	if len(digits) < 4 || len(digits) > 6 {
		return false
	}
	for _, end := range []string{"15", "16", "18", "28", "48"} {
		if strings.HasPrefix(digits[len(digits)-3:], end) || strings.HasSuffix(digits, end) {
			return true
		}
	}
	return false
}

// addReported adds the tests whose results the observation holds.
func (r *Rules) addReported(set *tagSet, o *observation.Observation) {
	set.add(r.anyTest) // a ranking of metals always rests on some report
	if o == nil {
		return
	}
	for _, t := range []struct {
		name string
		done bool
	}{
		{"spark", o.Spark != nil || o.SparkSkin != nil}, {"file", o.File != ""}, {"chip", o.Chip != ""},
		{"fracture", len(o.Fracture) > 0}, {"magnet", o.Magnet != ""}, {"density", o.DensityGCM3 != nil},
		{"torch", len(o.Torch) > 0}, {"xrf", o.ChemMethod == "xrf"}, {"libs", o.ChemMethod == "libs"},
	} {
		if t.done {
			r.add(set, t.name)
		}
	}
	for _, h := range o.Hardness {
		if h.Scale == "HLD" {
			r.add(set, "hardness-rebound")
		} else {
			r.add(set, "hardness-indent")
		}
	}
}

func (r *Rules) addFamilies(f *facts, s *Scene) {
	for _, id := range s.Named {
		f.name(r, id)
	}
	if s.Observation != nil {
		for _, claim := range s.Observation.Claim {
			f.name(r, claim.Metal)
		}
	}
	f.warn = f.named
	for i := range f.above {
		f.above[i] = f.named
	}
	for _, share := range s.Families {
		i, ok := r.families[share.ID]
		if !ok {
			continue
		}
		f.best = max(f.best, share.P)
		f.chance[i] = share.P
		if share.P >= presentFrom {
			f.warn |= 1 << i
		}
		for t, threshold := range r.thresholds {
			if share.P >= threshold {
				f.above[t] |= 1 << i
			}
		}
	}
	if f.best < stillOpenBelow {
		f.warn |= 1 << unknownFamily
	}
}

func (f *facts) name(r *Rules, id string) {
	if i, ok := r.families[id]; ok {
		f.named |= 1 << i
	}
}
