package dashboard

import (
	"fmt"
	"strings"

	"github.com/gdamore/tcell/v2"

	"stillhand/session"
)

// drawRound is the screen of a practice round: what is asked, what holds, the
// beat, the bar and the score large; below them the neck, except in the far
// view.
func (b *board) drawRound(c canvas) {
	r := b.s.Round
	if !b.far {
		if neck := neckRows(b.s.Neck); c.h-neck >= leastRoundRows {
			b.drawNeck(c.rows(c.h-neck, neck))
			c = c.rows(0, c.h-neck)
		}
	}
	c = c.cols(1, c.w-2)
	c.text(0, c.h-1, clip(r.Detail, c.w), c.bold)
	c = c.rows(0, c.h-1)

	beat := size{4, 2}
	if !c.shows(beat) || c.h < leastRoundRows-1 {
		beat = size{2, 1}
	}
	for next := (size{beat.w * 2, beat.h * 2}); c.h >= 2*next.rows(glyphRows)+4; next = (size{beat.w * 2, beat.h * 2}) {
		beat = next
	}
	low := beat.rows(glyphRows) + 1
	top := c.rows(0, c.h-low)
	asked := top.rows(0, top.h/2)
	used := asked.biggest(r.Title, c.plain)
	call := r.Call
	if r.Done {
		call = "round over"
	}
	top.rows(used, top.h-used).biggest(call, c.accent)
	b.drawBeat(c.rows(c.h-low, low), r, beat)
}

// leastRoundRows holds a round without its neck.
const leastRoundRows = 14

// drawBeat writes beat, bar and score side by side, each over its caption.
func (b *board) drawBeat(c canvas, r *session.Round, z size) {
	x := 0
	put := func(share int, text, caption string, style tcell.Style) { // share in hundredths of the width
		at := c.cols(x, c.w*share/100-2)
		x += c.w * share / 100
		fit := z
		for fit.cols(dots(text)) > at.w && fit.w > 2 {
			fit.w /= 2
		}
		if at.shows(fit) && fit.cols(dots(text)) <= at.w {
			at.large(0, 0, text, fit, style)
		} else {
			at.text(0, 0, text, style)
		}
		at.text(0, at.h-1, clip(caption, at.w), c.plain)
	}
	beats := ""
	if !r.Done {
		beats = strings.Repeat(string(c.beatOn), max(0, min(r.Beat, r.Beats))) + strings.Repeat(string(c.beatOff), max(0, r.Beats-r.Beat))
	}
	put(20, fmt.Sprint(r.Beat), "beat "+beats, c.bold)
	if r.Bar == 0 && !r.Done {
		put(45, "-", "bar: count-in", c.plain)
	} else {
		put(45, fmt.Sprintf("%d/%d", r.Bar, r.Bars), "bar", c.plain)
	}
	put(35, fmt.Sprint(r.Score), fmt.Sprintf("score, best %d", r.Best), c.accent)
}
