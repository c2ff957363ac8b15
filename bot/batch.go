package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"runtime"
	"sync"
	"unicode/utf8"
)

// Bounds of the batch interface: a longer line or text is answered with an error line.
const (
	maxLineBytes = 1 << 20
	maxTextBytes = 16 << 10
)

// A chunk of lines travels through the workers together; these bound its size, and so the memory of a run.
const (
	chunkLines = 32
	chunkBytes = 64 << 10
	keptBytes  = 256 << 10 // a buffer that one huge line has stretched beyond this is given back
	readAhead  = 128 << 10
)

// request is one line of input; a command takes from it what it needs. Keys that no command knows are
// labels of the sender and are ignored.
type request struct {
	ID          json.RawMessage `json:"id"`
	Text        *string         `json:"text"`
	Observation json.RawMessage `json:"observation"`
	Formula     json.RawMessage `json:"formula"`
	Inputs      json.RawMessage `json:"inputs"`
}

// failure is the answer to a bad line.
type failure struct {
	ID    json.RawMessage `json:"id"`
	Error string          `json:"error"`
}

// answer computes what one line gets. The value is printed as one line of JSON, the error as a failure.
// It is called by several workers at once.
type answer func(request) (any, error)

// line is one line of input as far as it was kept.
type line struct {
	from, to int // place in the chunk's input
	tooLong  bool
}

// chunk is some lines and, once done has fired, their answers.
type chunk struct {
	in     []byte
	lines  []line
	out    bytes.Buffer
	failed bool
	done   chan struct{}
}

// batch answers JSON Lines by JSON Lines in their order, on every core, at constant memory: the number of
// chunks on the way is fixed, and reading waits while all are taken. It reports whether some line failed;
// the error is one of reading or writing, after which the run cannot go on.
func batch(in io.Reader, out io.Writer, reply answer) (failed bool, err error) {
	workers := runtime.GOMAXPROCS(0)
	chunks := workers + 2 // one with each worker, one being read, one being written
	free, work, order := make(chan *chunk, chunks), make(chan *chunk, chunks), make(chan *chunk, chunks)
	for range chunks {
		free <- &chunk{done: make(chan struct{}, 1)}
	}
	var readErr error
	stop := make(chan struct{})
	go func() {
		defer close(work)
		defer close(order)
		readErr = readChunks(bufio.NewReaderSize(in, readAhead), free, work, order, stop)
	}()
	var running sync.WaitGroup
	for range workers {
		running.Go(func() { answerChunks(work, reply) })
	}
	for c := range order {
		<-c.done
		failed = failed || c.failed
		if _, err := out.Write(c.out.Bytes()); err != nil {
			close(stop)
			return failed, fmt.Errorf("writing the answers: %w", err)
		}
		c.reset()
		free <- c
	}
	running.Wait()
	return failed, readErr
}

// readChunks fills free chunks and hands each to the workers and, in the order of reading, to the writer.
func readChunks(r *bufio.Reader, free, work, order chan *chunk, stop chan struct{}) error {
	skipByteOrderMark(r)
	for {
		var c *chunk
		select {
		case c = <-free:
		case <-stop:
			return nil
		}
		err := c.fill(r)
		if len(c.lines) > 0 {
			order <- c
			work <- c
		} else {
			free <- c
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("reading the lines: %w", err)
		}
	}
}

func skipByteOrderMark(r *bufio.Reader) {
	if mark, _ := r.Peek(3); bytes.Equal(mark, []byte("\xef\xbb\xbf")) {
		_, _ = r.Discard(3) // three bytes are there
	}
}

// fill takes lines until the chunk is full or the next line has not wholly arrived: a sender who waits
// for his answer before he sends the next line must get it.
func (c *chunk) fill(r *bufio.Reader) error {
	for {
		err := c.takeLine(r)
		if err != nil || len(c.lines) == chunkLines || len(c.in) >= chunkBytes || !lineWaits(r) {
			return err
		}
	}
}

func lineWaits(r *bufio.Reader) bool {
	waiting, _ := r.Peek(r.Buffered())
	return bytes.IndexByte(waiting, '\n') >= 0
}

// takeLine appends one line to the chunk, blank ones left out. Of a line that is too long only the
// beginning is kept, where its id may stand; the rest is read past without being held.
func (c *chunk) takeLine(r *bufio.Reader) error {
	from, size := len(c.in), 0
	for {
		part, err := r.ReadSlice('\n')
		if err == nil {
			part = part[:len(part)-1]
		}
		size += len(part)
		if size <= maxLineBytes {
			c.in = append(c.in, part...)
		}
		if errors.Is(err, bufio.ErrBufferFull) {
			continue
		}
		if size > maxLineBytes || len(bytes.TrimSpace(c.in[from:])) > 0 {
			c.lines = append(c.lines, line{from: from, to: len(c.in), tooLong: size > maxLineBytes})
		}
		return err
	}
}

func (c *chunk) reset() {
	c.lines, c.in, c.failed = c.lines[:0], c.in[:0], false
	c.out.Reset()
	if cap(c.in) > keptBytes {
		c.in = nil
	}
	if c.out.Cap() > 4*keptBytes {
		c.out = bytes.Buffer{}
	}
}

func answerChunks(work <-chan *chunk, reply answer) {
	for c := range work {
		encoder := json.NewEncoder(&c.out)
		encoder.SetEscapeHTML(false)
		for _, l := range c.lines {
			if !answerLine(encoder, &c.out, c.in[l.from:l.to], l.tooLong, reply) {
				c.failed = true
			}
		}
		c.done <- struct{}{}
	}
}

// answerLine writes exactly one line, and reports whether it is a good one.
func answerLine(encoder *json.Encoder, out *bytes.Buffer, text []byte, tooLong bool, reply answer) bool {
	before := out.Len()
	r, value, err := answerOne(text, tooLong, reply)
	if err == nil {
		if err = encoder.Encode(value); err == nil {
			return true
		}
		out.Truncate(before)
		err = fmt.Errorf("the answer cannot be printed: %w", err)
	}
	_ = encoder.Encode(failure{ID: r.ID, Error: err.Error()}) // a raw scalar and a text always encode
	return false
}

func answerOne(text []byte, tooLong bool, reply answer) (r request, value any, err error) {
	if tooLong {
		return request{ID: salvageID(text)}, nil, errors.New("the line is over 1 MiB; split it")
	}
	if r, err = parseRequest(text); err != nil {
		return r, nil, err
	}
	if r.Text != nil && len(*r.Text) > maxTextBytes {
		return r, nil, fmt.Errorf("text is %d bytes long; at most %d are read", len(*r.Text), maxTextBytes)
	}
	defer func() {
		// A fault of the program on one line must not cost the other lines their answers.
		if fault := recover(); fault != nil {
			value, err = nil, fmt.Errorf("this line met a fault of the program: %v; please report it", fault)
		}
	}()
	value, err = reply(r)
	return r, value, err
}

func parseRequest(text []byte) (request, error) {
	var r request
	err := json.Unmarshal(text, &r)
	var mismatch *json.UnmarshalTypeError
	switch {
	case errors.As(err, &mismatch) && mismatch.Field == "":
		return request{}, fmt.Errorf("a line must be a JSON object, not %s", article(mismatch.Value))
	case errors.As(err, &mismatch):
		err = fmt.Errorf("%s must be a string, not %s", mismatch.Field, article(mismatch.Value))
	case err != nil:
		return request{ID: salvageID(text)}, fmt.Errorf("not a JSON object: %w", err)
	case bytes.Equal(bytes.TrimSpace(text), []byte("null")):
		return request{}, errors.New("a line must be a JSON object, not null")
	}
	id, scalar := echo(r.ID)
	r.ID = id
	if err == nil && !scalar {
		err = errors.New("id must be a string, a number, true, false or null")
	}
	return r, err
}

func article(jsonKind string) string {
	if jsonKind == "array" || jsonKind == "object" {
		return "an " + jsonKind
	}
	return "a " + jsonKind
}

// echo gives an id back byte by byte, so that a large number keeps its digits. What is no scalar becomes
// null.
func echo(id json.RawMessage) (scalar json.RawMessage, ok bool) {
	if len(id) > 0 && (id[0] == '{' || id[0] == '[') {
		return nil, false
	}
	if !utf8.Valid(id) {
		return bytes.ToValidUTF8(id, []byte("\ufffd")), true
	}
	return id, true
}

// salvageID finds the id of a line that is broken or cut further on; nil when it does not stand before
// the break.
func salvageID(text []byte) json.RawMessage {
	d := json.NewDecoder(bytes.NewReader(text))
	if token, err := d.Token(); err != nil || token != json.Delim('{') {
		return nil
	}
	for {
		key, err := d.Token()
		if err != nil {
			return nil
		}
		var value json.RawMessage
		if err := d.Decode(&value); err != nil {
			return nil
		}
		if key == "id" {
			id, _ := echo(value)
			return id
		}
	}
}
