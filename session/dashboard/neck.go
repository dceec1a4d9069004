package dashboard

import (
	"fmt"
	"math"

	"github.com/gdamore/tcell/v2"

	"stillhand/coach"
	"stillhand/session"
)

// neckRows is the neck's height: the hand's frame above, a row for each
// string, the other system's outline and the fret numbers below.
func neckRows(n coach.Neck) int { return n.Strings() + 3 }

// nutColumn leaves room for the string's name and for an open string's mark.
const nutColumn = 6

// numbered frets are the first and those that necks usually mark.
var numbered = append([]int{1}, coach.MarkerFrets...)

// fretColumns gives the column of the nut and of every fret wire on a neck
// drawn to scale over w columns: the distance from the nut is proportional to
// Neck.FretMM. Wires never share a column.
func fretColumns(dst []int, n coach.Neck, w int) []int {
	last := n.FretMM(n.Frets)
	for f := range n.Frets + 1 {
		x := nutColumn + int(math.Round(float64(w-nutColumn-2)*n.FretMM(f)/last))
		if f > 0 {
			x = max(x, dst[f-1]+1)
		}
		dst = append(dst, x)
	}
	for f, most := n.Frets, w-2; f >= 0; f, most = f-1, most-1 { // too many frets for the columns
		dst[f] = min(dst[f], most)
	}
	return dst
}

// reachOf is where the hand's window may lie: from fret lo to hi in any case
// that the tracker holds possible at 90 per cent, and from fret sureLo to
// sureHi in all of them (none if sureLo > sureHi), or in the window that the
// large letters name without doubt.
func reachOf(s *session.Snapshot) (lo, hi, sureLo, sureHi int) {
	low, high := s.Hand.Low, s.Hand.High
	if low == 0 || high < low {
		low, high = s.Hand.Position, s.Hand.Position
	}
	w := s.System.Width()
	lo, hi, sureLo, sureHi = low, min(high+w-1, s.Neck.Frets), high, low+w-1
	if !doubtful(s) {
		sureLo, sureHi = s.Hand.Position, min(s.Hand.Position+w-1, s.Neck.Frets)
	}
	return lo, hi, sureLo, sureHi
}

// drawNeck draws the neck to scale with the hand's window as a heavy frame,
// the other system's, or in practice the one asked for, as a light outline,
// and the sounding notes with their fingers.
func (b *board) drawNeck(c canvas) {
	s := b.s
	var room [coach.MaxFrets + 1]int
	cols := fretColumns(room[:0], s.Neck, c.w)
	strings := c.rows(1, s.Neck.Strings())
	b.drawStrings(strings, cols)
	if s.Hand.Position > 0 {
		b.fillWindow(strings, cols)
	}
	asked := s.Round
	switch other := s.System.Other(); {
	case asked != nil && asked.Position > 0:
		b.drawOutline(c, cols, asked.Position, s.System.Width(), "asked: "+s.Neck.Window(s.System, asked.Position, c.dash))
	case asked == nil && s.Other > 0:
		b.drawOutline(c, cols, s.Other, other.Width(), fmt.Sprintf("%s would be at %s", other.Name, s.Neck.Window(other, s.Other, c.dash)))
	}
	if s.Hand.Position > 0 {
		b.frameWindow(c, cols)
	}
	if asked != nil && asked.Next.Finger > 0 {
		b.drawNext(strings, cols, asked.Next)
	}
	for _, n := range s.Playing {
		if n.Place.String >= 1 && n.Place.String <= s.Neck.Strings() && n.Place.Fret <= s.Neck.Frets {
			b.drawFinger(strings, cols, n)
		}
	}
	b.drawNumbers(c.rows(c.h-1, 1), cols)
}

func (b *board) drawNumbers(c canvas, cols []int) {
	c.text(1, 0, "fret", c.dim)
	free := 0
	for _, f := range numbered {
		if f > b.s.Neck.Frets {
			break
		}
		label := fmt.Sprint(f)
		x := fingerColumn(cols, f) - (len(label)-1)/2
		if x < free {
			continue
		}
		c.text(x, 0, label, c.plain)
		free = x + len(label) + 1
	}
}

func (b *board) drawStrings(c canvas, cols []int) {
	for i, open := range b.s.Neck.Open {
		c.text(1, i, coach.PitchClass(open), c.plain)
		for x := cols[0]; x <= cols[len(cols)-1]; x++ {
			c.set(x, i, c.str, c.dim)
		}
		for _, x := range cols[1:] {
			c.set(x, i, c.wire, c.dim)
		}
		c.set(cols[0], i, c.nut, c.plain)
	}
}

// fillWindow draws the strings heavy on the frets that the hand surely covers
// (see reachOf), and broken where it may lie besides. A doubtful window that is
// the only one leaves none to be heavy.
func (b *board) fillWindow(c canvas, cols []int) {
	lo, hi, sureLo, sureHi := reachOf(b.s)
	alone := doubtful(b.s) && lo == sureLo
	for f := lo; f <= hi; f++ {
		str, wire := c.maybe, c.maybeWire
		if f >= sureLo && f <= sureHi && !alone && !guessed(b.s) {
			str, wire = c.held, c.heldWire
		}
		for y := range c.h {
			for x := cols[f-1] + 1; x < cols[f]; x++ {
				c.set(x, y, str, c.accent)
			}
			c.set(cols[f], y, wire, c.accent)
		}
	}
}

// frameWindow frames the window that the large letters name. Where they doubt
// it the frame is broken and spans every window that the tracker holds possible;
// a provisional window has broken sides.
func (b *board) frameWindow(c canvas, cols []int) {
	lo, hi, sureLo, sureHi := reachOf(b.s)
	left, right := cols[lo-1], cols[hi]
	edgeL, edgeR, frame, label := c.edgeL, c.edgeR, c.frame, "hand"
	if provisional(b.s) {
		edgeL, edgeR = c.maybeL, c.maybeR
	}
	if !doubtful(b.s) {
		left, right = cols[sureLo-1], cols[sureHi]
	} else {
		edgeL, edgeR, frame, label = c.maybeL, c.maybeR, c.maybeFrame, "hand, somewhere here"
		if lo == sureLo {
			label = "hand, unsure"
		}
	}
	for y := range b.s.Neck.Strings() {
		c.set(left, 1+y, edgeL, c.accent)
		c.set(right, 1+y, edgeR, c.accent)
	}
	for x := left + 1; x < right; x++ {
		c.set(x, 0, frame, c.accent)
	}
	c.set(left, 0, c.frameL, c.accent)
	c.set(right, 0, c.frameR, c.accent)
	beside(c, 0, left, right, label, c.plain)
}

// drawOutline marks a window that is not the hand's by light sides and a light
// line below.
func (b *board) drawOutline(c canvas, cols []int, position, frets int, label string) {
	hi := min(position+frets-1, b.s.Neck.Frets)
	left, right := cols[min(position, b.s.Neck.Frets)-1], cols[hi]
	y := 1 + b.s.Neck.Strings()
	for i := range b.s.Neck.Strings() {
		c.set(left, 1+i, c.otherSide, c.plain)
		c.set(right, 1+i, c.otherSide, c.plain)
	}
	for x := left + 1; x < right; x++ {
		c.set(x, y, c.otherFrame, c.plain)
	}
	c.set(left, y, c.otherL, c.plain)
	c.set(right, y, c.otherR, c.plain)
	beside(c, y, left, right, label, c.dim)
}

// beside writes label to the right of a frame, or to its left, or where neither
// has room, into the frame's line.
func beside(c canvas, y, left, right int, label string, style tcell.Style) {
	switch {
	case right+2+width(label) <= c.w:
		c.text(right+2, y, label, style)
	case left-1 >= width(label):
		c.right(left-1, y, label, style)
	default:
		c.text(left+2, y, " "+label+" ", style)
	}
}

// fingerColumn is where a finger stands to stop fret f: in the middle of its
// space low on the neck, just behind the wire where frets are close.
func fingerColumn(cols []int, f int) int {
	if f == 0 {
		return cols[0] - 2
	}
	from, to := cols[f-1]+1, cols[f]-1
	if from > to {
		return cols[f]
	}
	return (from + to + 1) / 2
}

// drawFinger marks a sounding note with the number of its finger, 0 for an
// open string, or with the sign of doubt alone where that would be a guess.
func (b *board) drawFinger(c canvas, cols []int, n session.Sounding) {
	before, after := " ", " "
	if !b.s.Hand.Settled {
		before = "~"
	}
	if n.Probability < unsure {
		after = "?"
	}
	x, y := fingerColumn(cols, n.Place.Fret), n.Place.String-1
	finger := fmt.Sprint(n.Finger)
	if n.Probability < guess {
		finger, before, after = "?", " ", " "
	}
	c.text(x, y, finger, c.alert)
	room := roomy(cols, n.Place.Fret)
	if room || before != " " {
		c.text(x-1, y, before, c.alert)
	}
	if room || after != " " {
		c.text(x+1, y, after, c.alert)
	}
}

// drawNext marks the note that is asked for next with its finger.
func (b *board) drawNext(c canvas, cols []int, s coach.Step) {
	if s.Place.String < 1 || s.Place.String > c.h || s.Place.Fret >= len(cols) {
		return
	}
	x, y := fingerColumn(cols, s.Place.Fret), s.Place.String-1
	c.text(x, y, fmt.Sprint(s.Finger), c.bold)
	if roomy(cols, s.Place.Fret) {
		c.text(x-1, y, "(", c.bold)
		c.text(x+1, y, ")", c.bold)
	}
}

// roomy reports whether a mark at fret may take a cell on either side without
// hiding a wire.
func roomy(cols []int, fret int) bool { return fret == 0 || cols[fret]-cols[fret-1] > 3 }
