package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// echoed is what the answers of these tests hold: the line's own text.
type echoed struct {
	ID   json.RawMessage `json:"id"`
	Text string          `json:"text"`
}

func echoText(r request) (any, error) {
	if r.Text == nil {
		return nil, errors.New("text is missing")
	}
	return echoed{r.ID, *r.Text}, nil
}

func runBatch(t *testing.T, in string, reply answer) (lines []string, failed bool) {
	t.Helper()
	var out bytes.Buffer
	failed, err := batch(strings.NewReader(in), &out, reply)
	require.NoError(t, err)
	if out.Len() == 0 {
		return nil, failed
	}
	require.True(t, strings.HasSuffix(out.String(), "\n"))
	return strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n"), failed
}

func TestIDIsEchoedByteByByte(t *testing.T) {
	for _, id := range []string{`1`, `-0`, `12345678901234567890123`, `1e400`, `1.50`, `"a"`, `"<&>\u003c\ud83d\ude00 é"`, `true`, `false`, `null`, `""`} {
		lines, failed := runBatch(t, `{"id":`+id+`,"text":"x"}`, echoText)
		require.False(t, failed)
		require.Equal(t, []string{`{"id":` + id + `,"text":"x"}`}, lines)
		lines, failed = runBatch(t, `{"text":7,"id":`+id+`}`, echoText)
		require.True(t, failed)
		require.Equal(t, []string{`{"id":` + id + `,"error":"text must be a string, not a number"}`}, lines)
	}
	lines, _ := runBatch(t, `{"text":"no id"}`, echoText)
	require.Equal(t, []string{`{"id":null,"text":"no id"}`}, lines)
}

func TestBadLineIsAnsweredAndTheRunGoesOn(t *testing.T) {
	for bad, want := range map[string]string{
		`{"id":3,"text":"x"`:             `{"id":3,"error":"not a JSON object: unexpected end of JSON input"}`,
		`{"id":"k","text":"x"} trailing`: `{"id":"k","error":"not a JSON object: invalid character 't' after top-level value"}`,
		`hello`:                          `{"id":null,"error":"not a JSON object: invalid character 'h' looking for beginning of value"}`,
		`[1,2]`:                          `{"id":null,"error":"a line must be a JSON object, not an array"}`,
		`"text"`:                         `{"id":null,"error":"a line must be a JSON object, not a string"}`,
		`null`:                           `{"id":null,"error":"a line must be a JSON object, not null"}`,
		`{"id":{"a":1},"text":"x"}`:      `{"id":null,"error":"id must be a string, a number, true, false or null"}`,
		`{"id":[1],"text":"x"}`:          `{"id":null,"error":"id must be a string, a number, true, false or null"}`,
		`{"id":4}`:                       `{"id":4,"error":"text is missing"}`,
		`{"id":5,"text":["x"]}`:          `{"id":5,"error":"text must be a string, not an array"}`,
		`{"text":"x","id":`:              `{"id":null,"error":"not a JSON object: unexpected end of JSON input"}`,
	} {
		lines, failed := runBatch(t, `{"id":1,"text":"before"}`+"\n"+bad+"\n"+`{"id":2,"text":"after"}`+"\n", echoText)
		require.True(t, failed)
		require.Equal(t, []string{`{"id":1,"text":"before"}`, want, `{"id":2,"text":"after"}`}, lines)
	}
}

func TestLineEndsAndBlankLinesDoNotCount(t *testing.T) {
	lines, failed := runBatch(t, "\xef\xbb\xbf{\"id\":1,\"text\":\"a\"}\r\n\r\n   \n\n{\"id\":2,\"text\":\"b\"}", echoText)
	require.False(t, failed)
	require.Equal(t, []string{`{"id":1,"text":"a"}`, `{"id":2,"text":"b"}`}, lines)
	lines, failed = runBatch(t, "", echoText)
	require.False(t, failed)
	require.Empty(t, lines)
}

func TestTextOver16KiBAndLineOver1MiBAreErrors(t *testing.T) {
	full := strings.Repeat("x", maxTextBytes)
	lines, failed := runBatch(t, `{"id":1,"text":"`+full+`"}`+"\n"+`{"id":2,"text":"`+full+`x"}`, echoText)
	require.True(t, failed)
	require.Equal(t, `{"id":1,"text":"`+full+`"}`, lines[0])
	require.Equal(t, `{"id":2,"error":"text is 16385 bytes long; at most 16384 are read"}`, lines[1])

	pad := func(size int) string { // a line of exactly this many bytes
		head := `{"id":7,"text":"x","label":"`
		return head + strings.Repeat("y", size-len(head)-2) + `"}`
	}
	for _, end := range []string{"\n", ""} {
		lines, failed = runBatch(t, pad(maxLineBytes)+"\n"+pad(maxLineBytes+1)+"\n"+pad(5*maxLineBytes)+end, echoText)
		require.True(t, failed)
		require.Equal(t, []string{`{"id":7,"text":"x"}`, `{"id":7,"error":"the line is over 1 MiB; split it"}`,
			`{"id":7,"error":"the line is over 1 MiB; split it"}`}, lines)
	}
}

func TestFaultOfTheProgramCostsOnlyItsLine(t *testing.T) {
	lines, failed := runBatch(t, `{"id":1,"text":"a"}`+"\n"+`{"id":2,"text":"boom"}`+"\n"+`{"id":3,"text":"c"}`, func(r request) (any, error) {
		if *r.Text == "boom" {
			panic("index out of range")
		}
		return echoText(r)
	})
	require.True(t, failed)
	require.Len(t, lines, 3)
	require.Contains(t, lines[1], `{"id":2,"error":"this line met a fault of the program: index out of range`)
	lines, _ = runBatch(t, `{"id":1,"text":"a"}`, func(request) (any, error) { return func() {}, nil })
	require.Contains(t, lines[0], `"error":"the answer cannot be printed`)
}

// Lines that take different times still come out in their order.
func TestOrderOfTheInputIsKept(t *testing.T) {
	var in strings.Builder
	for i := range 5000 {
		fmt.Fprintf(&in, `{"id":%d,"text":"%d"}`+"\n", i, i)
	}
	lines, failed := runBatch(t, in.String(), func(r request) (any, error) {
		if rand.IntN(50) == 0 {
			time.Sleep(time.Millisecond)
		}
		return echoText(r)
	})
	require.False(t, failed)
	require.Len(t, lines, 5000)
	for i, line := range lines {
		require.Equal(t, fmt.Sprintf(`{"id":%d,"text":"%d"}`, i, i), line)
	}
}

// A sender who waits for each answer before he sends the next line gets it, half-sent next line or not.
func TestAnswerComesBeforeTheNextLineIsSent(t *testing.T) {
	in, send := io.Pipe()
	receive, out := io.Pipe()
	done := make(chan error, 1)
	go func() {
		_, err := batch(in, out, echoText)
		out.Close()
		done <- err
	}()
	_, err := io.WriteString(send, "{")
	require.NoError(t, err)
	buffer := make([]byte, 1000)
	for i := range 3 {
		_, err := fmt.Fprintf(send, "\"id\":%d,\"text\":\"x\"}\n{", i)
		require.NoError(t, err)
		n, err := receive.Read(buffer)
		require.NoError(t, err)
		require.Equal(t, fmt.Sprintf(`{"id":%d,"text":"x"}`+"\n", i), string(buffer[:n]))
	}
	go func() { _, _ = io.Copy(io.Discard, receive) }()
	require.NoError(t, send.Close())
	require.NoError(t, <-done)
}

// endless gives the same line again and again, without ever holding more than one.
type endless struct {
	line string
	left int
	rest string
}

func (e *endless) Read(p []byte) (int, error) {
	if e.rest == "" {
		if e.left == 0 {
			return 0, io.EOF
		}
		e.left, e.rest = e.left-1, e.line
	}
	n := copy(p, e.rest)
	e.rest = e.rest[n:]
	return n, nil
}

// peak counts what is written and notes the largest heap seen on the way.
type peak struct {
	lines int
	heap  uint64
}

func (p *peak) Write(b []byte) (int, error) {
	p.lines += bytes.Count(b, []byte("\n"))
	if p.lines%3000 < 40 {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		p.heap = max(p.heap, m.HeapInuse)
	}
	return len(b), nil
}

func TestMemoryDoesNotGrowWithTheInput(t *testing.T) {
	var before runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	var out peak
	failed, err := batch(&endless{line: `{"id":1,"text":"` + strings.Repeat("x", 2000) + "\"}\n", left: 60000}, &out, echoText)
	require.NoError(t, err)
	require.False(t, failed)
	require.Equal(t, 60000, out.lines)
	require.Less(t, out.heap, before.HeapInuse+(24<<20), "120 MB went through")

	// One line without an end: it is read past, not held.
	out = peak{}
	failed, err = batch(&endless{line: strings.Repeat("x", 1<<16), left: 4000}, &out, echoText)
	require.NoError(t, err)
	require.True(t, failed)
	require.Equal(t, 1, out.lines)
	require.Less(t, out.heap, before.HeapInuse+(24<<20), "250 MB went past")
}

type broken struct{ after int }

func (b *broken) Write(p []byte) (int, error) {
	if b.after -= len(p); b.after < 0 {
		return 0, errors.New("disk full")
	}
	return len(p), nil
}

func (b *broken) Read(p []byte) (int, error) {
	n := copy(p, `{"id":1,"text":"x"}`+"\n")
	return n, errors.New("cable pulled")
}

func TestFaultOfReadingOrWritingEndsTheRun(t *testing.T) {
	_, err := batch(&endless{line: `{"id":1,"text":"x"}` + "\n", left: 100000}, &broken{after: 5000}, echoText)
	require.ErrorContains(t, err, "writing the answers: disk full")
	var out bytes.Buffer
	_, err = batch(&broken{}, &out, echoText)
	require.ErrorContains(t, err, "reading the lines: cable pulled")
	require.Equal(t, `{"id":1,"text":"x"}`+"\n", out.String())
}

// However the reads fall, and whatever lines there are, each non-blank line gets one line of valid JSON.
func TestEveryLineGetsOneAnswerHoweverTheReadsFall(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kinds := []string{`{"id":%d,"text":"ok"}`, `{"id":%d,"text":"` + strings.Repeat("z", 20000) + `"}`, `{"id":%d`, `%d`, "\xff{%d", `{"id":%d,"text":"\ud800"}`}
		var in strings.Builder
		count := rapid.IntRange(0, 120).Draw(t, "lines")
		for i := range count {
			in.WriteString(fmt.Sprintf(kinds[rapid.IntRange(0, len(kinds)-1).Draw(t, "kind")], i) + "\n")
		}
		var out bytes.Buffer
		_, err := batch(&chopped{in.String(), rapid.IntRange(1, 5000).Draw(t, "step")}, &out, echoText)
		require.NoError(t, err)
		lines := strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
		if count == 0 {
			require.Empty(t, out.String())
			return
		}
		require.Len(t, lines, count)
		for i, line := range lines {
			var got struct{ ID any }
			require.NoError(t, json.Unmarshal([]byte(line), &got), line)
			if got.ID != nil {
				require.Equal(t, strconv.Itoa(i), fmt.Sprint(got.ID))
			}
		}
	})
}

type chopped struct {
	rest string
	step int
}

func (c *chopped) Read(p []byte) (int, error) {
	if c.rest == "" {
		return 0, io.EOF
	}
	n := copy(p[:min(len(p), c.step)], c.rest)
	c.rest = c.rest[n:]
	return n, nil
}

func FuzzBatchLine(f *testing.F) {
	for _, seed := range []string{`{"id":1,"text":"x"}`, `{"id":"a","observation":{"magnet":"none"}}`, `{`, `[]`, `{"id":{}}`, "\xff", `{"id":1e999}`} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		text = bytes.ReplaceAll(text, []byte("\n"), []byte(" "))
		var out bytes.Buffer
		_, err := batch(bytes.NewReader(text), &out, echoText)
		require.NoError(t, err)
		if out.Len() == 0 {
			return // a blank line
		}
		require.Equal(t, 1, bytes.Count(out.Bytes(), []byte("\n")))
		require.True(t, json.Valid(out.Bytes()), "%q", out.String())
	})
}

func BenchmarkBatch(b *testing.B) {
	line := `{"id":"case-1","text":"jaw liner off the crusher, no magnet, file skates, short dull red spark with few bursts"}` + "\n"
	b.ReportAllocs()
	b.ResetTimer()
	failed, err := batch(&endless{line: line, left: b.N}, io.Discard, echoText)
	require.NoError(b, err)
	require.False(b, failed)
}
