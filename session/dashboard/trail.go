package dashboard

import (
	"fmt"
	"time"

	"github.com/gdamore/tcell/v2"

	"stillhand/coach"
	"stillhand/session"
)

// The position's line: a row of title, at least four of line, a row of shifts
// and a row of time.
const (
	leastTrailRows = 8
	mostTrailRows  = 18
)

// trailView is how positions and times fall on the chart.
type trailView struct {
	chart  canvas
	end    time.Duration // at the right edge
	lo, hi int           // positions shown, lo at the bottom
}

func (v trailView) column(at time.Duration) int {
	return int(int64(v.chart.w) * int64(session.TrailTime-(v.end-at)) / int64(session.TrailTime))
}

func (v trailView) row(position int) int {
	if v.hi == v.lo {
		return v.chart.h / 2
	}
	n := v.hi - v.lo
	return v.chart.h - 1 - ((position-v.lo)*(v.chart.h-1)+n/2)/n
}

// drawTrail draws the hand's position over the last half minute as a line,
// broken where it is unsure or provisional, with a shift's size under it.
func (b *board) drawTrail(c canvas) {
	s := b.s
	c.text(1, 0, "position, last half minute", c.plain)
	const left = 5
	v := trailView{chart: c.rows(1, c.h-3).cols(left, c.w-left-1), end: s.At}
	v.scale(s.Trail)
	every := 1
	if v.row(v.lo)-v.row(v.hi) < v.hi-v.lo {
		every = (v.hi-v.lo)/v.chart.h + 2
	}
	for p := v.lo; p <= v.hi; p += every {
		c.right(left-1, 1+v.row(p), fmt.Sprint(p), c.dim)
	}
	points := s.Trail
	for i := range points {
		until := s.At
		if i+1 < len(points) {
			until = points[i+1].At
		}
		v.drawPoint(points, i, until)
	}
	v.drawShifts(c.rows(c.h-2, 1).cols(left, v.chart.w), points)
	times := c.rows(c.h-1, 1).cols(left, v.chart.w)
	for ago := 30; ago >= 10; ago -= 10 {
		times.text(v.column(s.At-time.Duration(ago)*time.Second), 0, fmt.Sprintf("%d s ago", ago), c.dim)
	}
	times.right(times.w, 0, clock(s.At), c.dim)
}

// scale chooses the positions to show: those that occurred, and enough around
// them that each keeps a row of its own if possible.
func (v *trailView) scale(points []session.TrailPoint) {
	for _, p := range points {
		if p.Position == 0 {
			continue
		}
		if v.lo == 0 || p.Position < v.lo {
			v.lo = p.Position
		}
		v.hi = max(v.hi, p.Position)
	}
	if v.lo == 0 {
		v.lo, v.hi = 1, 1
	}
	for v.hi-v.lo+1 < v.chart.h {
		if v.lo > 1 {
			v.lo--
		}
		if v.hi-v.lo+1 < v.chart.h {
			v.hi++
		}
	}
}

// drawPoint draws the line of points[i] until the next note, and the move
// into it.
func (v trailView) drawPoint(points []session.TrailPoint, i int, until time.Duration) {
	c, p := v.chart, points[i]
	if p.Position == 0 {
		return
	}
	from, to := v.column(p.At), v.column(until)
	y := v.row(p.Position)
	line, style := c.line, c.bold
	if !p.Told && (!p.Settled || p.Probability < unsure) {
		line, style = c.broken, c.plain
	}
	for x := from; x <= max(from, min(to, c.w-1)); x++ {
		if p.Low > 0 && p.Low < p.High {
			for q := max(p.Low, v.lo); q <= min(p.High, v.hi); q++ {
				c.set(x, v.row(q), c.band, c.dim)
			}
		}
		c.set(x, y, line, style)
	}
	if i == 0 || points[i-1].Position == 0 || p.Told && p.Moved < coach.Likely { // a correction moved no hand
		return
	}
	before := v.row(points[i-1].Position)
	v.drawMove(from, before, y, style)
}

// drawMove joins rows before and y at column x.
func (v trailView) drawMove(x, before, y int, style tcell.Style) {
	c := v.chart
	switch {
	case y < before:
		c.set(x, before, c.upL, style)
		c.set(x, y, c.upR, style)
	case y > before:
		c.set(x, before, c.downL, style)
		c.set(x, y, c.downR, style)
	}
	for r := min(before, y) + 1; r < max(before, y); r++ {
		c.set(x, r, c.rise, style)
	}
}

// drawShifts writes each shift's size in frets under the line; one that is
// likely and not certain carries a question mark. Where the player said that the
// hand is elsewhere, that position stands there, behind the shift that was heard
// into the note, if any. What is too close to the text before it is left out: the
// word first, and a shift then has only its rise in the line above.
func (v trailView) drawShifts(c canvas, points []session.TrailPoint) {
	free := 0
	for i := 1; i < len(points); i++ {
		for _, text := range shiftTexts(points[i], points[i-1].Position) {
			x := min(v.column(points[i].At), c.w-len(text))
			if x < free {
				continue
			}
			c.text(x, 0, text, c.bold)
			free = x + len(text) + 1
			break
		}
	}
}

// shiftTexts is what may stand under p, the longest first, with the hand at before
// until then.
func shiftTexts(p session.TrailPoint, before int) []string {
	shift, said := "", ""
	switch {
	case p.Moved < coach.Likely:
	case p.Moved < certain:
		shift = fmt.Sprintf("%+d?", p.Position-before)
	default:
		shift = fmt.Sprintf("%+d", p.Position-before)
	}
	if p.Told {
		said = fmt.Sprintf("=%d", p.Position)
	}
	switch {
	case shift == "" && said == "":
		return nil
	case shift == "":
		return []string{said}
	case said == "":
		return []string{shift}
	}
	return []string{shift + " " + said, shift}
}

// certain is a probability that rounds to all.
const certain = 0.995
