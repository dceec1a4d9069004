package dashboard

import (
	"fmt"
	"math"

	"github.com/gdamore/tcell/v2"

	"stillhand/session"
)

// headRowsAt is the head with dots h half cells high and a row of captions.
func headRowsAt(h int) int { return square(h).rows(glyphRows) + 1 }

// noMark takes the room of the sign "~", so that nothing moves when an answer
// settles.
const noMark = '\u00a0'

// Widths in dots for the longest usual texts, so that nothing moves sideways when
// a number grows: "~12-15?" and "~117".
var (
	windowDots = dots("~00-00?")
	shiftDots  = dots("~000")
)

// Words that stand for the window while it is not followed.
const (
	noInput = "no input"
	onHold  = "hold"
)

// headline is what must read from afar. system gives way to the sign of what was
// just asked for.
type headline struct {
	window, shifts, system string
	live                   bool // what is played counts
	sign                   bool // system is one
}

// provisional and doubtful are the two signs of an answer that is not firm.
func provisional(s *session.Snapshot) bool { return s.Hand.Position > 0 && !s.Hand.Settled }
func doubtful(s *session.Snapshot) bool {
	return s.Hand.Position > 0 && (s.Hand.Probability < unsure || s.Stale || s.Gone)
}

// guessed reports whether any other window is likelier than the one named: the
// screen then says that it listens, and names none in large letters.
func guessed(s *session.Snapshot) bool {
	return s.Hand.Position > 0 && s.Hand.Probability < guess
}

func headlineOf(s *session.Snapshot) headline {
	mark := string(noMark)
	if provisional(s) {
		mark = "~"
	}
	h := headline{window: mark + windowText(s), shifts: mark + fmt.Sprint(int(math.Round(s.Take.Likely))), system: s.System.Name}
	switch {
	case s.Gone:
		h.window = noInput
	case s.Held:
		h.window = onHold
	case guessed(s):
		h.window = string(noMark) + "?"
	}
	h.live = !s.Gone && !s.Held
	if s.Sign.Word != "" {
		h.system, h.sign = s.Sign.Word, true
	}
	return h
}

// windowText is the window with the sign of an unsure one; "?" for a mere guess and
// "-" for none.
func windowText(s *session.Snapshot) string {
	switch {
	case s.Hand.Position == 0:
		return "-"
	case guessed(s):
		return "?"
	}
	text := s.Neck.Window(s.System, s.Hand.Position, "-")
	if doubtful(s) {
		text += "?"
	}
	return text
}

// styles are those of the window, the shifts and the system in large letters.
func (h headline) styles(st styles) (window, shifts, system tcell.Style) {
	window, shifts, system = st.accent, st.bold, st.bold
	if !h.live {
		shifts = st.dim
		if !h.sign {
			system = st.dim
		}
	}
	return window, shifts, system
}

// windowCaption says in words what the window's large letters show.
func windowCaption(s *session.Snapshot) string {
	switch {
	case s.Gone:
		return "NOTHING HEARD, before " + windowText(s)
	case s.Held && s.Hand.Position > 0 && !s.Stale:
		return "window by your word " + windowText(s)
	case s.Held:
		return "window before the hold " + windowText(s)
	case !s.Heard:
		return "window: nothing heard yet"
	case s.Hand.Position == 0:
		return "window: open strings so far"
	case s.Stale:
		return "window before the hold"
	case guessed(s):
		lo, hi, _, _ := reachOf(s)
		return fmt.Sprintf("listening: within %d-%d", lo, hi)
	}
	text := "window, " + session.Percent(s.Hand.Probability) + " sure"
	if provisional(s) {
		text = "window " + session.Percent(s.Hand.Probability) + ", provisional"
	}
	return text
}

func shiftsCaption(s *session.Snapshot) string {
	if s.Held {
		return "shifts: COUNT ON HOLD"
	}
	return fmt.Sprintf("shifts, at least %d", s.Take.AtLeast)
}

func systemCaption(s *session.Snapshot) string {
	if s.Sign.Text != "" {
		return s.Sign.Text
	}
	if s.Looks != "" {
		return "looks like " + s.Looks
	}
	switch n := len(s.Declared); {
	case n == 2:
		return "fingers, " + s.Declared[0] + " before"
	case n > 2:
		return "fingers, by turns"
	}
	return "fingers"
}

// drawHead writes window, shifts and system in large letters side by side,
// each over its caption, as high as c allows.
func (b *board) drawHead(c canvas) {
	s := b.s
	h := headlineOf(s)
	window, shifts, system := h.styles(c.styles)
	const gap = 3
	height := 1
	for headRowsAt(height+1) <= c.h {
		height++
	}
	height = max(height, b.glyphs.leastDot())
	// Square dots if they fit side by side; else narrower ones, from the right.
	// An odd width in half cells would need quarter cells.
	zs := [3]size{square(height), square(height), square(height)}
	columns := func() (x [3]int, end int) {
		x[0] = 1
		x[1] = x[0] + max(zs[0].cols(windowDots), 27) + gap
		x[2] = x[1] + max(zs[1].cols(max(shiftDots, dots(h.shifts))), 21) + gap
		return x, x[2] + zs[2].cols(dots(h.system))
	}
	x, end := columns()
	for i := 2; end > c.w && i >= 0; i-- {
		zs[i].w = max(2, zs[i].w/4*2)
		x, end = columns()
	}
	c.large(x[0], 0, h.window, zs[0], window)
	c.large(x[1], 0, h.shifts, zs[1], shifts)
	if dots(h.system) >= 0 && end <= c.w {
		c.large(x[2], 0, h.system, zs[2], system)
	} else {
		c.text(x[2], 1, h.system, system)
	}
	b.drawCaptions(c.rows(c.h-1, 1), x)
}

func (b *board) drawCaptions(c canvas, x [3]int) {
	window, shifts, system := c.plain, c.plain, c.plain
	if b.s.Gone {
		window = c.alert
	}
	if b.s.Held {
		shifts = c.alert
	}
	if b.s.Sign.Text != "" {
		system = c.bold
	}
	c.text(x[0], 0, clip(windowCaption(b.s), x[1]-x[0]-1), window)
	c.text(x[1], 0, shiftsCaption(b.s), shifts)
	c.text(x[2], 0, clip(systemCaption(b.s), c.w-x[2]), system)
}
