package dashboard

import (
	"fmt"
	"strconv"
	"time"

	"github.com/gdamore/tcell/v2"

	"stillhand/session"
)

// when says in which sitting a key is in force.
type when uint8

const (
	always when = iota
	replaying
	practising
	counted // in all but a practice
)

// binding is one key: what the handler looks up and what the help prints.
// Either action or act is what it does.
type binding struct {
	key    tcell.Key // tcell.KeyRune: see r
	r      rune
	name   string // as the help prints it
	does   string
	when   when
	action session.Action
	act    func(*face)
}

func send(k session.ActionKind, value int) session.Action {
	return session.Action{Kind: k, Value: value}
}

// bindings are all keys, in the help's order. The handler and the help read
// nothing else. Digits collect the position that "w" then anchors.
var bindings []binding

func init() { // the table's own functions read the table
	bindings = []binding{
		{key: tcell.KeyRune, r: 'm', name: "m", does: "put a mark in the take", action: send(session.Mark, 0)},
		{key: tcell.KeyRune, r: 'h', name: "h", does: "hold the count, or go on", when: counted, action: send(session.Hold, 0)},
		{key: tcell.KeyRune, r: 's', name: "s", does: "swap the finger system", when: counted, action: send(session.Swap, 0)},
		{key: tcell.KeyRune, r: 'w', name: "w", does: "the hand is where it is shown", act: (*face).anchor},
		{name: "7 w", does: "the hand is at position 7: =7"},
		{key: tcell.KeyUp, name: "Up", does: "the window is one fret higher", action: send(session.Correct, 1)},
		{key: tcell.KeyDown, name: "Down", does: "the window is one fret lower", action: send(session.Correct, -1)},
		{key: tcell.KeyRune, r: 'x', name: "x", does: "forget: restart the counts", when: counted, action: send(session.Forget, 0)},
		{key: tcell.KeyRune, r: 'f', name: "f", does: "far view, or back", act: (*face).toggleFar},
		{key: tcell.KeyRune, r: 'b', name: "b", does: "bell on a shift, or none", act: (*face).toggleBell},
		{key: tcell.KeyRune, r: '?', name: "?", does: "this help, or back", act: (*face).toggleHelp},
		{key: tcell.KeyF1, act: (*face).toggleHelp},
		{key: tcell.KeyEscape, act: (*face).escape},
		{key: tcell.KeyCtrlL, name: "Ctrl-L", does: "draw everything again", act: (*face).redraw},
		{key: tcell.KeyCtrlZ, name: "Ctrl-Z", does: "suspend the program", act: (*face).suspend},
		{key: tcell.KeyRune, r: 'q', name: "q", does: "quit; what is saved is kept", act: (*face).quit},
		{key: tcell.KeyCtrlC, act: (*face).interrupt},

		{key: tcell.KeyEnter, name: "Enter", does: "begin, or begin again", when: practising, action: send(session.Again, 0)},
		{key: tcell.KeyRune, r: 'e', name: "e", does: "at ease; at the end: keep it", when: practising, action: send(session.Easy, 0)},
		{key: tcell.KeyRune, r: 'u', name: "u", does: "not so; at the end: ask again", when: practising, action: send(session.NotEasy, 0)},
		{key: tcell.KeyRune, r: 'h', name: "h", does: "no hold: a practice goes on", when: practising, act: (*face).hold},
		{key: tcell.KeyRune, r: 's', name: "s", does: "no swap: it asks for one system", when: practising, act: (*face).swap},
		{key: tcell.KeyRune, r: 'x', name: "x", does: "no restart: no counts are shown", when: practising, act: (*face).forget},

		{key: tcell.KeyRune, r: ' ', name: "Space", does: "play, or pause", when: replaying, action: send(session.Pause, 0)},
		{key: tcell.KeyRune, r: '+', name: "+", does: "faster", when: replaying, action: send(session.Faster, 0)},
		{key: tcell.KeyRune, r: '=', when: replaying, action: send(session.Faster, 0)},
		{key: tcell.KeyRune, r: '-', name: "-", does: "slower", when: replaying, action: send(session.Slower, 0)},
		{key: tcell.KeyLeft, name: "Left", does: "a passage back, or 10 s if long", when: replaying, action: send(session.Back, 0)},
		{key: tcell.KeyRight, name: "Right", does: "a passage on, or 10 s if long", when: replaying, action: send(session.Forward, 0)},
		{key: tcell.KeyRune, r: 'n', name: "n", does: "to the next shift", when: replaying, action: send(session.NextShift, 0)},
		{key: tcell.KeyRune, r: 'a', name: "a", does: "to the next advice", when: replaying, action: send(session.NextAdvice, 0)},
		{key: tcell.KeyRune, r: 'j', name: "j", does: "to the next mark", when: replaying, action: send(session.NextMark, 0)},
		{key: tcell.KeyRune, r: 'l', name: "l", does: "loop this passage, or go on", when: replaying, action: send(session.Loop, 0)},
	}
}

// inForce reports whether b does something in the present sitting.
func (b *binding) inForce(s *session.Snapshot) bool {
	switch b.when {
	case replaying:
		return s != nil && s.Replay != nil
	case practising:
		return s != nil && s.Round != nil
	case counted:
		return s == nil || s.Round == nil
	}
	return true
}

// key handles one key. It never passes one on: no part of the screen takes
// keys of its own. tview draws after it.
func (f *face) key(e *tcell.EventKey) *tcell.EventKey {
	defer f.awaitEnd()
	if r := e.Rune(); e.Key() == tcell.KeyRune && '0' <= r && r <= '9' {
		f.board.digit(r)
		return nil
	}
	f.board.answer = nil
	for i := range bindings {
		b := &bindings[i]
		if b.key != e.Key() || b.key == tcell.KeyRune && b.r != e.Rune() || !b.inForce(f.board.s) {
			continue
		}
		if b.act != nil {
			b.act(f)
		} else if b.key != 0 {
			f.Controls.Do(b.action)
		}
		break
	}
	f.board.typed = ""
	return nil
}

// awaitEnd asks for the frame in which what the board says now is gone: no
// snapshot need come while nobody plays.
func (f *face) awaitEnd() {
	if f.board.speaks() {
		time.AfterFunc(answerStays, f.ring)
	}
}

func (f *face) hold()       { f.board.do(send(session.Hold, 0)) }
func (f *face) swap()       { f.board.do(send(session.Swap, 0)) }
func (f *face) forget()     { f.board.do(send(session.Forget, 0)) }
func (f *face) toggleFar()  { f.board.do(send(session.FarView, 0)) }
func (f *face) toggleBell() { f.board.do(send(session.Bell, 0)) }
func (f *face) toggleHelp() { f.board.help = !f.board.help }
func (f *face) escape()     { f.board.help = false }
func (f *face) redraw()     { f.screen.Sync() }
func (f *face) quit()       { f.stop(nil) }
func (f *face) interrupt()  { f.stop(ErrInterrupted) }

// do carries out the screen's own actions.
func (b *board) do(a session.Action) {
	switch a.Kind {
	case session.FarView:
		b.far = b.help || !b.far // over the help it shows the far view, as drawTooSmall promises
		b.help = false
	case session.Bell:
		b.bell = !b.bell
	case session.Hold: // by a key or a pedal, in a practice
		b.reply("no hold in a practice: it goes on, and Enter begins again", "no hold in a practice")
	case session.Swap:
		b.reply("no swap in a practice: it asks for one finger system", "no swap in a practice")
	case session.Forget:
		b.reply("no restart in a practice: it shows no counts, and Enter begins again", "no restart in a practice")
	}
}

// anchor says where the hand is, if the number typed is a position.
func (f *face) anchor() {
	b := f.board
	if b.typed == "" {
		f.Controls.Do(send(session.Anchor, 0))
		return
	}
	position, _ := strconv.Atoi(b.typed)
	if last := b.lastPosition(); position < 1 || position > last {
		b.reply(fmt.Sprintf("no position %s: with %s fingers this neck has 1 to %d", b.typed, b.s.System.Name, last),
			fmt.Sprintf("no position %s: it has 1 to %d", b.typed, last))
		return
	}
	f.Controls.Do(send(session.Anchor, position))
}

// mostDigits is more than any position has, so that a wrong one is refused as
// it was typed.
const mostDigits = 4

// digit adds one digit to the position that is being typed.
func (b *board) digit(d rune) {
	b.answer = nil
	if b.s == nil {
		return
	}
	if len(b.typed) < mostDigits {
		b.typed += string(d)
	}
	b.speak()
}

// lastPosition is the highest position that the hand can take.
func (b *board) lastPosition() int { return b.s.Neck.Positions(b.s.System.Width()) }

// typedText is what the status line says in limit columns while a position is
// being typed.
func (b *board) typedText(limit int) string {
	return fitting(limit, "position "+b.typed+": w says that the hand is there, Esc drops it", "position "+b.typed+": w, or Esc drops it")
}
