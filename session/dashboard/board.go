package dashboard

import (
	"fmt"
	"os"
	"time"

	"github.com/gdamore/tcell/v2"
	"github.com/rivo/tview"

	"stillhand/coach"
	"stillhand/session"
)

// The terminal's least size: room for a neck of up to six
// strings, and what the far view needs for its longest line.
const (
	leastWidth, leastHeight       = 80, 24
	leastFarWidth, leastFarHeight = 36, 8
)

// unsure is the probability under which an answer is marked as unsure. Own
// choice: one in five wrong is what a player notices.
const unsure = coach.Sure

// guess is the probability under which an answer is likelier wrong than right:
// it is not shown as an answer.
const guess = coach.Likely

// board is the whole screen as one primitive. The event loop alone uses it.
type board struct {
	*tview.Box
	glyphs *glyphs
	styles styles
	pedals []string

	s       *session.Snapshot // nil before the first
	far     bool
	bell    bool
	help    bool
	typed   string   // digits of the position that is being typed
	answer  []string // to what could do nothing, longest form first; none if there is none
	bellDue bool
	beat    [2]int        // newest bar and beat of a practice that was seen
	moved   time.Duration // onset of the newest shift that was seen

	spoke  time.Time // when the newest digit was typed, or answer given
	heeded string    // the warning that stood then, for as long as it stands; a newer one goes first
}

// answerStays is how long digits or an answer hide what the status line says
// otherwise, unless another key takes them back sooner (ours). A digit pressed by
// mistake is then no part of a later position either.
const answerStays = 5 * time.Second

// reply answers a key or pedal that could do nothing.
func (b *board) reply(texts ...string) {
	b.typed, b.answer = "", texts
	b.speak()
}

// speak begins the time for which the status line shows digits or an answer.
func (b *board) speak() {
	b.spoke = time.Now()
	if b.s != nil {
		b.heeded = b.s.Warning
	}
}

// speaks reports whether digits or an answer are in force.
func (b *board) speaks() bool { return b.typed != "" || b.answer != nil }

// newBoard makes a board for an initialised terminal.
func newBoard(terminal tcell.Screen, pedals []string) *board {
	return &board{
		Box:    tview.NewBox(),
		glyphs: glyphsFor(terminal.CharacterSet(), os.Getenv("TERM")),
		styles: stylesFor(terminal.Colors()),
		pedals: pedals,
		moved:  -1,
	}
}

// take shows s from the next frame on, and notices a new shift.
func (b *board) take(s *session.Snapshot) {
	if time.Since(b.spoke) >= answerStays {
		b.typed, b.answer = "", nil
	}
	b.s = s
	if s == nil {
		return
	}
	if s.Warning != b.heeded {
		b.heeded = ""
	}
	if r := s.Round; r != nil { // in practice the bell is the beat's
		beat := [2]int{r.Bar, r.Beat}
		b.bellDue = b.bellDue || b.bell && counting(r) && r.Beat > 0 && beat != b.beat
		b.beat = beat
		return
	}
	if s.At < b.moved { // a recording went back
		b.moved = s.At
	}
	for i := len(s.Trail) - 1; i >= 0 && s.Trail[i].At > b.moved; i-- {
		if s.Trail[i].Moved >= coach.Likely {
			b.bellDue = b.bell
			b.moved = s.Trail[i].At
		}
	}
}

// Draw implements tview.Primitive.
func (b *board) Draw(screen tcell.Screen) {
	x, y, w, h := b.GetRect()
	c := canvas{screen: screen, x: x, y: y, w: w, h: h, glyphs: b.glyphs, styles: b.styles}
	if needW, needH := b.needs(); w < needW || h < needH {
		b.drawTooSmall(c, needW, needH)
		return
	}
	status := c.rows(h-1, 1)
	body := c.rows(0, h-1)
	switch {
	case b.help:
		b.drawHelp(body)
	case b.s == nil:
		body.middle(body.h/2, "waiting for the first event", c.plain)
	case b.s.Round != nil:
		b.drawRound(body)
	case b.far:
		b.drawFar(body)
	default:
		b.drawParts(body)
	}
	b.drawStatus(status)
}

// needs is the least size for what is to be drawn.
func (b *board) needs() (w, h int) {
	switch {
	case b.far && !b.help:
		return leastFarWidth, leastFarHeight
	case b.help, b.s == nil:
		return leastWidth, leastHeight
	}
	return leastWidth, max(leastHeight, b.leastRows()+1)
}

// leastRows is the height of the usual screen's parts at their smallest.
func (b *board) leastRows() int {
	rows := headRowsAt(b.glyphs.leastDot()) + neckRows(b.s.Neck) + countRows + b.glyphs.leastCoachRows()
	if b.s.Replay != nil {
		rows += replayRows
	}
	return rows
}

// drawTooSmall says what is missing, in as many words as there is room for.
func (b *board) drawTooSmall(c canvas, needW, needH int) {
	goes := "Listening goes on."
	if b.s != nil && b.s.Replay != nil {
		goes = "The recording goes on."
	}
	for _, s := range []string{
		fmt.Sprintf("This terminal has %d columns and %d rows. Stillhand needs %d columns and %d rows here: make it larger, or make its letters smaller. f shows the far view, which needs %d by %d. q quits. %s",
			c.w, c.h, needW, needH, leastFarWidth, leastFarHeight, goes),
		fmt.Sprintf("%dx%d is too small: Stillhand needs %dx%d", c.w, c.h, needW, needH),
		fmt.Sprintf("needs %dx%d", needW, needH),
	} {
		lines := wrap(s, c.w, width)
		widest := 0
		for _, line := range lines {
			widest = max(widest, width(line))
		}
		if len(lines) > c.h || widest > c.w {
			continue
		}
		top := (c.h - len(lines)) / 2
		for i, line := range lines {
			c.middle(top+i, line, c.bold)
		}
		return
	}
}

// drawParts lays out the usual screen from the top: what reads from afar, the
// neck, the counts, the position's line if there is room, what the coach says,
// the replay's bar. Room to spare goes first to the coach's words and the
// line, then to larger letters at the top, then to air.
func (b *board) drawParts(c canvas) {
	s := b.s
	neck := neckRows(s.Neck)
	head := headRowsAt(b.glyphs.leastDot())
	spare := c.h - b.leastRows()
	give := func(want int) int {
		if spare < want {
			return 0
		}
		spare -= want
		return want
	}
	said := b.glyphs.leastCoachRows()
	said += give(min(spare, goodCoachRows-said))
	trail := give(leastTrailRows)
	if trail > 0 {
		head += give(headRowsAt(2) - head)
	}
	airs := 0
	for range 4 {
		airs += give(1)
	}
	if trail > 0 {
		grow := min(spare/2, mostTrailRows-trail)
		trail += grow
		spare -= grow
	}
	if head == headRowsAt(2) {
		head += give(headRowsAt(3) - head)
	}
	said += spare

	y := 0
	part := func(rows int) canvas {
		p := c.rows(y, rows)
		y += rows
		return p
	}
	air := func() {
		if airs > 0 {
			airs--
			y++
		}
	}
	b.drawHead(part(head))
	air()
	b.drawNeck(part(neck))
	air()
	b.drawCounts(part(countRows))
	air()
	if trail > 0 {
		b.drawTrail(part(trail))
		air()
	}
	b.drawSaid(part(said))
	if s.Replay != nil {
		b.drawReplay(part(replayRows))
	}
}

// clock is a time of the take as minutes and seconds.
func clock(t time.Duration) string {
	sec := int(t / time.Second)
	return fmt.Sprintf("%d:%02d", sec/60, sec%60)
}
