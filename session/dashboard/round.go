package dashboard

import (
	"fmt"
	"strings"

	"github.com/gdamore/tcell/v2"

	"stillhand/coach"
	"stillhand/session"
)

// A practice screen without its neck: what is asked, what holds, and a block of
// beat, bar and score or of what came out, from the top.
const (
	leastRoundRows = 14
	blockRows      = 6
	callRows       = 5
	leastCallRows  = 3
	// In less than these the parts would lie over one another, or their
	// captions be cut: drawSmallRound has others.
	smallRows, smallColumns = 1 + leastCallRows + blockRows + 3, 56
)

// drawRound is the screen of a practice: what is asked and what holds large,
// then the beat, the question or the result; below them the neck, except in
// the far view.
func (b *board) drawRound(c canvas) {
	r := b.shownRound()
	if neck := neckRows(b.s.Neck); !b.far && c.h-neck >= leastRoundRows {
		b.drawNeck(c.rows(c.h-neck, neck))
		c = c.rows(0, c.h-neck)
	}
	c = c.cols(1, c.w-2)
	if c.w < smallColumns || c.h < smallRows {
		c.drawSmallRound(r, b.s.Sign)
		return
	}
	if counting(r) { // one row always, so that nothing moves while somebody plays
		c.text(0, c.h-1, clip(r.Detail, c.w), c.bold)
		c = c.rows(0, c.h-1)
	} else {
		c = c.above(r.Detail, len(r.Findings) > 0)
		c = c.above(r.Remark, false)
	}
	c.text(0, 0, clip(r.Title, c.w), c.bold)
	c = c.rows(1, c.h-1)
	block := blockRows
	if c.h >= 3*blockRows+4 {
		block = c.h / 2
	}
	if r.Done && len(r.Findings) > 0 { // what did not hold is said whole while the call keeps its size
		rows := 1
		for _, f := range r.Findings {
			rows += len(findingLines(f, c.w-verdictColumns))
		}
		block = max(block, min(rows, c.h-callRows))
	}
	b.drawBlock(c.rows(c.h-block, block), r)
	c = c.rows(0, c.h-block)
	if c.h > callRows && counting(r) {
		n := min(c.h-callRows, 2+c.h/8)
		c.rows(c.h-n, n).drawBar(r)
		c = c.rows(0, c.h-n)
	}
	if c.h > 2*callRows {
		c = c.rows(1, c.h-1)
	}
	c.biggest(r.Call, c.accent)
}

// shownRound is the practice with what is more urgent in its place: that nothing
// is heard, and the sign of what was just asked for.
func (b *board) shownRound() *session.Round {
	r := *b.s.Round
	if b.s.Gone && !r.Done {
		r.Call, r.Brief = noInput, noInput
	}
	if b.s.Sign.Text != "" {
		r.Title = b.s.Sign.Text
	}
	return &r
}

// above writes text at the bottom of c unless it is empty or said elsewhere, or
// the rest of a practice would have no room, and returns the canvas above it.
func (c canvas) above(text string, said bool) canvas {
	if text == "" || said {
		return c
	}
	n := min(3, len(wrap(text, c.w, width)), c.h-1-leastCallRows-blockRows)
	if n < 1 {
		return c
	}
	c.rows(c.h-n, n).paragraph(text, c.bold)
	return c.rows(0, c.h-n)
}

// counting reports whether a beat is going on.
func counting(r *session.Round) bool {
	return r.Beats > 0 && !r.Done && r.Awaits == session.AwaitsNothing
}

// drawBar is a field for each beat of the bar over the whole width, so that
// the one that sounds is seen from the corner of an eye.
func (c canvas) drawBar(r *session.Round) {
	for i := range r.Beats {
		from, to := c.w*i/r.Beats, c.w*(i+1)/r.Beats-1
		for x := from; x < to; x++ {
			if i+1 != r.Beat {
				c.set(x, c.h-1, c.str, c.dim)
				continue
			}
			for y := range c.h {
				c.set(x, y, c.full, c.accent)
			}
		}
	}
}

// drawBlock is the lower part: what the practice waits for, how it stands, or
// what came out.
func (b *board) drawBlock(c canvas, r *session.Round) {
	again := c.rows(c.h-1, 1)
	switch {
	case r.Done && len(r.Findings) > 0:
		c.rows(0, c.h-1).drawFindings(r.Findings)
	case r.Awaits == session.AwaitsAnswer, r.Awaits == session.AwaitsKeep:
		fill(c.rows(0, c.h-1), stretchText(r), "000 mm", c.bold)
		again.text(0, 0, fitting(c.w, asks(r)...), c.plain)
	case r.Done && r.StretchMM > 0:
		fill(c.rows(0, c.h-1), stretchText(r), "000 mm", c.bold)
	case r.Awaits == session.AwaitsNote && !r.Done:
		c.rows(0, c.h-1).biggest("play a note to begin", c.bold)
		again.text(0, 0, fitting(c.w, begins(r)...), c.plain)
	case r.Done && r.Of > 0, r.Beats > 0:
		b.drawBeat(c, r)
		return
	}
	if r.Done && r.Awaits == session.AwaitsNote {
		again.text(0, 0, againText, c.bold)
	}
}

// verdictColumns is how wide the verdict before a finding is.
const verdictColumns = len("not yet  ")

func findingLines(f coach.Finding, columns int) []string {
	return wrap(f.Name+": "+f.Text, columns, width)
}

// drawFindings writes a row for each finding, and more for one that needs them as
// long as there are some to spare.
func (c canvas) drawFindings(all []coach.Finding) {
	y, spare := 0, c.h-len(all)
	for _, f := range all {
		verdict := "held   "
		switch {
		case !f.Passed:
			verdict = "not yet"
		case f.Guess:
			verdict = "held?  "
		}
		x := c.text(0, y, verdict+"  ", c.bold)
		lines := findingLines(f, c.w-x)
		last := max(0, min(len(lines)-1, spare))
		for _, line := range append(lines[:last:last], strings.Join(lines[last:], " ")) {
			c.text(x, y, clipWords(line, c.w-x), c.plain)
			y++
		}
		spare -= last
	}
}

// begins are the forms of what follows on "play a note to begin", longest first.
func begins(r *session.Round) []string {
	return []string{fmt.Sprintf("it is beat 1 of %d that count in; bar 1 comes after them; or press Enter", r.Beats), "or press Enter"}
}

// againText is how a practice that is over begins again.
const againText = "a note begins again, or Enter"

func stretchText(r *session.Round) string {
	if r.StretchMM > 0 {
		return fmt.Sprintf("%.0f mm", r.StretchMM)
	}
	return "-"
}

// asks are the forms of what the search for the reach asks for, longest first.
func asks(r *session.Round) []string {
	if r.Awaits == session.AwaitsKeep {
		left := "nothing is kept"
		if r.KeptMM > 0 {
			left = fmt.Sprintf("%.0f mm are kept", r.KeptMM)
		}
		return []string{"e: keep it in the profile  u: do not, ask again  q: leave, " + left, "e: keep it  u: ask again  q: leave"}
	}
	return []string{"from the first finger's fret to the last's. e: it lies at ease  u: it does not",
		"e: it lies at ease  u: it does not", "e: at ease  u: not so"}
}

// scoreText is the score in large letters, with the sign of an unsure answer
// where it rests on few notes, and the forms of its caption, longest first. While
// somebody plays the sign stands for what the score could be, and takes no room
// of its own.
func scoreText(r *session.Round) (score string, captions []string) {
	score, captions = fmt.Sprint(r.Score), []string{"score"}
	if r.Of > 0 {
		score = fmt.Sprintf("%d/%d", r.Score, r.Of)
	}
	switch {
	case r.Next.Finger > 0:
		captions = []string{"notes"}
	case r.Done && r.Of == 0:
		score, captions = "-", []string{"no score"}
	case mostlyDoubtful(r):
		if !r.Done {
			score = fmt.Sprint(r.Score)
		}
		rests := fmt.Sprintf("sure of %d/%d", r.Notes-r.Doubtful, r.Notes)
		score, captions = score+"?", []string{"score, " + rests + " notes", "score, " + rests, rests}
	case r.Best > 0:
		captions = []string{fmt.Sprintf("score, best so far %d", r.Best), fmt.Sprintf("score, best %d", r.Best)}
	}
	return score, captions
}

// widest are the widest beat and score that come while somebody plays.
func widest(r *session.Round) (beat, score string) {
	return fmt.Sprint(r.Beats), fmt.Sprintf("%d/%d", r.Of, r.Of)
}

// mostlyDoubtful reports whether the score rests on fewer than half of the notes.
func mostlyDoubtful(r *session.Round) bool { return 2*r.Doubtful > r.Notes }

// drawBeat writes beat, bar and score side by side, each over its caption.
func (b *board) drawBeat(c canvas, r *session.Round) {
	score, captions := scoreText(r)
	if r.Done {
		if r.Awaits == session.AwaitsNote {
			captions = []string{captions[0] + "; " + againText}
		}
		c.figure(0, c.w, score, "000/000", c.accent, captions...)
		return
	}
	beats := strings.Repeat(string(c.beatOn), max(0, min(r.Beat, r.Beats))) + strings.Repeat(string(c.beatOff), max(0, r.Beats-r.Beat))
	widestBeat, widestScore := widest(r)
	bar, barCaption := fmt.Sprintf("%d/%d", r.Bar, r.Bars), "bar"
	if r.Bar == 0 {
		bar, barCaption = "-", "bar: count-in"
	}
	if sign := b.s.Sign; sign.Word != "" {
		bar, barCaption = sign.Word, sign.Text
	}
	c.figure(0, c.w*20/100, fmt.Sprint(r.Beat), widestBeat, c.bold, "beat "+beats, beats, "beat")
	c.figure(c.w*20/100, c.w*40/100, bar, "00/00", c.plain, barCaption)
	c.figure(c.w*60/100, c.w*40/100, score, widestScore, c.accent, captions...)
}

// figure writes s large over the longest of its captions that fits into w columns
// from x on; usual is the widest text that usually stands there.
func (c canvas) figure(x, w int, s, usual string, style tcell.Style, captions ...string) {
	c = c.cols(x, w-2)
	fill(c.rows(0, c.h-1), s, usual, style)
	c.text(0, c.h-1, fitting(c.w, captions...), c.plain)
}
