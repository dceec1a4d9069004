package dashboard

import (
	"context"
	"os"
	"os/signal"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

func replayDesk(t *testing.T) *running {
	return start(t, 80, 24, func(o *Options) { o.Feed.(*desk).put(sample(replayed)) })
}

func TestKeys_AreBoundOnce(t *testing.T) {
	t.Parallel()
	type key struct {
		key tcell.Key
		r   rune
	}
	seen := map[key][]when{}
	for _, b := range bindings {
		if b.key == 0 {
			continue
		}
		k := key{b.key, b.r}
		for _, w := range seen[k] {
			assert.False(t, w == b.when || w == always || b.when == always, "%q is bound twice", b.name)
		}
		seen[k] = append(seen[k], b.when)
		assert.False(t, b.key == tcell.KeyRune && b.r >= '0' && b.r <= '9', "digits say positions")
	}
}

// Each key with an action of the session sends just that, where it is in
// force; the keys come from the table and the actions from here.
func TestKeys_SendTheirActions(t *testing.T) {
	t.Parallel()
	want := map[string]session.Action{
		"m": {Kind: session.Mark}, "h": {Kind: session.Hold}, "s": {Kind: session.Swap}, "w": {Kind: session.Anchor},
		"Up": {Kind: session.Correct, Value: 1}, "Down": {Kind: session.Correct, Value: -1}, "x": {Kind: session.Forget},
		"Enter": {Kind: session.Again}, "e": {Kind: session.Easy}, "u": {Kind: session.NotEasy},
		"Space": {Kind: session.Pause}, "+": {Kind: session.Faster}, "-": {Kind: session.Slower},
		"Left": {Kind: session.Back}, "Right": {Kind: session.Forward}, "n": {Kind: session.NextShift},
		"a": {Kind: session.NextAdvice}, "j": {Kind: session.NextMark}, "l": {Kind: session.Loop},
	}
	desks := map[when]*running{
		always:     start(t, 80, 24),
		counted:    start(t, 80, 24),
		replaying:  replayDesk(t),
		practising: start(t, 80, 24, func(o *Options) { o.Feed.(*desk).put(sample(toBegin)) }),
	}
	found := 0
	for _, b := range bindings {
		action, ok := want[b.name]
		if !ok || strings.Contains("hsx", b.name) && b.when == practising { // these say why they do nothing
			continue
		}
		found++
		r := desks[b.when]
		r.terminal.InjectKey(b.key, b.r, 0)
		assert.Equal(t, action, r.action(t), b.name)
		if b.when == always || b.when == counted {
			continue
		}
		live := desks[always]
		live.terminal.InjectKey(b.key, b.r, 0) // not in force: nothing comes before the mark
		live.terminal.InjectKey(tcell.KeyRune, 'm', 0)
		assert.Equal(t, session.Action{Kind: session.Mark}, live.action(t), b.name)
	}
	assert.Equal(t, len(want), found)
}

func TestKeys_DigitsSayWhereTheHandIs(t *testing.T) {
	t.Parallel()
	r := start(t, 80, 24)
	for keys, position := range map[string]int{"7w": 7, "12w": 12, "07w": 7, "3\x1bw": 0, "5hw": 0} {
		for _, k := range keys {
			if k == '\x1b' {
				r.terminal.InjectKey(tcell.KeyEscape, 0, 0)
				continue
			}
			r.terminal.InjectKey(tcell.KeyRune, k, 0)
		}
		a := r.action(t)
		if a.Kind == session.Hold {
			a = r.action(t)
		}
		assert.Equal(t, session.Action{Kind: session.Anchor, Value: position}, a, "%q", keys)
	}
	r.terminal.InjectKey(tcell.KeyRune, '1', 0)
	r.sees(t, "position 1: w says that the hand is there")
}

// A number that is no position moves no hand, and is answered until something
// else is pressed.
func TestKeys_ANumberThatIsNoPositionIsRefused(t *testing.T) {
	t.Parallel()
	r := start(t, 80, 24)
	for _, number := range []string{"0", "30", "999"} {
		for _, k := range number {
			r.terminal.InjectKey(tcell.KeyRune, k, 0)
		}
		r.sees(t, "position "+number+": w says that the hand is there")
		r.terminal.InjectKey(tcell.KeyRune, 'w', 0)
		r.sees(t, "no position "+number+": with four fingers this neck has 1 to 19")
	}
	r.terminal.InjectKey(tcell.KeyRune, 'm', 0)
	r.sees(t, "? keys")
	assert.Equal(t, session.Mark, r.action(t).Kind, "no hand was moved")
}

// Digits and answers go by themselves, also while no snapshot comes; what was
// typed is then no part of a later position.
func TestKeys_DigitsAndAnswersExpire(t *testing.T) {
	t.Parallel()
	// The goroutine that waits for signals stays as long as the process.
	signals := make(chan os.Signal, 1)
	onContinue(signals)
	defer signal.Stop(signals)
	synctest.Test(t, func(t *testing.T) {
		asked := make(chan session.Action)
		r := start(t, 80, 24, func(o *Options) { o.Asked = asked })
		for _, c := range []struct {
			do   func()
			says string
		}{
			{func() { r.terminal.InjectKey(tcell.KeyRune, '5', 0) }, "position 5: w"},
			{func() {
				r.terminal.InjectKey(tcell.KeyRune, '0', 0)
				r.terminal.InjectKey(tcell.KeyRune, 'w', 0)
			}, "no position 0"},
			{func() { asked <- session.Action{Kind: session.Hold} }, "no hold in a practice"},
		} {
			c.do()
			time.Sleep(answerStays - time.Second)
			assert.Contains(t, r.sized.text(), c.says)
			time.Sleep(2 * time.Second)
			assert.Contains(t, r.sized.text(), "practice bass · saving", "%q is gone", c.says)
		}
		r.terminal.InjectKey(tcell.KeyRune, 'w', 0)
		assert.Equal(t, session.Action{Kind: session.Anchor}, r.action(t), "the shown position")
		r.stop(nil)
		require.ErrorIs(t, <-r.ended, context.Canceled)
	})
}

// What is wrong since a key was pressed is seen at once.
func TestKeys_ANewWarningHidesDigitsAndAnswers(t *testing.T) {
	t.Parallel()
	warned := func(text string) func(*session.Snapshot) { return func(s *session.Snapshot) { s.Warning = text } }
	for name, press := range map[string]func(*board){
		"digit":  func(b *board) { b.digit('5') },
		"answer": func(b *board) { b.reply("no hold") },
	} {
		status := func(before string, after ...string) string {
			return render(t, 80, 24, "UTF-8", sample(warned(before)), press, func(b *board) {
				for _, w := range after {
					b.take(sample(warned(w)))
				}
			})
		}
		assert.Contains(t, status("", "the cable is gone"), "WARNING: the cable is gone", name)
		assert.Contains(t, status("the disk is full", "the cable is gone"), "WARNING: the cable is gone", name)
		assert.Contains(t, status("the cable is gone", "", "the cable is gone"), "WARNING: the cable is gone", name+", gone again")
		assert.NotContains(t, status("the cable is gone", "the cable is gone"), "WARNING", name)
		assert.NotContains(t, status("the cable is gone", ""), "WARNING", name)
	}
}

// Digits are seen as they are typed, also beside a warning and in the far view.
func TestKeys_DigitsAreShownWhole(t *testing.T) {
	t.Parallel()
	typed := func(b *board) {
		b.far = true
		b.digit('1')
		b.digit('2')
	}
	unplugged := sample(func(s *session.Snapshot) { s.Warning = "practice bass is unplugged" })
	assert.Contains(t, render(t, 80, 24, "UTF-8", unplugged, typed), "position 12: w says that the hand is there, Esc drops it\n")
	assert.Contains(t, render(t, 36, 8, "UTF-8", unplugged, typed), "position 12: w, or Esc drops it\n")
	refused := func(b *board) {
		b.far = true
		f := &face{board: b}
		b.typed = "999"
		f.anchor()
	}
	assert.Contains(t, render(t, 36, 8, "UTF-8", unplugged, refused), "no position 999: it has 1 to 19\n")
}

// In a practice the beat goes on, so that notes played on hold would be missed;
// a pedal is answered like the key.
func TestKeys_APracticeKnowsNoHoldNoSwapAndNoRestart(t *testing.T) {
	t.Parallel()
	asked := make(chan session.Action)
	r := start(t, 80, 24, func(o *Options) {
		o.Asked = asked
		o.Feed.(*desk).put(sample(inRound))
	})
	r.terminal.InjectKey(tcell.KeyRune, 'h', 0)
	r.sees(t, "no hold in a practice")
	r.terminal.InjectKey(tcell.KeyRune, 's', 0)
	r.sees(t, "no swap in a practice")
	r.terminal.InjectKey(tcell.KeyRune, 'x', 0)
	r.sees(t, "no restart in a practice: it shows no counts")
	r.terminal.InjectKey(tcell.KeyRune, 'm', 0)
	assert.Equal(t, session.Mark, r.action(t).Kind, "nothing came before the mark")
	r.sees(t, "? keys")
	asked <- session.Action{Kind: session.Hold}
	r.sees(t, "no hold in a practice")
	asked <- session.Action{Kind: session.Swap}
	r.sees(t, "no swap in a practice")
	asked <- session.Action{Kind: session.Forget}
	r.sees(t, "no restart in a practice")
}

func TestKeys_ScreensOwn(t *testing.T) {
	t.Parallel()
	asked := make(chan session.Action)
	r := start(t, 80, 24, func(o *Options) { o.Asked = asked })
	r.terminal.InjectKey(tcell.KeyRune, '?', 0)
	r.sees(t, "put a mark in the take")
	r.terminal.InjectKey(tcell.KeyEscape, 0, 0)
	r.sees(t, "last minute")
	r.terminal.InjectKey(tcell.KeyRune, 'f', 0)
	r.sees(t, "█████████")
	asked <- session.Action{Kind: session.FarView}
	r.sees(t, "last minute")
	r.terminal.InjectKey(tcell.KeyRune, 'b', 0)
	r.put(sample(func(s *session.Snapshot) { s.TakePath, s.Dropped = "", 0 }))
	r.sees(t, "bell")
	assert.Empty(t, r.done, "none of it reaches the session")
}

func TestHelp_ListsTheKeysInForce(t *testing.T) {
	t.Parallel()
	help := func(b *board) { b.help = true }
	for name, sitting := range map[when]func(*session.Snapshot){
		always: func(*session.Snapshot) {}, replaying: replayed, practising: toBegin,
	} {
		shown := render(t, 80, 24, "UTF-8", sample(sitting), help)
		for _, b := range bindings {
			if b.name == "" {
				continue
			}
			require.NotEmpty(t, b.does, b.name)
			in := b.when == always || b.when == name || b.when == counted && name != practising
			assert.Equal(t, in, strings.Contains(shown, b.does), "%s: %s", b.name, b.does)
		}
		assert.Contains(t, shown, "cc64 = mark")
	}
}
