package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// room is one folder of the project and the rooms that it may import.
type room struct {
	path string
	may  []string
	why  string // what a forbidden arrow from here would break
}

// values are the rooms whose values the engine hands out.
var values = []string{"engine", "engine/observation", "engine/formula", "engine/metal", "engine/measure", "engine/data"}

// rooms are all rooms, lowest first. A folder below a listed one (reader/token) belongs to it.
var rooms = []room{
	{"config", nil, "settings know no other room; what a setting means stands where it is used"},
	{"engine/data", nil, "the table reader knows no metal"},
	{"engine/measure", []string{"engine/data"}, "units know no metal; hardness is converted by published tables, which data reads"},
	{"engine/metal", []string{"engine/data", "engine/measure"}, "what a metal is does not depend on how it is seen"},
	{"engine/formula", []string{"engine/data", "engine/measure", "engine/metal"}, "a formula knows no case and no odds"},
	{"engine/observation", []string{"engine/data", "engine/measure", "engine/metal"}, "what was seen is stated without judging it"},
	{"engine/reader", []string{"engine/observation", "engine/metal", "engine/measure", "engine/data"},
		"the reader knows words, not the odds of metals"},
	{"engine/identify", []string{"engine/observation", "engine/metal", "engine/measure", "engine/data"},
		"the odds know no text and no weld"},
	{"engine/safety", []string{"engine/observation", "engine/metal", "engine/data"},
		"a caution cannot depend on how a choice was made"},
	{"engine/filler", []string{"engine/data"}, "the table of classes does not know what a class is good for"},
	{"engine/quantity", []string{"engine/observation", "engine/filler", "engine/measure", "engine/data"},
		"how much metal a drawing takes does not depend on why it is laid"},
	{"engine/weld", []string{"engine/observation", "engine/quantity", "engine/filler", "engine/formula", "engine/metal", "engine/measure", "engine/data"},
		"the choice is made over the odds that it is handed, however they were found"},
	{"engine", []string{"engine/data", "engine/measure", "engine/metal", "engine/observation", "engine/formula", "engine/reader", "engine/identify",
		"engine/safety", "engine/weld"}, "the engine knows no surface, no setting file and no record"},
	{"bot/reply", values, "a reply is made from the judgment alone, without markup of a surface"},
	{"bot/conversation", append([]string{"bot/reply"}, values...), "the conversation knows neither Slack nor the terminal nor SQL"},
	{"bot/record", append([]string{"bot/conversation", "bot/reply"}, values...), "adapters never know each other"},
	{"bot/terminal", append([]string{"bot/conversation", "bot/reply"}, values...), "adapters never know each other"},
	{"bot/slack", append([]string{"bot/conversation", "bot/reply"}, values...), "adapters never know each other"},
}

// purity lists what no file of the engine may import, each with its reason. What it may import of the
// file world is embed and io/fs; sync is allowed, since a pool of scratch memory changes no answer.
var purity = map[string]string{
	"os": "opens files and reads the environment", "os/exec": "starts programs", "os/signal": "listens to the outside",
	"net": "talks to the outside", "time": "a clock gives another answer tomorrow", "math/rand": "chance gives another answer",
	"crypto/rand": "chance gives another answer", "log": "writes to the outside",
	"database/sql": "keeps state", "unsafe": "steps around the types", "syscall": "talks to the outside", "runtime": "depends on the machine",
	"path/filepath": "depends on the machine",
}

// source is one Go file of the project.
type source struct {
	folder, name string
	file         *ast.File
}

func sources(t *testing.T) (files []source, folders []string) {
	t.Helper()
	root := ".."
	err := filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		require.NoError(t, err)
		relative, err := filepath.Rel(root, path)
		require.NoError(t, err)
		relative = filepath.ToSlash(relative)
		if entry.IsDir() {
			if strings.HasPrefix(entry.Name(), ".") && relative != "." || entry.Name() == "node_modules" || entry.Name() == "testdata" {
				return filepath.SkipDir
			}
			folders = append(folders, relative)
			return nil
		}
		if !strings.HasSuffix(path, ".go") {
			return nil
		}
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		file, err := parser.ParseFile(token.NewFileSet(), path, text, parser.SkipObjectResolution)
		require.NoError(t, err)
		files = append(files, source{filepath.ToSlash(filepath.Dir(relative)), entry.Name(), file})
		return nil
	})
	require.NoError(t, err)
	return files, folders
}

// roomOf is the room that a folder belongs to: the longest listed path that it lies in. "bot" (main) and
// the engine's own folder hold no other folders.
func roomOf(folder string) (room, bool) {
	best := room{}
	for _, r := range rooms {
		inside := folder == r.path || r.path != "engine" && strings.HasPrefix(folder, r.path+"/")
		if inside && len(r.path) > len(best.path) {
			best = r
		}
	}
	return best, best.path != ""
}

func imports(f *ast.File) []string {
	var all []string
	for _, spec := range f.Imports {
		path, err := strconv.Unquote(spec.Path.Value)
		if err == nil {
			all = append(all, path)
		}
	}
	return all
}

// forbidden is why a folder must not import another of the project; "" when it may.
func forbidden(from, to string) string {
	if from == "bot" {
		return "" // main joins everything
	}
	if to == "bot" {
		return "nothing imports main"
	}
	f, ok := roomOf(from)
	if !ok {
		return "the folder " + from + " is in no listed room; list it in arrows_test.go with what it may import"
	}
	t, ok := roomOf(to)
	if !ok {
		return "the folder " + to + " is in no listed room"
	}
	if f.path == t.path || slices.Contains(f.may, t.path) {
		return ""
	}
	return f.why
}

func TestRoomsImportOnlyAlongTheArrows(t *testing.T) {
	files, _ := sources(t)
	require.NotEmpty(t, files)
	for _, s := range files {
		for _, path := range imports(s.file) {
			to, ours := strings.CutPrefix(path, "rodcall/")
			if !ours {
				continue
			}
			if strings.HasSuffix(s.name, "_test.go") && testMay(s.folder, to) {
				continue
			}
			if why := forbidden(s.folder, to); why != "" {
				t.Errorf("%s/%s imports %s: %s", s.folder, s.name, to, why)
			}
		}
	}
}

// testMay says which further arrows a test may have: tests of a surface run against its fake, tests of the
// bot on the whole engine, and those of a room of the engine beside its sisters. None of it is in the
// binary.
func testMay(from, to string) bool {
	return strings.HasPrefix(from, "bot/") && (to == "bot/slack/fakeslack" || strings.HasPrefix(to, "engine")) ||
		strings.HasPrefix(from, "engine/") && strings.HasPrefix(to, "engine/")
}

func TestEveryListedRoomIsThere(t *testing.T) {
	files, _ := sources(t)
	for _, r := range rooms {
		require.True(t, slices.ContainsFunc(files, func(s source) bool {
			return s.folder == r.path || strings.HasPrefix(s.folder, r.path+"/")
		}), "the room %s is gone; mend the list, so that its arrows stay watched", r.path)
	}
}

func TestForbiddenArrowsAreSeen(t *testing.T) {
	for _, arrow := range [][2]string{
		{"engine/safety", "engine/weld"}, {"engine/reader", "engine/identify"}, {"engine/reader/token", "engine/identify"},
		{"engine/data", "engine/metal"}, {"bot/slack", "bot/record"}, {"bot/reply", "bot/conversation"}, {"engine", "bot/reply"},
		{"engine/weld", "engine"}, {"engine/quantity", "engine/weld"}, {"bot/conversation", "bot/slack/fakeslack"}, {"bot/terminal", "bot"}, {"config", "engine"}, {"util", "engine"},
	} {
		require.NotEmpty(t, forbidden(arrow[0], arrow[1]), "%s -> %s", arrow[0], arrow[1])
	}
	for _, arrow := range [][2]string{{"bot", "bot/slack"}, {"bot/slack", "bot/slack/fakeslack"}, {"engine", "engine/weld"}, {"bot/reply", "engine"}} {
		require.Empty(t, forbidden(arrow[0], arrow[1]), "%s -> %s", arrow[0], arrow[1])
	}
}

func TestEngineTouchesNothingOutsideItself(t *testing.T) {
	files, _ := sources(t)
	for _, s := range files {
		if s.folder != "engine" && !strings.HasPrefix(s.folder, "engine/") || strings.HasSuffix(s.name, "_test.go") || forTests(s.folder) {
			continue
		}
		for _, fault := range impurities(s.file) {
			t.Errorf("%s/%s %s", s.folder, s.name, fault)
		}
	}
}

// impurities lists what a pure file must not hold: imports of the outside, goroutines, channels.
func impurities(f *ast.File) []string {
	var faults []string
	for _, path := range imports(f) {
		for _, prefix := range []string{path, strings.SplitN(path, "/", 2)[0], strings.TrimSuffix(path, "/v2")} {
			if why, bad := purity[prefix]; bad {
				faults = append(faults, "imports "+path+": "+why)
				break
			}
		}
		if first := strings.SplitN(path, "/", 2)[0]; strings.Contains(first, ".") {
			faults = append(faults, "imports "+path+": the engine needs nothing but the standard library")
		}
	}
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt:
			faults = append(faults, "starts a goroutine")
		case *ast.ChanType:
			faults = append(faults, "uses a channel")
		case *ast.FuncDecl:
			if n.Name.Name == "init" && n.Recv == nil {
				faults = append(faults, "has an init function: load in New, where faults can be reported")
			}
		}
		return true
	})
	return faults
}

func TestImpurityIsSeen(t *testing.T) {
	for _, text := range []string{
		"package a\nimport \"os\"", "package a\nimport \"net/http\"", "package a\nimport \"math/rand/v2\"", "package a\nimport \"log/slog\"",
		"package a\nimport \"time\"", "package a\nfunc f() { go f() }", "package a\nvar c chan int", "package a\nfunc init() {}",
		"package a\nimport \"github.com/spf13/viper\"",
	} {
		f, err := parser.ParseFile(token.NewFileSet(), "a.go", text, 0)
		require.NoError(t, err)
		require.NotEmpty(t, impurities(f), text)
	}
	f, err := parser.ParseFile(token.NewFileSet(), "a.go", "package a\nimport (\"embed\"; \"io/fs\"; \"math\"; \"strings\")", 0)
	require.NoError(t, err)
	require.Empty(t, impurities(f))
}

// forTests holds for the folders that only tests use.
func forTests(folder string) bool {
	return strings.HasSuffix(folder, "/fakeslack") || strings.HasSuffix(folder, "/datatest")
}

// The binary must not hold what only tests need.
func TestNothingOfTheTestsIsInTheBinary(t *testing.T) {
	files, _ := sources(t)
	for _, s := range files {
		if strings.HasSuffix(s.name, "_test.go") || forTests(s.folder) {
			continue
		}
		for _, path := range imports(s.file) {
			bad := path == "testing" || strings.HasPrefix(path, "testing/") || strings.Contains(path, "testify") ||
				forTests(path) || strings.Contains(path, "rapid") || strings.Contains(path, "testscript")
			require.False(t, bad, "%s/%s imports %s", s.folder, s.name, path)
		}
	}
}
