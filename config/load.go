package config

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/go-viper/mapstructure/v2"
	"github.com/spf13/pflag"
	"github.com/spf13/viper"
)

// maxFileBytes bounds a settings or secret file; a larger one is a mistake of path.
const maxFileBytes = 1 << 20

// AddFlags adds a flag for every setting that has one.
func AddFlags(flags *pflag.FlagSet) {
	for _, k := range Keys {
		if k.Flag {
			flags.String(k.FlagName(), fmt.Sprint(k.Default), help(k))
		}
	}
}

func help(k Key) string {
	if k.Words == nil {
		return k.Help
	}
	return k.Help + ": " + strings.Join(k.Words, ", ")
}

// Load gathers the settings: a flag beats the environment, the environment the file, the file the default.
// An empty path means no file; flags may be nil. The error holds every fault, a line each.
func Load(path string, flags *pflag.FlagSet) (Settings, error) {
	var faults faults
	v := viper.New()
	v.SetEnvPrefix(EnvPrefix)
	v.SetEnvKeyReplacer(strings.NewReplacer(".", "_"))
	v.AutomaticEnv()
	for _, k := range Keys {
		v.SetDefault(k.Name, k.Default)
		if flag := lookup(flags, k); flag != nil {
			_ = v.BindPFlag(k.Name, flag) // fails only on a nil flag
		}
	}
	readFile(v, path, &faults)
	var s Settings
	decode(v, &s, path, &faults)
	s.readSecrets(&faults)
	s.check(&faults)
	s.Warnings = unknownVariables(os.Environ())
	return s, faults.err()
}

func lookup(flags *pflag.FlagSet, k Key) *pflag.Flag {
	if flags == nil || !k.Flag {
		return nil
	}
	return flags.Lookup(k.FlagName())
}

func readFile(v *viper.Viper, path string, faults *faults) {
	if path == "" {
		return
	}
	text, err := readSmall(path)
	if err != nil {
		faults.add("%v", err)
		return
	}
	v.SetConfigType("yaml")
	if err := v.ReadConfig(strings.NewReader(text)); err != nil {
		why := err
		if inner := errors.Unwrap(err); inner != nil {
			why = inner
		}
		faults.add("%s: %v; the file is YAML, one \"key: value\" a line", path, why)
	}
}

// decode fills s. Unknown keys are found by the decoder itself, those inside the lists too.
func decode(v *viper.Viper, s *Settings, path string, faults *faults) {
	var seen mapstructure.Metadata
	err := v.Unmarshal(s, func(c *mapstructure.DecoderConfig) {
		c.Metadata = &seen // as strict as UnmarshalExact, but each unknown key gets its nearest known one below
		c.DecodeHook = mapstructure.ComposeDecodeHookFunc(splitMix, mapstructure.StringToSliceHookFunc(","))
	})
	known := make([]string, len(Keys))
	for i, k := range Keys {
		known[i] = k.Name
	}
	unused := append(seen.Unused, v.AllKeys()...) // the decoder forgets the unused keys when it found a fault
	slices.Sort(unused)
	for _, key := range slices.Compact(unused) {
		if slices.Contains(known, key) {
			continue
		}
		faults.add("%s: unknown key %s%s", path, key, nearest(key, append(known, "mix.setting", "mix.weight")))
	}
	for _, fault := range split(err) {
		faults.add("%s", plain(fault))
	}
}

// splitMix lets the mix be told in one line: construction:0.5,sawmill:0.5.
func splitMix(from, to reflect.Type, value any) (any, error) {
	text, isText := value.(string)
	if !isText || to != reflect.TypeFor[[]Share]() {
		return value, nil
	}
	shares := []Share{}
	for _, part := range strings.Split(text, ",") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		setting, weight, _ := strings.Cut(part, ":")
		w, err := strconv.ParseFloat(strings.TrimSpace(weight), 64)
		if err != nil {
			return nil, fmt.Errorf("%q has no weight; write setting:weight, as in sawmill:0.5", part)
		}
		shares = append(shares, Share{strings.TrimSpace(setting), w})
	}
	return shares, nil
}

// split parts a joined decoding error into its faults.
func split(err error) []error {
	if err == nil {
		return nil
	}
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		var all []error
		for _, one := range joined.Unwrap() {
			all = append(all, split(one)...)
		}
		return all
	}
	if inner := errors.Unwrap(err); inner != nil {
		if _, named := err.(*mapstructure.DecodeError); !named {
			return split(inner)
		}
	}
	return []error{err}
}

// plain words a decoding fault for people: the key, what is wrong, and what it takes.
func plain(err error) string {
	var at *mapstructure.DecodeError
	if !errors.As(err, &at) {
		return err.Error()
	}
	var wrong *mapstructure.UnconvertibleTypeError
	if errors.As(err, &wrong) {
		return fmt.Sprintf("%s: %v is not %s", at.Name(), wrong.Value, kindName(wrong.Expected.Type()))
	}
	var unread *mapstructure.ParseError
	if errors.As(err, &unread) {
		return fmt.Sprintf("%s: %v is not %s", at.Name(), unread.Value, kindName(unread.Expected.Type()))
	}
	return fmt.Sprintf("%s: %v", at.Name(), at.Unwrap())
}

func kindName(t reflect.Type) string {
	switch t.Kind() {
	case reflect.String:
		return "a word"
	case reflect.Float64:
		return "a number"
	case reflect.Slice:
		return "a list"
	case reflect.Struct:
		return "a group of settings"
	}
	return "of the kind that this key takes"
}

func (s *Settings) readSecrets(faults *faults) {
	read := func(key string, into *Secret, path string) {
		if path == "" {
			return
		}
		if *into != "" {
			faults.add("%s and %s_file are both set; keep one", key, key)
			return
		}
		text, err := readSmall(path)
		if err != nil {
			faults.add("%s_file: %v", key, err)
			return
		}
		if *into = Secret(strings.TrimSpace(text)); *into == "" {
			faults.add("%s_file: %s is empty", key, path)
		}
	}
	read("slack.bot_token", &s.Slack.BotToken, s.Slack.BotTokenFile)
	read("slack.app_token", &s.Slack.AppToken, s.Slack.AppTokenFile)
}

func (s *Settings) check(faults *faults) {
	for _, k := range Keys {
		if word := k.print(*s); k.Words != nil && !slices.Contains(k.Words, word) {
			faults.add("%s: unknown word %q; known: %s", k.Name, word, strings.Join(k.Words, " "))
		}
	}
	for i, share := range s.Mix {
		if share.Setting == "" {
			faults.add("mix: entry %d names no setting", i+1)
		}
		if !(share.Weight > 0) || math.IsInf(share.Weight, 0) {
			faults.add("mix: the weight of %q is %v; it must be above 0", share.Setting, share.Weight)
		}
	}
	if s.Store.URL == "" && s.Store.Path == "" {
		faults.add("store.path: is empty; name a file, or a database in store.url")
	}
	if url := s.Store.URL.Reveal(); url != "" && !strings.HasPrefix(url, "postgres://") && !strings.HasPrefix(url, "postgresql://") {
		faults.add("store.url: must start with postgres:// (for a file use store.path)")
	}
	if !strings.HasPrefix(s.Slack.Command, "/") {
		faults.add("slack.command: %q must start with a stroke, as in /rodcall", s.Slack.Command)
	}
}

// unknownVariables warns of RODCALL_ variables that set nothing. They do not stop the start: a container
// platform may add some of its own for a service of this name.
func unknownVariables(environment []string) []string {
	var known, unknown []string
	for _, k := range Keys {
		known = append(known, k.EnvName())
	}
	for _, entry := range environment {
		name, _, _ := strings.Cut(entry, "=")
		if strings.HasPrefix(name, EnvPrefix+"_") && !slices.Contains(known, name) && !strings.HasPrefix(name, EnvPrefix+"_TEST_") {
			unknown = append(unknown, name)
		}
	}
	slices.Sort(unknown)
	for i, name := range unknown {
		unknown[i] = fmt.Sprintf("the environment variable %s is no setting%s", name, nearest(name, known))
	}
	return unknown
}

func readSmall(path string) (string, error) {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("%s: there is no such file", path)
	}
	if err != nil {
		return "", err
	}
	if info.IsDir() {
		return "", fmt.Errorf("%s: is a folder, not a file", path)
	}
	if info.Size() > maxFileBytes {
		return "", fmt.Errorf("%s: is larger than 1 MiB", path)
	}
	text, err := os.ReadFile(path)
	return string(text), err
}

// faults collects what is wrong, so that one start reports everything.
type faults []string

func (f *faults) add(format string, args ...any) { *f = append(*f, fmt.Sprintf(format, args...)) }

func (f faults) err() error {
	switch len(f) {
	case 0:
		return nil
	case 1:
		return errors.New("settings: " + f[0])
	}
	return fmt.Errorf("settings: %d faults:\n  %s", len(f), strings.Join(f, "\n  "))
}
