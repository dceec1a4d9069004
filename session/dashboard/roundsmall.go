package dashboard

import (
	"fmt"
	"strings"

	"github.com/gdamore/tcell/v2"

	"stillhand/session"
)

// drawSmallRound is a practice on a terminal with little room: two parts, what
// is asked and how it goes, as large as they fit, and a row that says what they
// are. A result goes first, and what is to be said of it below; a sign stands for the score.
func (c canvas) drawSmallRound(r *session.Round, sign session.Sign) {
	caption := c.rows(c.h-1, 1)
	upper := c.rows(0, c.h/2)
	lower := c.rows(c.h/2, c.h-1-c.h/2)
	switch {
	case counting(r):
		upper.largestOf(c.accent, r.Call, r.Brief)
		score, captions := scoreText(r)
		if sign.Word != "" {
			score = sign.Word
		}
		third := c.w / 3
		widestBeat, widestScore := widest(r)
		fill(lower.cols(0, third-2), fmt.Sprint(r.Beat), widestBeat, c.bold)
		fill(lower.cols(third, c.w-third), score, widestScore, c.accent)
		now := "beat, " + captions[0]
		if r.Bar == 0 {
			now = "count-in: wait"
		}
		short, _, _ := strings.Cut(now, ", best") // the best so far matters less than the title
		caption.text(0, 0, fitting(c.w, now+c.dot+r.Title, short+c.dot+r.Title, now), c.plain)
	case r.Awaits == session.AwaitsAnswer, r.Awaits == session.AwaitsKeep:
		upper.largestOf(c.accent, r.Call, r.Brief)
		fill(lower, stretchText(r), "000 mm", c.bold)
		caption.text(0, 0, fitting(c.w, asks(r)...), c.bold)
	case r.Done:
		score, captions := scoreText(r)
		text, again := captions[0], againText
		if r.Of > 0 && len(r.Findings) == 0 {
			fill(upper, score, "00/00", c.accent)
			if mostlyDoubtful(r) { // what the score rests on belongs to it
				again = captions[1] + "; play again"
			}
		} else {
			upper.largestOf(c.accent, r.Call, r.Brief)
			text = r.Title
		}
		y := lower.paragraph(r.Detail, c.bold)
		lower.rows(y, lower.h-y).paragraph(r.Remark, c.plain)
		if r.Awaits == session.AwaitsNote {
			text = fitting(c.w, text+"; "+againText, again)
		}
		caption.text(0, 0, clip(text, c.w), c.plain)
	default: // it waits for a note
		upper.largestOf(c.accent, r.Call, r.Brief)
		lower.largestOf(c.bold, "play a note to begin", "play to begin")
		caption.text(0, 0, fitting(c.w, "or press Enter"+c.dot+r.Title, "or press Enter"), c.plain)
	}
}

// largestOf writes the one of texts, longest first, that fits into c in the
// largest letters; the first one small where none is large.
func (c canvas) largestOf(style tcell.Style, texts ...string) {
	best, dot := texts[0], size{}
	for _, s := range texts {
		if _, z, ok := c.largest(s); ok && (z.h > dot.h || z.h == dot.h && z.w > dot.w) {
			best, dot = s, z
		}
	}
	c.biggest(best, style)
}
