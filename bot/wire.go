package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"rodcall/bot/conversation"
	"rodcall/bot/record"
	"rodcall/config"
	"rodcall/engine"
	"rodcall/engine/data"
	"rodcall/engine/metal"
)

// settings loads the settings of a conversation: from the file named, else from the one in this folder.
func (p *program) settings(cmd *cobra.Command) (config.Settings, error) {
	path := p.configPath
	if path == "" {
		if _, err := os.Stat(config.FileName); !errors.Is(err, fs.ErrNotExist) {
			path = config.FileName
		}
	}
	s, err := config.Load(path, cmd.Flags())
	return s, withStatus(exitUse, err)
}

// batchSettings loads the settings of a batch: from no file but the one named, so that a batch answers
// alike in every folder.
func (p *program) batchSettings(cmd *cobra.Command) (config.Settings, error) {
	s, err := config.Load(p.configPath, cmd.Flags())
	return s, withStatus(exitUse, err)
}

// newEngine builds the engine with the choices of the team.
func newEngine(s config.Settings) (*engine.Engine, error) {
	choices := engine.Settings{Country: s.Country, Observer: s.Observer, Tools: s.Tools}
	if len(s.Tools) == 0 {
		choices.Tools = nil
	}
	mix, err := mixOf(s.Mix)
	if err != nil {
		return nil, withStatus(exitUse, err)
	}
	choices.Mix = mix
	if choices.Words, err = readOwn("words", "own words", s.Words); err != nil {
		return nil, withStatus(exitUse, err)
	}
	if choices.Stock, err = readOwn("stock", "stock list", s.Stock); err != nil {
		return nil, withStatus(exitUse, err)
	}
	choices.StockFile = filepath.Base(s.Stock)
	defer debug.SetGCPercent(debug.SetGCPercent(loadingGarbage))
	e, err := engine.New(choices)
	return e, withStatus(exitUse, err)
}

// loadingGarbage lets the collector wait while the data are loaded: the program is short then of nothing but
// time.
const loadingGarbage = 300

// maxOwnBytes bounds a file of the team's own; a larger one is a mistake of path.
const maxOwnBytes = 4 << 20

// readOwn reads a file that a team keeps for itself; nil when the setting names none.
func readOwn(setting, what, path string) ([]byte, error) {
	if path == "" {
		return nil, nil
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, fmt.Errorf("the team's %s: %w; change the setting %s", what, err, setting)
	case info.IsDir():
		return nil, fmt.Errorf("the team's %s: %s is a folder; the setting %s must name a file", what, path, setting)
	case info.Size() > maxOwnBytes:
		return nil, fmt.Errorf("the team's %s: %s is larger than 4 MiB; is it the right file?", what, path)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("the team's %s: %w; change the setting %s", what, err, setting)
	}
	return text, nil
}

// mixOf is the mix as the engine takes it; a setting that the catalogue does not know is an error. An
// empty mix is nil: the default.
func mixOf(shares []config.Share) (map[string]float64, error) {
	if len(shares) == 0 {
		return nil, nil
	}
	known := metal.Load(data.Files(), &data.Faults{}).Mix // faults are reported when the engine is built
	mix := map[string]float64{}
	for _, share := range shares {
		if _, ok := known[share.Setting]; !ok {
			return nil, fmt.Errorf("mix: unknown setting %q; known: %s", share.Setting, strings.Join(slices.Sorted(maps.Keys(known)), " "))
		}
		mix[share.Setting] += share.Weight
	}
	return mix, nil
}

// openRecord opens the record of cases, and makes it when it is missing.
func openRecord(ctx context.Context, s config.Settings) (*record.Store, error) {
	store, err := record.Open(ctx, record.Settings{Path: s.Store.Path, URL: s.Store.URL.Reveal()})
	return store, withStatus(exitStore, err)
}

// openExistingRecord opens the record for reading; one that is missing is a mistake, not a new one.
func openExistingRecord(ctx context.Context, s config.Settings) (*record.Store, error) {
	if s.Store.URL == "" {
		if _, err := os.Stat(s.Store.Path); errors.Is(err, fs.ErrNotExist) {
			return nil, withStatus(exitStore, fmt.Errorf("there is no record %s; name it with --store-path", s.Store.Path))
		}
	}
	return openRecord(ctx, s)
}

// open builds everything that a conversation needs. The record is the caller's to close.
func (p *program) open(ctx context.Context, s config.Settings) (*conversation.Door, *record.Store, error) {
	e, err := newEngine(s)
	if err != nil {
		return nil, nil, err
	}
	store, err := openRecord(ctx, s)
	if err != nil {
		return nil, nil, err
	}
	return conversation.New(talker{e}, store, conversation.Options{Units: s.Units}), store, nil
}

// checkAll builds everything with the settings and asks the record.
func (p *program) checkAll(ctx context.Context, s config.Settings) error {
	_, store, err := p.open(ctx, s)
	if err != nil {
		return err
	}
	return withStatus(exitStore, errors.Join(store.Check(ctx), store.Close()))
}
