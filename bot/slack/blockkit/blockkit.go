// Package blockkit checks a message's blocks against Slack's limits before Slack does. The compiler and the
// types of Slack's own packages see the shape of a block, not its sizes; this sees the sizes. It reads the
// JSON that would be sent, so it judges what Slack would judge.
//
// The limits are those of the documentation comments in @slack/types 3.2.0. The sum over a message is not
// documented: messages of 11,341 counted characters have been refused, so Budget stays well below.
package blockkit

import (
	"encoding/json"
	"fmt"
	"strings"
	"unicode/utf8"

	slackgo "github.com/slack-go/slack"
)

const (
	Budget  = 9_000  // characters of all texts of a message that we allow ourselves
	Refused = 12_000 // about where Slack answers msg_blocks_too_long

	maxBlocks, maxFields, maxContext, maxActions = 50, 10, 10, 25
	maxText, maxField, maxHeader, maxButton      = 3000, 2000, 150, 75
	maxValue, maxURL, maxID, maxAlt, maxMarkdown = 2000, 3000, 255, 2000, 12_000
	maxOptions, maxOption, maxOverflow           = 100, 75, 5
)

// Error codes, as Slack names them.
const (
	InvalidBlocks = "invalid_blocks"
	TooLong       = "msg_blocks_too_long"
)

// Error is the first thing that Slack would refuse.
type Error struct {
	Code string // InvalidBlocks or TooLong
	At   string // where, as blocks[1].elements[0].text
	What string // what is wrong, with the limit
}

func (e *Error) Error() string { return e.Code + ": " + e.At + ": " + e.What }

// Check returns an *Error when Slack would refuse the blocks, or when their texts are over Budget.
func Check(blocks []slackgo.Block) error {
	raw, err := json.Marshal(blocks)
	if err != nil {
		return &Error{Code: InvalidBlocks, At: "blocks", What: err.Error()}
	}
	return CheckJSON(raw, Budget)
}

// CheckJSON is Check on the wire form, with a sum of the caller's.
func CheckJSON(raw []byte, budget int) error {
	var blocks []any
	if err := json.Unmarshal(raw, &blocks); err != nil {
		return &Error{Code: InvalidBlocks, At: "blocks", What: "not a list of blocks"}
	}
	c := &checker{blockIDs: map[string]bool{}, actionIDs: map[string]bool{}}
	if len(blocks) == 0 || len(blocks) > maxBlocks {
		c.fault("blocks", "%d blocks, must be 1 to %d", len(blocks), maxBlocks)
	}
	for i, block := range blocks {
		c.block(fmt.Sprintf("blocks[%d]", i), block)
	}
	if c.first == nil && c.sum > budget {
		return &Error{Code: TooLong, At: "blocks", What: fmt.Sprintf("%d characters in all, at most %d", c.sum, budget)}
	}
	if c.first != nil {
		return c.first
	}
	return nil
}

type object = map[string]any

type checker struct {
	first               *Error
	sum                 int
	blockIDs, actionIDs map[string]bool
}

func (c *checker) fault(at, format string, args ...any) {
	if c.first == nil {
		c.first = &Error{Code: InvalidBlocks, At: at, What: fmt.Sprintf(format, args...)}
	}
}

func (c *checker) block(at string, raw any) {
	b, ok := raw.(object)
	if !ok {
		c.fault(at, "not a block")
		return
	}
	c.id(at+".block_id", b["block_id"], c.blockIDs)
	switch kind := word(b["type"]); kind {
	case "section":
		c.section(at, b)
	case "header":
		c.text(at+".text", b["text"], maxHeader, "plain_text")
	case "context":
		c.each(at+".elements", b["elements"], 1, maxContext, c.contextElement)
	case "actions":
		c.each(at+".elements", b["elements"], 1, maxActions, c.element)
	case "rich_text":
		c.each(at+".elements", b["elements"], 1, 1000, c.richElement)
	case "image":
		c.image(at, b)
	case "markdown":
		c.length(at+".text", word(b["text"]), 1, maxMarkdown)
		c.sum += utf8.RuneCountInString(word(b["text"]))
	case "divider", "file", "video", "table", "input":
	default:
		c.fault(at+".type", "unknown block type %q", kind)
	}
}

func (c *checker) section(at string, b object) {
	if b["text"] == nil && b["fields"] == nil {
		c.fault(at, "a section needs text or fields")
	}
	if b["text"] != nil {
		c.text(at+".text", b["text"], maxText, "")
	}
	if b["fields"] != nil {
		c.each(at+".fields", b["fields"], 1, maxFields, func(at string, f any) { c.text(at, f, maxField, "") })
	}
	if b["accessory"] != nil {
		c.element(at+".accessory", b["accessory"])
	}
}

func (c *checker) contextElement(at string, raw any) {
	e, _ := raw.(object)
	if word(e["type"]) == "image" {
		c.image(at, e)
		return
	}
	c.text(at, raw, maxText, "")
}

func (c *checker) image(at string, b object) {
	c.length(at+".alt_text", word(b["alt_text"]), 1, maxAlt)
	if b["image_url"] == nil && b["slack_file"] == nil {
		c.fault(at, "an image needs image_url or slack_file")
	}
}

// element checks what stands in an actions block or beside a section.
func (c *checker) element(at string, raw any) {
	e, _ := raw.(object)
	kind := word(e["type"])
	if kind == "image" {
		c.image(at, e)
		return
	}
	c.id(at+".action_id", e["action_id"], c.actionIDs)
	switch {
	case kind == "button":
		c.button(at, e)
	case kind == "overflow":
		c.each(at+".options", e["options"], 1, maxOverflow, c.option)
	case kind == "static_select" || kind == "multi_static_select":
		if e["option_groups"] == nil {
			c.each(at+".options", e["options"], 1, maxOptions, c.option)
		}
	case kind == "radio_buttons" || kind == "checkboxes":
		c.each(at+".options", e["options"], 1, maxContext, c.option)
	case strings.HasSuffix(kind, "_select") || kind == "datepicker" || kind == "timepicker" || kind == "datetimepicker":
	default:
		c.fault(at+".type", "unknown element type %q", kind)
	}
}

func (c *checker) button(at string, e object) {
	c.text(at+".text", e["text"], maxButton, "plain_text")
	c.length(at+".value", word(e["value"]), 0, maxValue)
	c.length(at+".url", word(e["url"]), 0, maxURL)
	switch style := word(e["style"]); style {
	case "", "primary", "danger":
	default:
		c.fault(at+".style", "unknown style %q", style)
	}
}

func (c *checker) option(at string, raw any) {
	o, _ := raw.(object)
	c.text(at+".text", o["text"], maxOption, "")
	c.length(at+".value", word(o["value"]), 1, maxValue)
}

// richElement walks the tree of a rich_text block.
func (c *checker) richElement(at string, raw any) {
	e, _ := raw.(object)
	switch kind := word(e["type"]); kind {
	case "rich_text_section", "rich_text_preformatted", "rich_text_quote", "rich_text_list":
		c.each(at+".elements", e["elements"], 1, 1000, c.richElement)
	case "text":
		c.length(at+".text", word(e["text"]), 1, maxMarkdown)
		c.sum += utf8.RuneCountInString(word(e["text"]))
	case "user":
		c.length(at+".user_id", word(e["user_id"]), 1, maxID)
	case "link", "emoji", "channel", "usergroup", "broadcast", "date", "color", "team":
	default:
		c.fault(at+".type", "unknown rich text element %q", kind)
	}
}

// text checks a text object; kind is the only one allowed, empty for both.
func (c *checker) text(at string, raw any, most int, kind string) {
	t, ok := raw.(object)
	if !ok {
		c.fault(at, "must be a text object")
		return
	}
	got := word(t["type"])
	if (got != "plain_text" && got != "mrkdwn") || (kind != "" && got != kind) {
		c.fault(at+".type", "%q is not allowed here", got)
	}
	c.length(at+".text", word(t["text"]), 1, most)
	c.sum += utf8.RuneCountInString(word(t["text"]))
}

func (c *checker) each(at string, raw any, least, most int, check func(at string, one any)) {
	list, _ := raw.([]any)
	if len(list) < least || len(list) > most {
		c.fault(at, "%d of them, must be %d to %d", len(list), least, most)
	}
	for i, one := range list {
		check(fmt.Sprintf("%s[%d]", at, i), one)
	}
}

func (c *checker) length(at, text string, least, most int) {
	if n := utf8.RuneCountInString(text); n < least || n > most {
		c.fault(at, "%d characters, must be %d to %d", n, least, most)
	}
}

func (c *checker) id(at string, raw any, used map[string]bool) {
	id := word(raw)
	if id == "" {
		return
	}
	c.length(at, id, 1, maxID)
	if used[id] {
		c.fault(at, "%q stands twice in the message", id)
	}
	used[id] = true
}

func word(raw any) string {
	text, _ := raw.(string)
	return text
}
