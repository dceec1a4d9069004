package report

import (
	"fmt"
	"html/template"
	"slices"
	"strconv"

	"stillhand/coach"
)

// handPicture is one way to play a passage: the neck to scale with every place
// and its finger, and under it, on the same scale, the window of each stay from
// the first down.
type handPicture struct {
	id, title string
	neck      coach.Neck
	system    coach.System
	path      []coach.Step
	stays     []stay
	moves     map[int]bool // notes that the hand moved to play
	unsure    map[int]bool // notes whose place or finger is unsure
	advised   bool         // filled marks in the accent; otherwise outlined
	low, high int          // frets to show, so that two pictures compare
}

const (
	stringGap  = 20.0 // between strings
	stayGap    = 19.0 // between the windows below
	mostStays  = 7    // windows drawn; more are said in words
	mostWashes = 3    // windows also shaded on the neck: more only darken it
	neckLeft   = 40.0 // room for open strings and their names
	neckTop    = 16.0

	fingerLine = 11.0 // between two numbers in one mark
	numberGap  = 18.0 // between two fret numbers
)

// fretRange is the part of the neck that shows all stays and places of both
// ways, with a fret to spare.
func fretRange(neck coach.Neck, width int, stays []stay, path []coach.Step) (low, high int) {
	low, high = neck.Frets, 1
	for _, s := range stays {
		low, high = min(low, s.low), max(high, s.high+width-1)
	}
	for _, s := range path {
		if s.Place.Fret > 0 {
			low, high = min(low, s.Place.Fret), max(high, s.Place.Fret)
		}
	}
	return max(1, low-1), min(neck.Frets, max(high, low+3)+1)
}

func (p handPicture) bottom() float64 { return neckTop + stringGap*float64(p.neck.Strings()-1) }

func (p handPicture) height() float64 {
	rows := max(1, min(len(p.stays), mostStays+1))
	return p.bottom() + 30 + stayGap*float64(rows)
}

func (p handPicture) draw() template.HTML {
	s := newSVG(p.id, p.title, p.describe(), columnWidth, p.height())
	scale := neckScale{p.neck, p.low, neckLeft, (columnWidth - neckLeft - 8) / (p.neck.FretMM(p.high) - p.neck.FretMM(p.low-1))}
	p.drawWindows(s, scale, p.bottom(), min(len(p.stays), mostStays))
	drawNeck(s, scale, p.high, neckTop, stringGap)
	p.drawNotes(s, scale)
	return s.done()
}

// neckScale places frets on a picture: the wire before fret low lies at left.
type neckScale struct {
	neck    coach.Neck
	low     int
	left, k float64 // k is picture units to the mm
}

// wire is where fret's wire lies; 0 is the nut.
func (c neckScale) wire(fret int) float64 {
	return c.left + c.k*(c.neck.FretMM(fret)-c.neck.FretMM(c.low-1))
}

// place is where a finger on fret is drawn: midway to the wire before.
func (c neckScale) place(fret int) float64 { return (c.wire(fret-1) + c.wire(fret)) / 2 }

func drawNeck(s *svg, c neckScale, high int, top, gap float64) {
	bottom := top + gap*float64(c.neck.Strings()-1)
	for f := c.low - 1; f <= high; f++ {
		class := "fret"
		if f == 0 {
			class = "nut"
		}
		s.line(class, c.wire(f), top, c.wire(f), bottom)
	}
	for i := range c.neck.Strings() {
		y := top + gap*float64(i)
		s.line("string", c.wire(c.low-1), y, c.wire(high), y)
		s.text("name", 2, y+4, coach.PitchName(c.neck.Open[i]))
	}
	last := 0.0
	for f := c.low; f <= high; f++ {
		class, x := "number", c.place(f)
		if slices.Contains(coach.MarkerFrets, f) {
			class = "number strong"
		} else if c.wire(f)-c.wire(f-1) < numberGap {
			continue
		}
		if x-last >= numberGap {
			s.text(class, x, bottom+20, strconv.Itoa(f))
			last = x
		}
	}
}

func (p handPicture) drawWindows(s *svg, c neckScale, bottom float64, shown int) {
	for i, st := range p.stays[:shown] {
		left, right := c.wire(st.position-1), c.wire(min(p.high, st.position+p.system.Width()-1))
		if shown <= mostWashes {
			s.rect("wash", left, neckTop-7, right-left, bottom-neckTop+14, 4)
		}
		y := bottom + 27 + stayGap*float64(i)
		if st.unsure {
			low, high := c.wire(st.low-1), c.wire(min(p.high, st.high+p.system.Width()-1))
			s.rect("maybe", low, y, high-low, 14, 3)
		}
		class := "window"
		switch {
		case st.unsure:
			class = "window maybe"
		case p.advised:
			class = "window advised"
		}
		s.rect(class, left, y, right-left, 14, 3)
		label := fmt.Sprintf("%d–%d", st.position, st.position+p.system.Width()-1)
		if st.unsure {
			label += " ?"
		}
		s.text("middle small", (left+right)/2, y+11, label)
		s.text("name", 2, y+11, fmt.Sprintf("%d.", i+1))
	}
	y := bottom + 38 + stayGap*float64(shown)
	switch {
	case len(p.stays) == 0:
		s.text("small", neckLeft, y, "open strings only")
	case len(p.stays) > shown:
		s.text("small", neckLeft, y, "and "+coach.Many(len(p.stays)-shown, "more place"))
	}
}

// drawNotes marks each place once; a place that several fingers play shows
// them side by side, or one above the other where the fret is too narrow. Numbers
// are drawn last: no mark of another string hides them.
func (p handPicture) drawNotes(s *svg, c neckScale) {
	fingers := map[coach.Place][]string{}
	doubt := map[coach.Place]bool{}
	var order []coach.Place
	for _, st := range p.path {
		if _, ok := fingers[st.Place]; !ok {
			order = append(order, st.Place)
		}
		if label := fingerLabel(st); !slices.Contains(fingers[st.Place], label) {
			fingers[st.Place] = append(fingers[st.Place], label)
		}
		doubt[st.Place] = doubt[st.Place] || p.unsure[st.Note]
	}
	var numbers []func()
	for _, place := range order {
		if place.String < 1 || place.String > p.neck.Strings() {
			continue
		}
		y := neckTop + stringGap*float64(place.String-1)
		mark, text := "mark", "middle finger"
		switch {
		case doubt[place]:
			mark = "mark maybe"
		case p.advised:
			mark, text = "mark advised", "middle finger reverse"
		}
		if place.Fret == 0 {
			s.circle(mark, neckLeft-8, y, 5.5)
			continue
		}
		x := c.place(place.Fret)
		width := c.wire(place.Fret) - c.wire(place.Fret-1)
		r := max(6, min(8.5, width/2))
		more := fingerLine * float64(len(fingers[place])-1) / 2
		aside, below := more, 0.0
		if 2*(r+more) > width {
			aside, below = 0, more
		}
		s.rect(mark, x-r-aside, y-r-below, 2*(r+aside), 2*(r+below), r)
		for i, label := range fingers[place] {
			step := 0.0
			if more > 0 {
				step = fingerLine*float64(i)/more - 1
			}
			numbers = append(numbers, func() { s.text(text, x+step*aside, y+4+step*below, label) })
		}
	}
	for _, draw := range numbers {
		draw()
	}
}

// fingerLabel is the finger's number; ? where the system has no finger for it.
func fingerLabel(s coach.Step) string {
	switch {
	case s.Place.Fret == 0:
		return "0"
	case s.Finger == 0:
		return "?"
	default:
		return strconv.Itoa(s.Finger)
	}
}

func (p handPicture) describe() string {
	if len(p.stays) == 0 {
		return "Every note is an open string."
	}
	text := fmt.Sprintf("The neck from fret %d to %d. ", p.low, p.high)
	for i, st := range p.stays {
		switch {
		case i == mostStays:
			return text + "And " + coach.Many(len(p.stays)-i, "more place") + "."
		case i > 0:
			text += "Then "
		default:
			text += "The hand lies "
		}
		text += fmt.Sprintf("at frets %d to %d", st.position, st.position+p.system.Width()-1)
		if st.unsure {
			text += " (unsure)"
		}
		text += ". "
	}
	return text
}
