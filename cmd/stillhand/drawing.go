package main

import (
	"fmt"
	"math"
	"strings"

	"stillhand/coach"
)

// drawing draws a neck to scale, width columns from the nut to the last fret.
type drawing struct {
	neck  coach.Neck
	width int
	ascii bool // for terminals that show nothing else
}

// Columns of a drawing: as many as go into a usual terminal beside the strings'
// names, and as few as still give each fret of the highest cell one of its own.
const (
	usualDrawing = 74
	leastDrawing = 36
	besideNeck   = 4 // the string's name and the nut
)

// neckDrawing is one for the terminal.
func (w *world) neckDrawing(n coach.Neck) drawing {
	width := usualDrawing
	if columns := w.columns(); columns > 0 {
		width = max(leastDrawing, min(width, columns-besideNeck))
	}
	return drawing{n, width, !w.utf8()}
}

// glyphs are the nut, a string and a wire, as on the dashboard.
func (d drawing) glyphs() (nut, str, wire rune) {
	if d.ascii {
		return 'H', '-', '+'
	}
	return '║', '─', '┼'
}

// column is where fret f lies: its distance from the nut is proportional to
// Neck.FretMM.
func (d drawing) column(f int) int {
	return int(math.Round(float64(d.width-1) * d.neck.FretMM(f) / d.neck.FretMM(d.neck.Frets)))
}

// numbers writes the fret numbers over their frets, as many as have room.
func (d drawing) numbers() string {
	row, free := []byte(strings.Repeat(" ", d.width)), 0
	for f := 1; f <= d.neck.Frets; f++ {
		label := fmt.Sprint(f)
		at := d.column(f) - len(label) + 1
		if at >= free && at+len(label) <= d.width {
			copy(row[at:], label)
			free = at + len(label) + 1
		}
	}
	return strings.TrimRight(string(row), " ")
}

// cell draws the strings with the fingers of a cell on its own.
func (d drawing) cell(c coach.Cell) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%4s%s\n", "", d.numbers())
	nut, str, wire := d.glyphs()
	for s := 1; s <= d.neck.Strings(); s++ {
		row := []rune(strings.Repeat(string(str), d.width))
		for f := 1; f <= d.neck.Frets; f++ {
			row[d.column(f)] = wire
		}
		if s == c.String {
			for _, step := range c.Steps(1)[:(len(c.Steps(1))+1)/2] {
				row[d.column(step.Place.Fret)] = rune('0' + step.Finger)
			}
		}
		fmt.Fprintf(&b, "%-3s%c%s\n", coach.PitchClass(d.neck.Open[s-1]), nut, string(row))
	}
	return b.String()
}

// ruler draws hands side by side from their first fingers on, so that their
// stretches can be compared.
type ruler struct {
	width   int     // columns
	mm      float64 // of the last column
	reachMM float64
}

// leastRuler is as few columns as still tell four fingers apart at every position.
const leastRuler = 16

// newRuler is wide enough for every window of the neck and for the reach.
func newRuler(n coach.Neck, reachMM float64, width int) ruler {
	r := ruler{width, reachMM, reachMM}
	for _, s := range coach.Systems {
		if n.Fits(s.Width()) {
			r.mm = max(r.mm, n.StretchMM(1, s.Width()))
		}
	}
	return r
}

func (r ruler) column(mm float64) int {
	if r.mm == 0 { // no window fits this neck
		return 0
	}
	return int(math.Round(float64(r.width-1) * mm / r.mm))
}

// head is a scale in mm.
func (r ruler) head() string {
	row, free := []byte(strings.Repeat(" ", r.width)), 0
	for mm := 0; mm <= int(r.mm); mm += 20 {
		label := fmt.Sprint(mm)
		if at := r.column(float64(mm)); at >= free && at+len(label) <= r.width {
			copy(row[at:], label)
			free = at + len(label) + 1
		}
	}
	return strings.TrimRight(string(row), " ")
}

// hand draws the widest system that fits at position p: every finger at its
// fret, = between them as far as the narrowest system goes, - beyond.
func (r ruler) hand(n coach.Neck, p int) string {
	row := []byte(strings.Repeat(" ", r.width))
	if r.reachMM > 0 {
		row[r.column(r.reachMM)] = '|'
	}
	widest, narrowest := coach.System{}, 0
	for _, s := range coach.Systems {
		if p+s.Width()-1 > n.Frets {
			continue
		}
		if widest.Fingers == nil || s.Width() > widest.Width() {
			widest = s
		}
		if narrowest == 0 || s.Width() < narrowest {
			narrowest = s.Width()
		}
	}
	if widest.Fingers == nil {
		return ""
	}
	for x := range r.column(n.StretchMM(p, widest.Width())) {
		if row[x] == '|' {
			continue
		}
		row[x] = '-'
		if x <= r.column(n.StretchMM(p, narrowest)) {
			row[x] = '='
		}
	}
	for _, f := range widest.Fingers {
		row[r.column(n.StretchMM(p, f.Offset+1))] = byte('0' + f.Number)
	}
	return string(row)
}
