// Package datatest serves the project's tables with one of them changed, for tests of what a bad row is told.
package datatest

import (
	"io/fs"
	"strings"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"rodcall/engine/data"
)

// patched is the project's tables with another file in the place of one.
type patched struct {
	fs.FS
	name    string
	content fstest.MapFS
}

// Open opens a table.
func (p patched) Open(name string) (fs.File, error) {
	if name == p.name {
		return p.content.Open(name)
	}
	return p.FS.Open(name)
}

// With is the project's tables with a text in the place of one of them.
func With(name, text string) fs.FS {
	return patched{data.Files(), name, fstest.MapFS{name: {Data: []byte(text)}}}
}

// Patch is the project's tables with the first occurrence of old in one of them replaced; the test fails when it does
// not occur.
func Patch(t require.TestingT, name, old, new string) fs.FS {
	text, err := fs.ReadFile(data.Files(), name)
	require.NoError(t, err)
	require.Contains(t, string(text), old)
	return With(name, strings.Replace(string(text), old, new, 1))
}
