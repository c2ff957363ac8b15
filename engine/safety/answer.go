package safety

import (
	"io/fs"
	"regexp"
	"slices"
	"strings"

	"rodcall/engine/data"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// Effects of an answer on the caution whose question it answers.
const (
	Clears   = "clears"   // the caution falls for this case
	Keeps    = "keeps"    // it stays, now answered: the job is stopped
	Evidence = "evidence" // it goes in as an observation; the caution falls when the family's chance falls
	Refers   = "refers"   // another part, with another caution, takes over
	Skips    = "skips"    // not answered; the stop stays and is not asked again
)

// Answer is what somebody said to a question, as the case keeps it.
type Answer struct {
	Caution  string   // whose question
	Words    string   // as he wrote it
	Label    string   // the answer of the table that the words mean; "" when he skipped
	Effect   string   // clears | keeps | evidence | refers | skips
	Key      string   // what the answer sets in the case: a key of the scene or observation, with Value
	Value    string   //
	Voids    []string // tags that Value replaces
	Excluded []string // families that the evidence speaks against
	By       string   // who gave it; filled by the caller
}

// answerRule is one answer of the table with the words that mean it.
type answerRule struct {
	label   string
	effect  string
	key     string
	value   string
	says    [][]string // phrases that mean it, as tokens
	content []string   // the label's own telling words
	yes, no bool       // the label begins with yes or no
	unsure  bool
}

var answerShape = regexp.MustCompile(`^([^=]+)=([a-z]+)(?:\(([a-z]+)=([a-z0-9-]+)\))?$`)

var answerWordsSchema = data.Schema{File: "answer_words.csv", Key: []string{"caution", "answer"}, Columns: []data.Column{
	{Name: "caution", Required: true, Doc: "id of the caution whose question it is"},
	{Name: "answer", Required: true, Doc: "label of the answer, as in cautions.csv"},
	{Name: "words", Kind: data.List, Sep: "|", Required: true, Doc: "phrases that mean this answer"},
	{Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs, Doc: "how firmly the row is held"},
}}

func (r *Rules) compileAnswers(line data.Row, out *row) {
	out.question = Question{Caution: out.caution.ID, Ask: line.Text("question")}
	keeps, lifts := false, false
	for _, cell := range line.List("answers") {
		m := answerShape.FindStringSubmatch(cell)
		if m == nil || !slices.Contains([]string{Clears, Keeps, Evidence, Refers}, m[2]) {
			line.Fault("answers", "cannot read %q; write answer=effect or answer=effect(key=value)", cell)
			continue
		}
		rule := newAnswerRule(m[1], m[2], m[3], m[4])
		if rule.key != "" && !r.tags.Has(rule.key, rule.value) {
			line.Fault("answers", "%s=%s is no tag; tags.csv lists them", rule.key, rule.value)
		}
		if rule.effect == Clears && rule.value != "" {
			out.clears = append(out.clears, max(r.tags.Index(rule.value), 0))
			if rule.value == "outside" {
				out.clears = append(out.clears, r.benchTag) // a workshop bench is at least as far from a hazard of the place
			}
		}
		if rule.effect == Keeps && rule.value != "" {
			out.keeps.add(max(r.tags.Index(rule.value), 0))
		}
		keeps = keeps || rule.effect == Keeps
		lifts = lifts || rule.effect == Clears || rule.effect == Evidence
		out.answers = append(out.answers, rule)
		out.question.Answers = append(out.question.Answers, rule.label)
	}
	if len(out.answers) > 0 && !(keeps && lifts) {
		line.Fault("answers", "one answer must keep the caution and one must lift it")
	}
}

func newAnswerRule(label, effect, key, value string) answerRule {
	rule := answerRule{label: strings.TrimSpace(label), effect: effect, key: key, value: value}
	words := answerTokens(rule.label)
	rule.yes, rule.no = words[0] == "yes", words[0] == "no"
	rule.unsure = hasPhrase(words, []string{"not", "sure"}) || hasPhrase(words, []string{"not", "known"}) || hasPhrase(words, []string{"not", "tried"})
	for _, word := range words {
		if !slices.Contains(emptyWords, word) {
			rule.content = append(rule.content, word)
		}
	}
	return rule
}

// emptyWords carry no meaning of their own in an answer.
var emptyWords = strings.Fields("yes no not a an the is it its or and of on in off for by to that this all be do does am are was we i")

// readAnswerWords adds the everyday words for the answers.
func (r *Rules) readAnswerWords(files fs.FS, faults *data.Faults) {
	for _, line := range data.Read(files, answerWordsSchema, faults).Rows {
		i, ok := r.at[line.Text("caution")]
		if !ok {
			line.Fault("caution", "unknown caution %q", line.Text("caution"))
			continue
		}
		at := slices.IndexFunc(r.rows[i].answers, func(a answerRule) bool { return a.label == line.Text("answer") })
		if at < 0 {
			line.Fault("answer", "the question has no answer %q", line.Text("answer"))
			continue
		}
		for _, phrase := range line.List("words") {
			r.rows[i].answers[at].says = append(r.rows[i].answers[at].says, answerTokens(phrase))
		}
	}
}

// Answer finds which answer to a caution's question somebody's words mean. ok is false when they mean
// none of them: the words may be about something else, and the question stays open.
func (r *Rules) Answer(caution, words string) (answer Answer, ok bool) {
	i, known := r.at[caution]
	if !known || len(r.rows[i].answers) == 0 {
		return Answer{}, false
	}
	row := &r.rows[i]
	at, skipped := row.match(answerTokens(words))
	if at < 0 && !skipped {
		return Answer{}, false
	}
	answer = Answer{Caution: caution, Words: words, Effect: Skips}
	if at >= 0 {
		r.fill(&answer, row, &row.answers[at])
	}
	return answer, true
}

// fill sets what an answer does.
func (r *Rules) fill(a *Answer, row *row, rule *answerRule) {
	a.Label, a.Effect, a.Key, a.Value = rule.label, rule.effect, rule.key, rule.value
	if i := r.tags.Index(rule.value); i >= 0 {
		for _, v := range r.tags.At(i).Voids {
			a.Voids = append(a.Voids, r.tags.At(v).Name)
		}
	}
	if rule.effect != Evidence {
		return
	}
	for i, id := range metal.Families {
		if row.families&(1<<i) != 0 {
			a.Excluded = append(a.Excluded, id)
		}
	}
}

// Apply enters an answer into an observation: what it sets, without what that replaces, and the families
// that its evidence speaks against. The observation given is not changed.
func Apply(o observation.Observation, a Answer) observation.Observation {
	for _, family := range a.Excluded {
		if !slices.Contains(o.Excluded, family) {
			o.Excluded = append(slices.Clone(o.Excluded), family)
		}
	}
	if a.Value == "" {
		return o
	}
	switch a.Key {
	case "process":
		o.Process = set(o.Process, a)
		return o
	case "service":
		o.Service = set(o.Service, a)
		return o
	case "test":
		o.Test = set(o.Test, a)
		return o
	}
	scene := observation.Scene{}
	if o.Scene != nil {
		scene = *o.Scene
	}
	if list := sceneList(&scene, a.Key); list != nil {
		*list = set(*list, a)
	}
	o.Scene = &scene
	return o
}

func sceneList(s *observation.Scene, key string) *[]string {
	switch key {
	case "site":
		return &s.Site
	case "where":
		return &s.Where
	case "use":
		return &s.Use
	case "coating":
		return &s.Coating
	case "enclosure":
		return &s.Enclosure
	case "residue":
		return &s.Residue
	case "state":
		return &s.State
	case "person":
		return &s.Person
	case "temp":
		return &s.Temp
	case "part":
		return &s.Part
	}
	return nil
}

// set is a list with an answer's value and without what that voids.
func set(list []string, a Answer) []string {
	out := make([]string, 0, len(list)+1)
	for _, word := range list {
		if word != a.Value && !slices.Contains(a.Voids, word) {
			out = append(out, word)
		}
	}
	return append(out, a.Value)
}
