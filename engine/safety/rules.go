// Package safety holds the cautions of field welding: what triggers them, which of them stop a job, the
// question that lifts a stop, and who takes over.
//
// It is asked with a Scene (values) and answers with a Verdict (values). Triggers fire on tags, never on
// bare words; the reader makes the tags. Its facts are cautions.csv with the tables beside it; each row
// names its sources, and figures from memory are marked so.
package safety

import (
	"io/fs"
	"regexp"
	"slices"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/metal"
)

// presentFrom is the chance from which a family counts for a warning, and from which a family stop asks
// for a test first (a rule of the machine contract).
const presentFrom = 0.02

// maxThresholds is how many different thresholds cautions.csv may use.
const maxThresholds = 4

// Countries are the countries whose authorities refer_to.csv names.
var Countries = []string{"us", "eu", "uk", "ca", "au"}

// row is one compiled line of cautions.csv.
type row struct {
	caution   Caution
	kind      string
	trigger   trigger
	question  Question
	answers   []answerRule
	clears    []int  // values of which one, said in the message, answers the question before it is put
	keeps     tagSet // values of which one, said in the message, confirms what an ambiguous word raised
	threshold int    // index into Rules.thresholds; -1 when the row is no family stop
	families  uint64 // every family that the trigger names
	topics    topic  // what the row guards: a test, else the weld, and entry
	repeats   []int  // rows of which this one repeats the content
	refer     [5]string
}

// Rules are the compiled cautions; immutable after loading, safe for concurrent use.
type Rules struct {
	rows       []row
	at         map[string]int
	tags       *data.Tags
	closure    []tagSet // per tag: itself and everything that it implies
	voidedBy   []tagSet // per tag: the tags that void it
	keyOf      map[string]*tagSet
	families   map[string]int
	thresholds []float64
	testNames  []string

	lowConfidence, anyTest, anyWeld, benchTag, grind, entry int
	uncertain                                               int // row of identity-uncertain-brittle
}

var cautionSchema = data.Schema{File: "cautions.csv", Key: []string{"id"}, Columns: []data.Column{
	{Name: "id", Required: true, Doc: "fixed id of the machine contract"},
	{Name: "title", Required: true, Doc: "the hazard in at most eight words"},
	{Name: "trigger", Required: true, Doc: "key=v1|v2, AND, OR; ? = the message does not say"},
	{Name: "severity", Kind: data.Word, Required: true, Of: []string{SeverityStop, SeverityWarn, SeverityNote}, Doc: "gravity"},
	{Name: "stop_kind", Kind: data.Word, Of: []string{KindNever, KindRefer, KindHold}, Doc: "kind of a stop"},
	{Name: "caution", Required: true, Doc: "what to do, at most thirty words"},
	{Name: "reason", Required: true, Doc: "what happens else"},
	{Name: "authority", Required: true, Doc: "rules and standards behind it"},
	{Name: "figures", Doc: "limits, each with its source or [memory]"},
	{Name: "applicability", Doc: "where the rule holds"},
	{Name: "sources", Kind: data.List, Sep: "|", Required: true, Doc: "keys of safety_sources.csv, or memory"},
	{Name: "question", Doc: "the one line that decides an open stop, at most 90 characters"},
	{Name: "answers", Kind: data.List, Doc: "answer=effect or answer=effect(key=value)"},
	{Name: "threshold_pct", Kind: data.Number, Min: 1, Max: 100, Doc: "chance of the family from which a family stop fires, %"},
	{Name: "routine", Kind: data.Word, Required: true, Of: []string{"yes", "no"}, Doc: "yes: once per person and day"},
	{Name: "repeats", Kind: data.List, Sep: "|", Doc: "stops whose content this row repeats; it is dropped beside them"},
}}

var sourceSchema = data.Schema{File: "safety_sources.csv", Key: []string{"key"}, Columns: []data.Column{
	{Name: "key", Required: true, Doc: "key that the cautions cite"},
	{Name: "document", Required: true, Doc: "what it is"},
	{Name: "address", Required: true, Doc: "where it was seen"},
	{Name: "shown", Required: true, Doc: "what the excerpt showed"},
	{Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs, Doc: "how much of it was read"},
}}

var referSchema = data.Schema{File: "refer_to.csv", Key: []string{"caution"}, Columns: []data.Column{
	{Name: "caution", Required: true, Doc: "id of the caution"},
	{Name: "us", Required: true, Doc: "who takes over in the United States"},
	{Name: "eu", Required: true, Doc: "in the European Union"},
	{Name: "uk", Required: true, Doc: "in the United Kingdom"},
	{Name: "ca", Required: true, Doc: "in Canada"},
	{Name: "au", Required: true, Doc: "in Australia"},
	{Name: "source", Kind: data.List, Sep: "|", Required: true, Doc: "keys of safety_sources.csv, or memory"},
	{Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs, Doc: "how firmly the row is held"},
}}

// Load reads and compiles the cautions with their tags, sources, answers' words and authorities. Every
// fault of the tables goes into faults.
func Load(files fs.FS, faults *data.Faults) *Rules {
	r := &Rules{at: map[string]int{}, tags: data.LoadTags(files, faults), keyOf: map[string]*tagSet{}, families: map[string]int{}}
	if r.tags.Len() > 64*setWords {
		faults.Add("tags.csv", 0, "tag", "%d tags; at most %d fit", r.tags.Len(), 64*setWords)
		return r
	}
	r.indexTags(faults)
	for i, id := range metal.Families {
		r.families[id] = i
	}
	sources := readSources(files, faults)
	table := data.Read(files, cautionSchema, faults)
	for _, line := range table.Rows {
		r.at[line.Text("id")] = len(r.rows)
		r.rows = append(r.rows, r.compile(line, sources))
	}
	for i, line := range table.Rows {
		r.rows[i].repeats = r.cautionIndexes(line, "repeats")
	}
	r.readRefer(files, sources, faults)
	r.readAnswerWords(files, faults)
	r.uncertain = r.require("identity-uncertain-brittle", faults)
	return r
}

// indexTags prepares what every tag implies and the tags that the rules themselves speak of.
func (r *Rules) indexTags(faults *data.Faults) {
	r.testNames = r.tags.Of("test")
	r.closure = make([]tagSet, r.tags.Len())
	r.voidedBy = make([]tagSet, r.tags.Len())
	for _, key := range data.TagKeys {
		r.keyOf[key] = &tagSet{}
	}
	for i := range r.closure {
		tag := r.tags.At(i)
		r.closure[i].add(i)
		for _, implied := range tag.Implies {
			r.closure[i].add(implied)
		}
		for _, voided := range tag.Voids {
			r.voidedBy[voided].add(i)
		}
		r.keyOf[tag.Key].add(i)
	}
	known := func(name string) int {
		i := r.tags.Index(name)
		if i < 0 {
			faults.Add("tags.csv", 0, "tag", "the tag %q is missing; the rules speak of it", name)
			return 0
		}
		return i
	}
	r.lowConfidence, r.anyTest, r.anyWeld = known("low"), known("any"), known("any-weld")
	r.benchTag, r.grind, r.entry = known("bench"), known("grind"), known("entry")
	for _, name := range derivedTags {
		known(name)
	}
}

func (r *Rules) require(id string, faults *data.Faults) int {
	i, ok := r.at[id]
	if !ok {
		faults.Add(cautionSchema.File, 0, "id", "the caution %q is missing; the rules speak of it", id)
	}
	return i
}

func readSources(files fs.FS, faults *data.Faults) map[string]bool {
	known := map[string]bool{"memory": true}
	for _, line := range data.Read(files, sourceSchema, faults).Rows {
		known[line.Text("key")] = true
	}
	return known
}

var sourceKey = regexp.MustCompile(`\[(S\d+)\]`)

func (r *Rules) compile(line data.Row, sources map[string]bool) row {
	out := row{kind: line.Text("stop_kind"), threshold: -1, caution: Caution{
		ID: line.Text("id"), Severity: line.Text("severity"), Title: line.Text("title"), Text: line.Text("caution"),
		Reason: line.Text("reason"), Authority: line.Text("authority"), Routine: line.Text("routine") == "yes",
	}}
	checkText(line, out, sources)
	compiled, err := parseTrigger(line.Text("trigger"), r.tags)
	if err != nil {
		line.Fault("trigger", "%v", err)
	}
	out.trigger = compiled
	r.compileAnswers(line, &out)
	r.compileThreshold(line, &out)
	r.compileTests(&out)
	checkStop(line, out)
	return out
}

// checkText checks the cells of a caution that are shown and cited.
func checkText(line data.Row, out row, sources map[string]bool) {
	if n := len(strings.Fields(out.caution.Title)); n > 8 {
		line.Fault("title", "%d words; at most eight", n)
	}
	if n := len(strings.Fields(out.caution.Text)); n > 30 {
		line.Fault("caution", "%d words; at most thirty", n)
	}
	if n := len(line.Text("question")); n > 90 {
		line.Fault("question", "%d characters; at most 90", n)
	}
	for _, key := range line.List("sources") {
		if !sources[key] {
			line.Fault("sources", "unknown source %q; safety_sources.csv lists them", key)
		}
	}
	for _, m := range sourceKey.FindAllStringSubmatch(line.Text("figures"), -1) {
		if !sources[m[1]] {
			line.Fault("figures", "unknown source %q; safety_sources.csv lists them", m[1])
		}
	}
}

// checkStop checks that the columns of a stop agree with each other.
func checkStop(line data.Row, out row) {
	stop := out.caution.Severity == SeverityStop
	if stop != (out.kind != "") {
		line.Fault("stop_kind", "severity %s and stop_kind %q do not go together", out.caution.Severity, out.kind)
	}
	if stop && out.caution.Routine {
		line.Fault("routine", "a stop is never routine")
	}
	asks := len(out.answers) > 0
	if asks != (out.question.Ask != "") {
		line.Fault("question", "question and answers must come together")
	}
	if out.kind == KindHold && !asks {
		line.Fault("question", "a hold needs a question")
	}
	if stop && !asks && slices.ContainsFunc(out.trigger, func(a alternative) bool {
		return slices.ContainsFunc(a.terms, func(t term) bool { return t.unsaid })
	}) {
		line.Fault("question", "a stop that may rest on ? needs a question")
	}
}

// compileThreshold finds the chance from which a family stop fires.
func (r *Rules) compileThreshold(line data.Row, out *row) {
	for i := range out.trigger {
		out.families |= out.trigger[i].families
	}
	pct, given := line.Number("threshold_pct")
	if stop := out.caution.Severity == SeverityStop && out.families != 0; stop != given {
		line.Fault("threshold_pct", "a family stop, and only a family stop, has a threshold")
	}
	if !given {
		return
	}
	out.threshold = slices.Index(r.thresholds, pct/100)
	if out.threshold >= 0 {
		return
	}
	if len(r.thresholds) == maxThresholds {
		line.Fault("threshold_pct", "more than %d different thresholds", maxThresholds)
		return
	}
	out.threshold = len(r.thresholds)
	r.thresholds = append(r.thresholds, pct/100)
}

// compileTests finds the tests that a stop keeps from being proposed. A spark test is grinding and a
// torch test is heating: what stops those stops the tests.
func (r *Rules) compileTests(out *row) {
	heat := r.tags.Index("torch-heat")
	for i := range out.trigger {
		alt := &out.trigger[i]
		for _, t := range alt.terms {
			out.topics |= r.topicOf(t)
			if out.caution.Severity == SeverityStop {
				r.forbid(&alt.forbids, t, heat)
			}
		}
	}
	if out.topics&testing == 0 {
		out.topics |= welding
	}
}

func (r *Rules) topicOf(t term) topic {
	entry := tagSet{}
	entry.add(r.entry)
	switch {
	case t.key == "test":
		return testing
	case t.key == "process" && entry.meets(t.values):
		return entering
	}
	return 0
}

func (r *Rules) forbid(tests *tagSet, t term, heat int) {
	switch t.key {
	case "test":
		for _, p := range t.values {
			tests[p.word] |= p.mask
		}
	case "process":
		if r.closureMeets(r.grind, t.values) {
			tests.add(r.tags.Index("spark"))
		}
		if r.closureMeets(heat, t.values) {
			tests.add(r.tags.Index("torch"))
		}
	}
}

func (r *Rules) closureMeets(tag int, values []patch) bool { return r.closure[tag].meets(values) }

func (r *Rules) cautionIndexes(line data.Row, column string) []int {
	var out []int
	for _, id := range line.List(column) {
		i, ok := r.at[id]
		if !ok {
			line.Fault(column, "unknown caution %q", id)
			continue
		}
		out = append(out, i)
	}
	return out
}

func (r *Rules) readRefer(files fs.FS, sources map[string]bool, faults *data.Faults) {
	for _, line := range data.Read(files, referSchema, faults).Rows {
		i, ok := r.at[line.Text("caution")]
		if !ok {
			line.Fault("caution", "unknown caution %q", line.Text("caution"))
			continue
		}
		for c, country := range Countries {
			r.rows[i].refer[c] = line.Text(country)
		}
		for _, key := range line.List("source") {
			if !sources[key] {
				line.Fault("source", "unknown source %q; safety_sources.csv lists them", key)
			}
		}
	}
}

// Tags is the closed vocabulary that the rules speak.
func (r *Rules) Tags() *data.Tags { return r.tags }

// IDs lists every caution in the order of the table.
func (r *Rules) IDs() []string {
	out := make([]string, len(r.rows))
	for i := range r.rows {
		out[i] = r.rows[i].caution.ID
	}
	return out
}

// Find is the caution with an id, as the table has it.
func (r *Rules) Find(id string) (Caution, bool) {
	i, ok := r.at[id]
	if !ok {
		return Caution{}, false
	}
	return r.rows[i].caution, true
}

// QuestionOf is the question of a caution; ok is false when it has none.
func (r *Rules) QuestionOf(id string) (Question, bool) {
	i, ok := r.at[id]
	if !ok || r.rows[i].question.Ask == "" {
		return Question{}, false
	}
	return r.rows[i].question, true
}
