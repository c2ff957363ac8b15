package formula

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
)

// documented is the comment that stands at a formula's declaration, by id.
func documented(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	names, err := fs.Glob(os.DirFS("."), "*.go")
	require.NoError(t, err)
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ParseComments)
		require.NoError(t, err)
		for _, decl := range file.Decls {
			if id := formulaID(decl); id != "" {
				out[id] = strings.Join(strings.Fields(comment(decl)), " ")
			}
		}
	}
	return out
}

func comment(decl ast.Decl) string {
	switch d := decl.(type) {
	case *ast.GenDecl:
		return d.Doc.Text()
	case *ast.FuncDecl:
		return d.Doc.Text()
	}
	return ""
}

// formulaID is the ID field of the Formula that a declaration holds; "" when it holds none.
func formulaID(decl ast.Decl) (id string) {
	ast.Inspect(decl, func(n ast.Node) bool {
		literal, ok := n.(*ast.CompositeLit)
		if !ok {
			return true
		}
		if name, ok := literal.Type.(*ast.Ident); !ok || name.Name != "Formula" {
			return true
		}
		for _, element := range literal.Elts {
			pair, ok := element.(*ast.KeyValueExpr)
			if !ok {
				continue
			}
			if key, ok := pair.Key.(*ast.Ident); !ok || key.Name != "ID" {
				continue
			}
			if value, ok := pair.Value.(*ast.BasicLit); ok {
				id = strings.Trim(value.Value, `"`)
			}
		}
		return true
	})
	return id
}

func TestEveryFormulaIsExplainedWithTheRangeThatItDeclares(t *testing.T) {
	s := load(t)
	comments := documented(t)
	for _, f := range s.formulas {
		text := comments[f.ID]
		require.NotEmpty(t, text, "%s has no comment", f.ID)
		for _, part := range []string{"Inputs", "Range: ", "Source: ", "Rival: "} {
			require.Contains(t, text, part, "the comment of %s lacks a part", f.ID)
		}
		want := "Range: " + f.RangeText()
		require.Contains(t, text, want, "the comment of %s and its declared range differ", f.ID)
		rest := text[strings.Index(text, want)+len(want):]
		require.True(t, slices.ContainsFunc([]string{". ", " and "}, func(p string) bool { return strings.HasPrefix(rest, p) }),
			"the comment of %s says more of its range than %q", f.ID, want)
		if f.Unit != "" && f.Unit != "fraction" {
			first, _, _ := strings.Cut(text, ". ")
			require.Contains(t, first, " in "+f.Unit, "the first sentence of %s lacks its unit", f.ID)
		}
	}
}

func TestEveryFormulaSaysWhereItComesFromAndHowFirmlyItIsHeld(t *testing.T) {
	for _, f := range load(t).formulas {
		require.NotEmpty(t, f.Source, f.ID)
		require.Contains(t, data.MarkIDs, f.Mark, f.ID)
		for _, in := range f.Inputs {
			require.False(t, in.Bounded && in.Low >= in.High, "%s: %s", f.ID, in.Name)
			require.False(t, in.Default != 0 && in.Basis == "", "%s assumes %s without saying why", f.ID, in.Name)
		}
	}
}
