package engine

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
	"rodcall/engine/identify"
	"rodcall/engine/measure"
	"rodcall/engine/metal"
	"rodcall/engine/observation"
	"rodcall/engine/weld"
)

// publishedCase is one line of testdata/published: what one source says of one metal.
type publishedCase struct {
	ID          string          `json:"id"`
	Kind        string          `json:"kind"`
	Text        string          `json:"text"`
	Observation json.RawMessage `json:"observation"`
	Family      string          `json:"family"`
	Acceptable  []string        `json:"acceptable"`
	Source      string          `json:"source"`
	Seen        string          `json:"seen"`
	UsedByModel bool            `json:"used_by_model"`
	LeaveOut    string          `json:"leave_out"`
	file        string
}

// realEngine is the engine over the real data, built once for all tests.
var realEngine = sync.OnceValues(func() (*Engine, error) { return New(Settings{}) })

func mustEngine(t testing.TB) *Engine {
	t.Helper()
	e, err := realEngine()
	require.NoError(t, err)
	return e
}

func publishedCases(t testing.TB, files ...string) []publishedCase {
	t.Helper()
	var out []publishedCase
	for _, name := range files {
		raw, err := os.ReadFile(filepath.Join("..", "testdata", "published", name))
		require.NoError(t, err)
		lines := bufio.NewScanner(bytes.NewReader(raw))
		lines.Buffer(nil, 1<<20)
		for lines.Scan() {
			c := publishedCase{file: name}
			require.NoError(t, json.Unmarshal(lines.Bytes(), &c), "%s: %s", name, lines.Text())
			out = append(out, c)
		}
	}
	return out
}

// models are identification models that leave out one source each.
type models struct{ made map[string]*identify.Model }

func (m *models) without(t testing.TB, source string) *identify.Model {
	t.Helper()
	if m.made == nil {
		m.made = map[string]*identify.Model{}
	}
	if m.made[source] == nil {
		var faults data.Faults
		files := data.Files()
		o := identify.Options{}
		if source != "" {
			o.Without = []string{source}
		}
		m.made[source] = identify.New(files, metal.Load(files, &faults), measure.LoadHardness(files, &faults), &faults, o)
		require.NoError(t, faults.Err())
	}
	return m.made[source]
}

// verdict is how one case came out.
type verdict struct {
	c          publishedCase
	rank       int     // place of the true family, from 0
	acceptable bool    // the first is the truth, or one that a fair judge accepts
	truth      float64 // chance of the true family
	first      string
	p          float64 // chance of the first
	fit        string
}

func judgeCase(t testing.TB, e *Engine, all *models, c publishedCase) verdict {
	t.Helper()
	var o observation.Observation
	if c.Text != "" {
		o = e.Read(c.Text).Observation
	} else {
		parsed, err := observation.Parse(c.Observation)
		require.NoError(t, err, c.ID)
		o, _ = e.Complete(parsed)
	}
	m := all.without(t, c.LeaveOut)
	r := m.Identify(&o, e.cat.MatchPart(o.Part), m.NewScratch())
	order := make([]int, len(r.Families))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return r.Families[order[a]] > r.Families[order[b]] })
	truth := metal.FamilyIndex(c.Family)
	require.GreaterOrEqual(t, truth, 0, "%s: %s", c.ID, c.Family)
	first := metal.Families[order[0]]
	return verdict{c: c, rank: slices.Index(order, truth), truth: r.Families[truth], first: first, p: r.Families[order[0]], fit: r.Fit,
		acceptable: first == c.Family || slices.Contains(c.Acceptable, first)}
}

// summary is a set of verdicts in figures.
type summary struct {
	n, top1, top3, acceptable, sure, wrong int
	loss, meanSure                         float64
	bins                                   [10]struct{ n, right, p float64 }
}

func (s *summary) add(v verdict) {
	s.n++
	if v.rank == 0 {
		s.top1++
	}
	if v.rank < 3 {
		s.top3++
	}
	if v.acceptable {
		s.acceptable++
	}
	s.loss -= math.Log(max(v.truth, 1e-9))
	bin := &s.bins[min(9, int(v.p*10))]
	bin.n, bin.p = bin.n+1, bin.p+v.p
	if v.rank == 0 {
		bin.right++
	}
	if v.p >= 0.9 {
		s.sure++
		s.meanSure += v.p
		if v.rank != 0 {
			s.wrong++
		}
	}
}

// calibration is the expected calibration error on the true family, over bins of a tenth.
func (s *summary) calibration() float64 {
	sum := 0.0
	for _, b := range s.bins {
		sum += math.Abs(b.right - b.p)
	}
	return sum / float64(max(s.n, 1))
}

func (s *summary) String() string {
	n := float64(max(s.n, 1))
	return fmt.Sprintf("n %4d  first %.3f  first acceptable %.3f  in three %.3f  log loss %.3f  calibration error %.3f  at 0.9 and up: %d, wrong %d",
		s.n, float64(s.top1)/n, float64(s.acceptable)/n, float64(s.top3)/n, s.loss/n, s.calibration(), s.sure, s.wrong)
}

func (s *summary) curve() string {
	var parts []string
	for i, b := range s.bins {
		if b.n > 0 {
			parts = append(parts, fmt.Sprintf("%.1f: %.2f of %.0f said %.2f", float64(i)/10, b.right/b.n, b.n, b.p/b.n))
		}
	}
	return strings.Join(parts, "; ")
}

// summarise judges the cases of a file and prints its figures by kind of case.
func summarise(t testing.TB, files ...string) (map[string]*summary, []verdict) {
	t.Helper()
	e, all := mustEngine(t), &models{}
	kinds := map[string]*summary{"all": {}}
	var verdicts []verdict
	for _, c := range publishedCases(t, files...) {
		v := judgeCase(t, e, all, c)
		if kinds[c.Kind] == nil {
			kinds[c.Kind] = &summary{}
		}
		kinds[c.Kind].add(v)
		kinds["all"].add(v)
		verdicts = append(verdicts, v)
	}
	names := make([]string, 0, len(kinds))
	for name := range kinds {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		t.Logf("%-28s %-15s %s", strings.Join(files, " "), name, kinds[name])
	}
	t.Logf("%-28s reliability: %s", strings.Join(files, " "), kinds["all"].curve())
	for _, v := range verdicts {
		if v.p >= 0.9 && v.rank != 0 {
			t.Logf("  sure and wrong: %s %s is %s, said %s %.3f (%s)", v.c.ID, v.c.Kind, v.c.Family, v.first, v.p, v.c.Source)
		}
	}
	return kinds, verdicts
}

// The bars are the figures of a crude model on the same data (spark rows with their own source left out:
// first .22, in three .50, log loss 2.66; measured compositions with carbon .90 and .97, without .76 and
// .94), and what the issue asks of full descriptions.
func TestSparkAloneBeatsACrudeModel(t *testing.T) {
	kinds, _ := summarise(t, "spark.jsonl")
	s := kinds["spark-only"]
	require.Greater(t, rate(s.top1, s.n), 0.24)
	require.Greater(t, rate(s.top3, s.n), 0.51)
	require.Less(t, s.loss/float64(s.n), 2.60)
}

func TestMeasuredCompositionsBeatACrudeModel(t *testing.T) {
	kinds, _ := summarise(t, "measured.jsonl")
	with, without := kinds["chem"], kinds["chem-no-carbon"]
	require.Greater(t, rate(with.top1, with.n), 0.92)
	require.Greater(t, rate(with.top3, with.n), 0.98)
	require.Greater(t, rate(without.acceptable, without.n), 0.93)
	require.Greater(t, rate(without.top1, without.n), 0.79)
}

// The crude model saw every element but carbon; an analyser by X-ray, as above, sees fewer.
func TestMeasuredCompositionsWithoutCarbonAloneBeatACrudeModel(t *testing.T) {
	e, all, s := mustEngine(t), &models{}, &summary{}
	for _, c := range publishedCases(t, "measured.jsonl") {
		if c.Kind != "chem" {
			continue
		}
		c.Observation = withoutCarbon(t, c.Observation)
		v := judgeCase(t, e, all, c)
		s.add(v)
		if v.rank >= 3 || v.p >= 0.9 && v.rank != 0 {
			t.Logf("  %s is %s, said %s %.3f (%s)", c.ID, c.Family, v.first, v.p, c.Source)
		}
	}
	t.Logf("every element but carbon     %s", s)
	require.Equal(t, 67, s.n)
	require.Greater(t, rate(s.top1, s.n), 0.79)
	require.Greater(t, rate(s.top3, s.n), 0.94)
}

// withoutCarbon is an analysis of which the carbon was not told.
func withoutCarbon(t *testing.T, raw json.RawMessage) json.RawMessage {
	t.Helper()
	var o map[string]any
	require.NoError(t, json.Unmarshal(raw, &o))
	delete(o["chem"].(map[string]any), "C")
	out, err := json.Marshal(o)
	require.NoError(t, err)
	return out
}

func TestStandardChemistryNamesItsFamily(t *testing.T) {
	kinds, _ := summarise(t, "standards.jsonl")
	require.GreaterOrEqual(t, rate(kinds["all"].top1, kinds["all"].n), 0.95)
	require.GreaterOrEqual(t, rate(kinds["all"].top3, kinds["all"].n), 0.99)
}

func TestFullDescriptionsNameTheRightFamily(t *testing.T) {
	kinds, verdicts := summarise(t, "other.jsonl")
	full := kinds["full"]
	require.GreaterOrEqual(t, rate(full.top1, full.n), 0.95)
	require.GreaterOrEqual(t, rate(full.top3, full.n), 0.99)
	read := &summary{}
	for _, v := range verdicts {
		if v.c.Kind == "full" && v.c.Seen == "seen" && !v.c.UsedByModel {
			read.add(v)
		}
	}
	t.Logf("of these, read in one source that the model does not use: %s", read)
	require.Equal(t, read.n, read.top1)
	require.Greater(t, rate(kinds["trap"].acceptable, kinds["trap"].n), 0.88)
	require.Greater(t, rate(kinds["partial"].acceptable, kinds["partial"].n), 0.95)
}

// The same claim on cases that were put together later, each read in one source, before any was judged.
func TestIndependentFullDescriptionsNameTheRightFamily(t *testing.T) {
	kinds, verdicts := summarise(t, "independent.jsonl")
	full := kinds["full"]
	require.Equal(t, full.n, kinds["all"].n, "a case of another kind belongs in another file")
	for _, v := range verdicts {
		require.True(t, v.c.Seen == "seen" && !v.c.UsedByModel, "%s is not read in a source of its own", v.c.ID)
		if v.rank != 0 {
			t.Logf("  missed: %s is %s (%.3f, place %d), said %s %.3f", v.c.ID, v.c.Family, v.truth, v.rank+1, v.first, v.p)
		}
	}
	require.GreaterOrEqual(t, rate(full.top1, full.n), 0.95)
	require.GreaterOrEqual(t, rate(full.top3, full.n), 0.99)
}

func TestPartsAndFieldTestsNameAnAcceptableFamily(t *testing.T) {
	parts, _ := summarise(t, "parts.jsonl")
	require.Greater(t, rate(parts["all"].acceptable, parts["all"].n), 0.94)
	field, _ := summarise(t, "field.jsonl")
	require.Greater(t, rate(field["all"].acceptable, field["all"].n), 0.85)
	messages, _ := summarise(t, "messages.jsonl")
	require.Greater(t, rate(messages["all"].acceptable, messages["all"].n), 0.85)
}

// Wrong calls at 0.9 and up must not exceed what their mean chance allows (one-sided 95 %), and none may
// be dangerous: get a class that is never for the truth.
func TestSureCallsAreRightAsOftenAsTheySay(t *testing.T) {
	files := []string{"spark.jsonl", "measured.jsonl", "field.jsonl", "other.jsonl", "independent.jsonl", "standards.jsonl", "parts.jsonl"}
	_, verdicts := summarise(t, files...)
	all := &summary{}
	for _, v := range verdicts {
		all.add(v)
	}
	miss := float64(all.sure) - all.meanSure
	require.LessOrEqual(t, float64(all.wrong), miss+1.645*math.Sqrt(miss), "%d wrong of %d sure calls", all.wrong, all.sure)
	t.Logf("sure calls %d, wrong %d, allowed by their own chances %.1f", all.sure, all.wrong, miss)
	e := mustEngine(t)
	for _, v := range verdicts {
		if v.p >= 0.9 && v.rank != 0 {
			require.Falsef(t, neverOnTruth(t, e, v), "%s: %s said of %s gets a class that harms it", v.c.ID, v.first, v.c.Family)
		}
	}
}

// Whatever the doubt, no weld is named whose first class would harm the true metal, unless the metal was
// recognised and only a grade of its family wants another class.
func TestNoPublishedCaseGetsAClassThatHarmsItsMetal(t *testing.T) {
	e := mustEngine(t)
	decisions := map[string]int{}
	for _, c := range publishedCases(t, "field.jsonl", "other.jsonl", "independent.jsonl", "standards.jsonl", "parts.jsonl", "messages.jsonl", "measured.jsonl") {
		o := e.Read(c.Text).Observation
		if c.Text == "" {
			parsed, err := e.Parse(c.Observation)
			require.NoError(t, err)
			o, _ = e.Complete(parsed)
		}
		j := e.Judge(o)
		decisions[j.Decision]++
		if j.Decision != Weld || j.Families[0].ID == c.Family {
			continue
		}
		require.NotContains(t, harmful(e, &o, c.Family), j.Consumables[0].Class, "%s: %s taken for %s", c.ID, c.Family, j.Families[0].ID)
	}
	t.Logf("decisions: weld %d, test-first %d, stop %d", decisions[Weld], decisions[TestFirst], decisions[Stop])
}

// harmful are the classes that would harm a family, taken over its grades alike.
func harmful(e *Engine, o *observation.Observation, family string) []string {
	var out []string
	for _, a := range e.book.Plan(sure(e, o, family)).Avoid {
		out = append(out, a.Class)
	}
	return out
}

// sure is the question on a family that is known for certain.
func sure(e *Engine, o *observation.Observation, family string) weld.Question {
	q := weld.Question{Observation: o, Grades: make([]float64, len(e.cat.Grades))}
	members := 0.0
	for i := range e.cat.Grades {
		if e.cat.Grades[i].Family == family {
			q.Grades[i] = 1
			members++
		}
	}
	for i := range q.Grades {
		q.Grades[i] /= members
	}
	return q
}

// neverOnTruth says whether the judgment of a case names a class that is never for the true family.
func neverOnTruth(t *testing.T, e *Engine, v verdict) bool {
	t.Helper()
	o, err := observation.Parse(v.c.Observation)
	require.NoError(t, err)
	j := e.Judge(o)
	return j.Decision == Weld && slices.Contains(harmful(e, &o, v.c.Family), j.Consumables[0].Class)
}

func rate(part, whole int) float64 { return float64(part) / float64(max(whole, 1)) }
