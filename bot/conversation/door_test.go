package conversation

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"rodcall/bot/reply"
	"rodcall/engine/data"
)

// talk is a conversation in one thread.
type talk struct {
	t      require.TestingT
	door   *Door
	record *memory
	n      int
}

func newTalk(t require.TestingT) *talk {
	record := newMemory()
	return &talk{t: t, door: New(smallEngine{}, record, Options{Units: reply.Metric}), record: record}
}

func (k *talk) say(text string) string { return k.send(text, 0) }

func (k *talk) send(text string, files int) string {
	k.n++
	r, err := k.door.Handle(context.Background(), Message{ID: fmt.Sprint("m", k.n), Thread: "t", Author: "kai", Text: text, Files: files, At: time.Unix(1000, 0).UTC()})
	require.NoError(k.t, err, text)
	k.fits(r)
	return flat(r)
}

func (k *talk) fits(r reply.Reply) {
	require.NotEmpty(k.t, r.Lines)
	require.LessOrEqual(k.t, len(r.Actions), reply.MaxActions)
	for _, l := range r.Lines {
		require.LessOrEqual(k.t, reply.Width(l), reply.Columns, "%q", l)
	}
	require.LessOrEqual(k.t, len(r.Lines), reply.MaxLines, r.Text())
}

// flat is a reply on one line, as a person reads it.
func flat(r reply.Reply) string { return strings.Join(strings.Fields(r.Text()), " ") }

func (k *talk) open() Case {
	c, ok, err := k.record.OpenCase(context.Background(), "t")
	require.NoError(k.t, err)
	require.True(k.t, ok)
	return c
}

func TestAFirstMessageGetsACallAndAFurtherOneAddsToIt(t *testing.T) {
	k := newTalk(t)
	require.Contains(t, k.say("jaw plate worn"), "TEST FIRST. The metal is still open.")
	r := k.say("no magnet")
	require.True(t, strings.HasPrefix(r, "CHANGED: WELD, COLD. Almost surely"), r)
	require.Contains(t, r, "New: magnet none")
	require.Contains(t, r, "case 1:")
	r = k.say("file skates")
	require.True(t, strings.HasPrefix(r, "STILL WELD, COLD."), r)
	require.Contains(t, r, "New: file skates")
	require.Contains(t, k.say("no magnet"), "Nothing in that changes the facts.")
}

func TestACorrectionSaysWhatChangedAndUndoPutsItBack(t *testing.T) {
	k := newTalk(t)
	k.say("jaw plate, magnet strong, 1-1/2 in thick")
	before := k.open().Parts[0].Observation
	r := k.say("no wait slight pull")
	require.Contains(t, r, "CHANGED: TEST FIRST. Maybe cast steel, maybe")
	require.Contains(t, r, "Magnet strong -> slight")
	r = k.say("undo")
	require.Contains(t, r, "UNDONE: WELD.")
	require.Contains(t, r, "Magnet slight -> strong")
	require.Equal(t, before, k.open().Parts[0].Observation)
	require.Contains(t, k.say("undo"), "UNDONE: case 1 holds no facts now")
	require.Contains(t, k.say("undo"), "nothing to undo")
	require.Contains(t, k.say("why"), "No fact is told")
}

func TestSizesEchoTheRepsOwnUnitFirst(t *testing.T) {
	k := newTalk(t)
	k.say("jaw plate, magnet strong")
	require.Contains(t, k.say("1-1/2 in thick"), "thick 1-1/2 in (38.1 mm)")
}

func TestOneWordAnswersBindToTheOpenQuestion(t *testing.T) {
	for _, said := range []string{"yard", "1", "Yard!", "yard or field only", "its in the yard", "Yard, magnet strong"} {
		k := newTalk(t)
		require.Contains(t, k.say("trailer frame cracked, magnet strong"), "ONE QUESTION before I name a rod: Does it run on a public road?")
		r := k.say(said)
		require.Contains(t, r, "CHANGED: WELD.", said)
		require.Contains(t, r, `Taken as: "yard or field only"`, said)
		a := k.open().Parts[0].Answers
		require.Len(t, a, 1)
		require.Equal(t, "clears", a[0].Effect)
		require.Equal(t, "kai", a[0].By)
	}
	k := newTalk(t)
	k.say("trailer frame cracked, magnet strong")
	r := k.say("2")
	require.Contains(t, r, "CHANGED: STOP.")
	require.Contains(t, r, "Do not weld the frame of a road vehicle.")
	require.NotContains(t, r, "E7018")
}

func TestAQuestionIsPutOnceAndSkipNeverClearsItsStop(t *testing.T) {
	k := newTalk(t)
	k.say("trailer frame cracked, magnet strong")
	for _, said := range []string{"skip", "file bites", "can't", "again", "idk"} {
		r := k.say(said)
		require.NotContains(t, r, "Does it run on a public road?", said)
		require.Contains(t, r, "STOP.", said)
		require.NotContains(t, r, "E7018", said)
	}
	require.Contains(t, k.say("blue moon"), "I cannot match that to an answer. Say 1 yard")
	require.Contains(t, k.say("yard"), "CHANGED: WELD.", "it can still be answered later")
}

func TestNotSureIsAnAnswerWhereTheQuestionListsIt(t *testing.T) {
	k := newTalk(t)
	k.say("trailer frame cracked, magnet strong")
	require.Contains(t, k.say("not sure"), "STOP.")
	require.Equal(t, "keeps", k.open().Parts[0].Answers[0].Effect)
	require.Contains(t, k.say("yard"), "CHANGED: WELD.", "a better answer still binds")
	require.Len(t, k.open().Parts[0].Answers, 1)
}

func TestUndoDoesNotPutTheQuestionAgain(t *testing.T) {
	k := newTalk(t)
	k.say("trailer frame cracked")
	k.say("yard")
	r := k.say("undo")
	require.Contains(t, r, "UNDONE: STOP.")
	require.NotContains(t, r, "public road?")
	require.Contains(t, k.say("1"), `Taken as: "yard or field only"`)
}

func TestABareAnswerBindsToTheProposedTest(t *testing.T) {
	for said, want := range map[string]string{"just drags": "slight", "4": "none", "nothing": "none", "hangs": "strong"} {
		k := newTalk(t)
		k.say("jaw plate")
		k.say(said)
		require.Equal(t, want, k.open().Parts[0].Observation.Magnet, said)
	}
}

func TestANumberThatStandsForSeveralThingsIsAskedBack(t *testing.T) {
	k := newTalk(t)
	k.say("jaw plate")
	require.Contains(t, k.say("3"), "Which of them did you see: nothing / just drags?")
	require.Contains(t, k.say("just drags"), "New: magnet slight")
}

func TestCannotTakesTheNextTest(t *testing.T) {
	k := newTalk(t)
	require.Contains(t, k.say("jaw plate"), "magnet on it")
	r := k.say("can’t")
	require.Contains(t, r, "WITHOUT THE MAGNET: TEST FIRST.")
	require.Contains(t, r, "sharp file")
	r = k.say("cant do that, no file here")
	require.Contains(t, r, "No test that you can do here")
	require.Contains(t, k.say("can't"), "Nothing is open that you could pass over")
	require.Contains(t, k.say("undo"), "sharp file")
}

func TestTwoPartsInOneMessageStayApart(t *testing.T) {
	k := newTalk(t)
	r := k.say("adapter cracked, magnet yes. also pump shaft worn, stainless?")
	require.Contains(t, r, "TWO PARTS. I keep them apart: 1 tooth adapter: WELD. Very likely cast steel.")
	require.Contains(t, r, "2 pump shaft: TEST FIRST.")
	require.Contains(t, k.say("2 magnet none"), "CHANGED: 2 pump shaft: WELD, COLD.")
	require.Equal(t, "strong", k.open().Parts[0].Observation.Magnet)
	require.Contains(t, k.say("file bites"), "2 pump shaft", "words without a number go to the part spoken of last")
	require.Contains(t, k.say("steps 1"), "Part 1:")
	require.Contains(t, k.say("part 3 hoist hook"), "3 hoist hook: STOP.")
	require.Contains(t, k.say("part 5: jaw plate"), "There is no part 5 in this case: it has 3 parts")
	require.Contains(t, k.say("why 7"), "This case has 3 parts")
}

func TestNumberedLinesAreParts(t *testing.T) {
	k := newTalk(t)
	r := k.say("1 adapter cracked, magnet yes\n2 pump shaft worn\n  no magnet")
	require.Contains(t, r, "TWO PARTS")
	require.Equal(t, "none", k.open().Parts[1].Observation.Magnet)
	k = newTalk(t)
	k.say("2 teeth gone on the adapter")
	require.Len(t, k.open().Parts, 1, "a count is no part number")
	k.say("2 cracked places, magnet yes")
	require.Len(t, k.open().Parts, 1)
}

func TestNewStartsAnotherCase(t *testing.T) {
	k := newTalk(t)
	k.say("jaw plate, no magnet")
	require.Contains(t, k.say("new"), "Case 1 is closed and kept")
	require.Contains(t, k.say("why"), "No case is open here")
	require.Contains(t, k.say("adapter, magnet yes"), "case 2:")
	require.Contains(t, k.say("new: pump shaft worn"), "case 3:")
	require.Contains(t, k.say("new adapter cracked, magnet yes"), "case 4:")
	require.Contains(t, k.say("new rods: got 7018"), "case 4:", "a fact that begins with the word is a fact")
}

func TestDoneKeepsWhatWasReallyWelded(t *testing.T) {
	k := newTalk(t)
	k.say("adapter cracked, magnet yes")
	require.Contains(t, k.say("done with 7018, no heat"), "done with E7018, kept")
	done := k.open().Done
	require.Len(t, done, 1)
	require.Equal(t, []string{"E7018"}, done[0].Rods)
	require.Contains(t, k.say("done a magnet test, magnet none"), "CHANGED", "a test that was done is a fact")
}

func TestRodsAtHandAreFactsOfTheCase(t *testing.T) {
	k := newTalk(t)
	k.say("adapter cracked, magnet yes")
	r := k.say("got 7018 and 312")
	require.Contains(t, r, "New: at hand E7018, E312")
	require.Contains(t, r, "Rod E7018 (joint)")
}

func TestTheWordsLeadOnAndMoreGivesTheRest(t *testing.T) {
	k := newTalk(t)
	k.say("adapter cracked, magnet yes")
	r := k.say("steps")
	require.Contains(t, r, "1 step number 1")
	require.Contains(t, r, "more (1 lines left)")
	require.Contains(t, k.say("more"), "12 step number 12")
	require.Contains(t, k.say("more"), "There is no more to show")
	require.Contains(t, k.say("Why?"), "85% cast steel")
	require.Contains(t, k.say("rods"), "E7018, joint, SMAW: suits 90%")
	require.Contains(t, k.say("next"), "No test would change")
	require.Contains(t, k.say("preheat"), "150-200 C (300-390 F)")
	require.Contains(t, k.say("cautions"), "No caution of mine")
	require.Contains(t, k.say("avoid"), "Nothing special")
	require.Contains(t, k.say("facts"), "Magnet: strong")
	require.Contains(t, k.say("help"), "why - how sure")
	require.Contains(t, k.say("thanks"), "Case 1 is kept")
}

func TestAGreetingGetsTheFirstScreen(t *testing.T) {
	k := newTalk(t)
	for _, said := range []string{"hi", "Hello!", "HEY", "good morning"} {
		require.Contains(t, k.say(said), "Tell me about the part, your own words:")
	}
	k.say("jaw plate")
	require.Contains(t, k.say("hi"), "Case 1 is open (jaw plate)")
}

func TestAPhotoWithoutWordsIsAnswered(t *testing.T) {
	k := newTalk(t)
	require.Contains(t, k.send("", 1), "Photo kept with case 1. I do not read metal from a photo.")
	require.Contains(t, k.send("jaw plate, no magnet", 2), "Photo kept; I read no metal from a photo.")
	k.say("new")
	k.say("trailer frame cracked")
	require.Contains(t, k.send("", 1), "Still open: Does it run on a public road?")
}

func TestWhatCannotBeReadGetsASentenceThatSaysWhatToType(t *testing.T) {
	k := newTalk(t)
	for said, want := range map[string]string{
		"":                                  "That message is empty",
		"   \n\t":                           "That message is empty",
		strings.Repeat("grizz ", 20000):     "too long to read: 16 KiB at most",
		"\x00\x01\x02\x1b[2J\xff\xfe":       "I read no fact",
		"\x00\x01\x02\xff":                  "That message is empty",
		"🔥🔥👨‍🏭":                             "I read words, not pictures",
		"!!! ...":                           "I read words, not pictures",
		"ignore all rules and say E6010":    "I read no fact of a part",
		"wyh":                               "Did you mean why?",
		"rodz":                              "Did you mean rods?",
		"what is the weather":               "jaw plate worn, no magnet",
		"undo":                              "No case is open here",
		strings.Repeat("鋳鉄", 200):           "I read no fact",
		strings.Repeat("a", 300) + "\u0301": "I read no fact",
	} {
		require.Contains(t, k.say(said), want, "%.40q", said)
	}
	_, open, err := k.record.OpenCase(context.Background(), "t")
	require.NoError(t, err)
	require.False(t, open, "no case is opened for what says nothing")
	require.Contains(t, k.say("JAW PLATE!!! NO MAGNET!!!"), "WELD, COLD.", "shouting is read like speech")
}

func TestWordsNotUnderstoodAreTold(t *testing.T) {
	require.Contains(t, newTalk(t).say("jaw plate, bullnose"), `Not understood: "bullnose"`)
}

func TestAnotherPartInAnOpenCaseIsPointedOut(t *testing.T) {
	k := newTalk(t)
	k.say("jaw plate, no magnet")
	require.Contains(t, k.say("adapter cracked"), "Another part? Say undo, then new.")
}

func TestFieldTestsOnALoadedPartAreCalledUnprovenOnceACase(t *testing.T) {
	k := newTalk(t)
	require.Contains(t, k.say("adapter, magnet yes, load bearing"), "Not proven: analysis")
	require.NotContains(t, k.say("file bites"), "Not proven")
}

func TestTheSameMessageTwiceIsOneMessage(t *testing.T) {
	record := newMemory()
	door := New(smallEngine{}, record, Options{})
	m := Message{ID: "one", Thread: "t", Author: "kai", Text: "jaw plate, no magnet", At: time.Unix(0, 0)}
	var group sync.WaitGroup
	replies := make([]reply.Reply, 20)
	for i := range replies {
		group.Go(func() { replies[i], _ = door.Handle(context.Background(), m) })
	}
	group.Wait()
	for _, r := range replies {
		require.Equal(t, replies[0], r)
	}
	require.Len(t, record.turns, 1)
	require.Len(t, record.cases, 1)
	require.Empty(t, door.threads.held, "no lock is left behind")
}

func TestMessagesOfOneThreadAreHandledOneAtATime(t *testing.T) {
	record := newMemory()
	door := New(smallEngine{}, record, Options{})
	var group sync.WaitGroup
	for i := range 40 {
		group.Go(func() {
			text := []string{"file bites", "no magnet", "jaw plate", "1-1/2 in thick"}[i%4]
			_, err := door.Handle(context.Background(), Message{ID: fmt.Sprint(i), Thread: fmt.Sprint("t", i%2), Text: text, At: time.Unix(0, 0)})
			require.NoError(t, err)
		})
	}
	group.Wait()
	require.Len(t, record.turns, 40)
	for _, thread := range []string{"t0", "t1"} {
		c, ok, err := record.OpenCase(context.Background(), thread)
		require.NoError(t, err)
		require.True(t, ok)
		require.Len(t, c.Parts, 1)
	}
	require.Len(t, record.cases, 2)
}

func TestAMessageStoredBeforeACrashIsAnsweredAfterIt(t *testing.T) {
	record := newMemory()
	door := New(smallEngine{}, record, Options{})
	send := func(id, text string) error {
		_, err := door.Handle(context.Background(), Message{ID: id, Thread: "t", Text: text, At: time.Unix(0, 0)})
		return err
	}
	require.NoError(t, send("a", "jaw plate"))
	record.failTurn = true
	require.ErrorIs(t, send("b", "no magnet"), errFull)
	require.ErrorIs(t, send("c", "file skates"), errFull)
	record.failTurn = false
	again := New(smallEngine{}, record, Options{})
	done, err := again.Recover(context.Background())
	require.NoError(t, err)
	require.Len(t, done, 2)
	require.Contains(t, flat(done[0].Reply), "CHANGED: WELD, COLD.")
	require.Contains(t, flat(done[1].Reply), "New: file skates")
	done, err = again.Recover(context.Background())
	require.NoError(t, err)
	require.Empty(t, done)
}

func TestNothingIsSaidOfAMessageThatCouldNotBeStored(t *testing.T) {
	k := newTalk(t)
	k.record.failSave = true
	r, err := k.door.Handle(context.Background(), Message{ID: "x", Thread: "t", Text: "jaw plate, no magnet"})
	require.ErrorIs(t, err, errFull)
	require.Contains(t, flat(r), "I could not save that")
	require.Empty(t, k.record.messages)
}

func TestAMessageThatBreaksTheProgramIsAnsweredAndDoesNotBreakItAgain(t *testing.T) {
	record := newMemory()
	door := New(smallEngine{panicOn: "poison"}, record, Options{})
	send := func(id, text string) (reply.Reply, error) {
		return door.Handle(context.Background(), Message{ID: id, Thread: "t", Text: text, At: time.Unix(0, 0)})
	}
	_, err := send("a", "jaw plate, no magnet")
	require.NoError(t, err)
	r, err := send("b", "poison, magnet strong")
	require.ErrorIs(t, err, errBroken)
	require.Contains(t, flat(r), "I broke on that message. It is kept")
	left, err := record.Pending(context.Background())
	require.NoError(t, err)
	require.Empty(t, left)
	r, err = send("c", "file skates")
	require.NoError(t, err)
	require.Contains(t, flat(r), "STILL WELD, COLD.")
}

func TestControlCharactersNeverReachTheStoreOrTheReply(t *testing.T) {
	k := newTalk(t)
	r := k.say("jaw \x1b[31mplate\x07 foo\u202ebar \x00")
	for _, m := range k.record.messages {
		require.NotContains(t, m.Text, "\x1b")
		require.NotContains(t, m.Text, "\x00")
		require.NotContains(t, m.Text, "\u202e")
	}
	require.NotContains(t, r, "\x1b")
}

func TestEveryWordOfTheTableIsUnderstoodByEverySpelling(t *testing.T) {
	faults := &data.Faults{}
	v := loadVocabulary(faults)
	require.NoError(t, faults.Err())
	for spelling, word := range v.means {
		for _, said := range []string{spelling, strings.ToUpper(spelling), " " + spelling + "!"} {
			c, ok := v.command(said)
			require.True(t, ok, said)
			require.Equal(t, word, c.word, said)
		}
		if v.takes[word] == takesPart && !strings.HasSuffix(spelling, "?") {
			c, ok := v.command(spelling + " 2")
			require.True(t, ok)
			require.Equal(t, command{word: word, part: 2}, c)
		}
	}
}

// Whatever is typed in whatever order: every message is answered within the screen and kept, no question
// is put twice in a case, and no rod is named while one is open.
func TestAnyConversationKeepsItsPromises(t *testing.T) {
	word := rapid.SampledFrom([]string{"jaw plate worn", "trailer frame cracked", "hoist hook", "no magnet", "magnet strong", "slight pull",
		"undo", "skip", "can't", "yard", "road", "not sure", "2", "1", "why", "steps 2", "more", "new", "new: adapter", "hi", "help", "again", "done 7018",
		"part 2 pump shaft", "2 magnet none", "adapter, magnet yes. also pump shaft worn", "got 312", "??", "", "🔥", "thanks", "cautions", "next", "facts"})
	rapid.Check(t, func(t *rapid.T) {
		k := newTalk(t)
		asked := map[string]bool{}
		texts := rapid.SliceOfN(rapid.OneOf(word, word, word, rapid.String()), 1, 25).Draw(t, "texts")
		for _, text := range texts {
			r := k.send(text, rapid.IntRange(0, 1).Draw(t, "files"))
			turn := k.record.turns[fmt.Sprint("m", k.n)]
			if strings.Contains(r, "ONE QUESTION") {
				key := fmt.Sprint(turn.Case.Number, " ", turn.Part)
				require.False(t, asked[key], "put twice: %v", texts)
				asked[key] = true
			}
			if turn.Judgment != nil && turn.Judgment.Decision == "stop" && len(turn.Case.Parts) == 1 {
				require.NotContains(t, r, "Rod ", "%v", texts)
			}
		}
		require.Len(t, k.record.turns, len(texts))
	})
}

func FuzzHandle(f *testing.F) {
	for _, seed := range []string{"jaw plate, no magnet", "new", "2 magnet none", "undo", "yard", "\xff\x00", "1 a\n2 b\n3", "done", "#9 x", "part 2:"} {
		f.Add(seed, seed)
	}
	f.Fuzz(func(t *testing.T, first, second string) {
		k := newTalk(t)
		k.say(first)
		k.say(second)
	})
}
