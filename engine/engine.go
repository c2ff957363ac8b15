// Package engine is the public face of the computing half of rodcall: text to observation, observation
// to judgment. It is built once, checked while it is built, and immutable afterwards; it opens no file,
// asks no clock and draws no random number, so the same bytes in give the same bytes out.
package engine

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"rodcall/engine/data"
	"rodcall/engine/formula"
	"rodcall/engine/identify"
	"rodcall/engine/measure"
	"rodcall/engine/metal"
	"rodcall/engine/reader"
	"rodcall/engine/reader/scene"
	"rodcall/engine/safety"
	"rodcall/engine/weld"
)

// Version is that of the program; it goes into every judgment together with the digest of the data.
const Version = "0.1.0"

// Settings are the choices of a team that change a judgment.
type Settings struct {
	Country  string             // us | eu | uk | ca | au: whose authorities refer_to names; empty means us
	Observer string             // field | bench: whose lapse rates hold; empty means field
	Mix      map[string]float64 // weight of each industry setting in the prior; empty means the default mix
	Tools    []string           // equipment at hand (words of tests.csv "needs"); nil means the ordinary truck kit
	Words    []byte             // the team's own words, a CSV (word,kind,means); nil means none

	Stock     []byte // the team's stock list, a CSV of items by standard class; nil means none
	StockFile string // the name by which faults of the stock list are told
}

// Engine reads and judges. It is safe for concurrent use.
type Engine struct {
	settings Settings
	cat      *metal.Catalogue
	reader   *reader.Reader
	scene    *scene.Reader
	identify *identify.Model
	book     *weld.Book
	rules    *safety.Rules
	formulas *formula.Set
	scale    *measure.HardnessTables
	name     string    // version and data digest
	scratch  sync.Pool // *scratch, kept between judgments
}

// New loads and checks all data. Every fault of the data, or of the team's own words, is reported in one
// error that names file, row and column.
func New(settings Settings) (*Engine, error) {
	files := data.Files()
	var faults data.Faults
	e := &Engine{settings: settings, cat: metal.Load(files, &faults)}
	scale := measure.LoadHardness(files, &faults)
	e.scale = scale
	e.identify = identify.New(files, e.cat, scale, &faults, identify.Options{Observer: settings.Observer, Mix: settings.Mix})
	e.formulas = formula.Load(files, &faults)
	e.book = weld.Load(files, e.cat, e.formulas, &faults)
	e.rules = safety.Load(files, &faults)
	e.scene = scene.New(files, &faults)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if err := e.checkTools(); err != nil {
		return nil, err
	}
	var err error
	if e.reader, err = reader.New(e.cat, settings.Words); err != nil {
		return nil, err
	}
	if err := e.useStock(settings); err != nil {
		return nil, err
	}
	digest, err := data.Digest(files)
	if err != nil {
		return nil, err
	}
	e.name = "rodcall " + Version + " data " + digest
	e.scratch.New = func() any { return &scratch{identify: e.identify.NewScratch()} }
	return e, nil
}

// scratch is the working memory of one judgment.
type scratch struct {
	identify *identify.Scratch
	weld     weld.Scratch
	shares   []metal.Share
}

// checkTools refuses equipment that no test asks for: a typing error would hide a test in silence.
func (e *Engine) checkTools() error {
	known := e.identify.Tools()
	for _, tool := range e.settings.Tools {
		if !slices.Contains(known, tool) {
			return fmt.Errorf("tools: %q is no equipment of a test; known: %s", tool, strings.Join(known, " "))
		}
	}
	return nil
}

// Name is the version of the program and the digest of its data.
func (e *Engine) Name() string { return e.name }

// FamilyName is what people call a family: in full, and in at most 20 characters for a line on a phone.
func (e *Engine) FamilyName(family string) (name, short string) { return e.cat.FamilyName(family) }
