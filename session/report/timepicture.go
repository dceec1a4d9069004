package report

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"
	"time"

	"stillhand/coach"
	"stillhand/session"
)

// mostPlanned is how many notes the fewest ways are drawn over: past it a
// picture a page wide has no room for a stay, and the sheet says so.
const mostPlanned = 20_000

// timeStrip is one way of playing the take: where the hand lies when.
type timeStrip struct {
	label  string
	width  int // frets in the window
	stays  []stay
	shifts []stripShift
	end    float64 // when what is drawn of it is over; 0 where that is all
}

type stripShift struct {
	at   float64
	sure bool
}

// timeStrips are what was played, then each system's fewest ways.
func timeStrips(r *session.Review, neck coach.Neck) []timeStrip {
	played := timeStrip{
		label: fmt.Sprintf("As played: shifts at least %d, likely %s", r.Count.AtLeast, likelyText(r)),
		width: systemOf(r.Fingers).Width(), stays: playedStays(r, 0, len(r.Notes)-1),
	}
	for _, s := range r.Shifts {
		played.shifts = append(played.shifts, stripShift{s.At, s.Kind == "sure"})
	}
	strips := []timeStrip{played}
	notes := notesOf(r)
	for _, sys := range coach.Systems {
		strip := timeStrip{width: sys.Width(), label: capital(fingersOf(sys.Name))}
		if v, ok := r.Systems[sys.Name]; ok {
			strip.label += fmt.Sprintf(", fewest possible: %d", v.Fewest)
		}
		_, path := coach.BestPath(neck, sys, notes[:min(len(notes), mostPlanned)], nearest(r))
		strip.stays = pathStays(path)
		if len(notes) > mostPlanned {
			strip.end = r.Notes[mostPlanned].At
		}
		for i, st := range strip.stays {
			if i > 0 {
				strip.shifts = append(strip.shifts, stripShift{r.Notes[st.first].At, true})
			}
		}
		strips = append(strips, strip)
	}
	return strips
}

// nearest is the position that the hand was first seen at.
func nearest(r *session.Review) int {
	for _, n := range r.Notes {
		if n.Fret > 0 {
			return int(n.Position)
		}
	}
	return 1
}

const (
	stripHeight = 38.0
	stripLeft   = 26.0
	stripHead   = 20.0 // its title
	stripLane   = 10.0 // its shifts
	tickLetter  = 7.0  // a letter under the axis, rather too wide
)

// timePicture draws the strips one under another over one time axis.
func timePicture(id string, r *session.Review, strips []timeStrip, bars Bars, width float64) template.HTML {
	low, high := math.MaxInt, 0
	for _, strip := range strips {
		for _, st := range strip.stays {
			low, high = min(low, st.position), max(high, st.position+strip.width-1)
		}
	}
	if high == 0 {
		low, high = 1, 5
	}
	high = max(high, low+4)
	end := 0.1
	for _, n := range r.Notes {
		end = max(end, n.Off, n.At)
	}
	height := float64(len(strips))*(stripHead+stripHeight+stripLane) + 22
	s := newSVG(id, "Where the hand lay over the take", describeStrips(strips, end), width, height)
	x := func(at float64) float64 { return stripLeft + (width-stripLeft-6)*min(1, max(0, at/end)) }
	ticks := timeTicks(bars, end, int(width/56))
	for i, strip := range strips {
		top := float64(i)*(stripHead+stripHeight+stripLane) + stripHead
		y := func(fret int) float64 { // upper edge of a fret's row
			return top + stripHeight*float64(high-max(low-1, min(fret, high)))/float64(high-low+1)
		}
		s.text("strip", 0, top-6, strip.label)
		for _, t := range ticks {
			s.line("grid", x(t.at), top, x(t.at), top+stripHeight)
		}
		s.line("grid", stripLeft, top, width-6, top)
		s.line("axis", stripLeft, top+stripHeight, width-6, top+stripHeight)
		for _, f := range []int{low, high} {
			s.text("number end", stripLeft-4, (y(f)+y(f-1))/2+4, strconv.Itoa(f))
		}
		over := end
		if strip.end > 0 {
			over = strip.end
		}
		drawStays(s, strip, func(note int) float64 { return r.Notes[note].At }, x, y, over)
		drawShifts(s, strip, x, top+stripHeight+stripLane)
	}
	edge := math.Inf(-1)
	for _, t := range ticks { // bars may be of any length, a pickup's the shortest
		half := tickLetter / 2 * float64(len(t.label))
		if x(t.at)-half < edge {
			continue
		}
		s.text("number", x(t.at), height-8, t.label)
		edge = x(t.at) + half + tickLetter
	}
	return s.done()
}

// drawStays draws each stay as the band of its window; stays closer together
// than two units are drawn as one band over all their frets. Too many are drawn in
// slices. at is when a note begins.
func drawStays(s *svg, strip timeStrip, at func(note int) float64, x func(float64) float64, y func(int) float64, end float64) {
	until := func(i int) float64 {
		if i+1 < len(strip.stays) {
			return at(strip.stays[i+1].first)
		}
		return end
	}
	if len(strip.stays) == 0 {
		s.text("small", x(0)+4, y(0)-6, "no fretted note")
		return
	}
	if len(strip.stays) > mostBands {
		drawSlices(s, strip, func(i int) (from, to float64) { return x(at(strip.stays[i].first)), x(until(i)) }, y, x(end))
		return
	}
	for i := 0; i < len(strip.stays); {
		first := strip.stays[i]
		band := first
		band.low, band.high = first.position, first.position
		left := x(at(first.first))
		right := x(until(i))
		merged := 0
		for i++; i < len(strip.stays) && x(until(i))-left < 2; i++ {
			next := strip.stays[i]
			band.low, band.high = min(band.low, next.position), max(band.high, next.position)
			band.unsure = band.unsure || next.unsure
			right = x(until(i))
			merged++
		}
		if i > 1 && merged == 0 { // the way from the place before
			from := strip.stays[i-2].position
			s.line("move", left, y(from), left, y(first.position-1))
		}
		if first.unsure && merged == 0 {
			s.rect("haze", left, y(first.high+strip.width-1), right-left, y(first.low-1)-y(first.high+strip.width-1), 0)
		}
		class := "band"
		if band.unsure {
			class = "band maybe"
		}
		s.rect(class, left, y(band.high+strip.width-1), max(1, right-left), y(band.low-1)-y(band.high+strip.width-1), 0)
	}
}

// drawShifts marks the shifts in the lane under a strip: filled where no
// window holds both notes, open where the shift is only likely. Marks closer
// than two units merge. Those of a strip in slices are counted in its title alone.
func drawShifts(s *svg, strip timeStrip, x func(float64) float64, base float64) {
	if len(strip.stays) > mostBands {
		return
	}
	last := math.Inf(-1)
	for _, sh := range strip.shifts {
		at := x(sh.at)
		if at-last < 2 {
			continue
		}
		last = at
		class := "shift"
		if !sh.sure {
			class = "shift maybe"
		}
		s.polygon(class, at, base-8, at-3.5, base-1, at+3.5, base-1)
	}
}

type timeTick struct {
	at    float64
	label string
}

// timeTicks are at most n marks on the axis: the starts of bars where the file
// has bars, otherwise round times.
func timeTicks(bars Bars, end float64, n int) []timeTick {
	if first, _, ok := barOf(bars, 0); ok {
		last, _, _ := bars.Bar(seconds(end))
		step := 1
		for (last-first)/step >= n {
			step *= 2
		}
		var out []timeTick
		for bar := first; bar <= last; bar += step {
			label := strconv.Itoa(bar)
			if bar == first {
				label = "bar " + label
			}
			out = append(out, timeTick{barStart(bars, bar, end), label})
		}
		return out
	}
	steps := []float64{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1200, 1800, 3600}
	i, _ := slices.BinarySearchFunc(steps, end/float64(max(1, n)), func(step, want float64) int {
		if step < want {
			return -1
		}
		return 1
	})
	step := math.Ceil(end/float64(max(1, n))/3600) * 3600
	if i < len(steps) {
		step = steps[i]
	}
	var out []timeTick
	for at := 0.0; at <= end; at += step {
		out = append(out, timeTick{at, fmt.Sprintf("%d:%02d", int(at)/60, int(at)%60)})
	}
	return out
}

// barStart is when bar begins, to a millisecond: Bar only grows with time.
func barStart(bars Bars, bar int, end float64) float64 {
	low, high := 0, int(seconds(end)/time.Millisecond)+1
	for low < high {
		mid := (low + high) / 2
		if b, _, _ := bars.Bar(time.Duration(mid) * time.Millisecond); b >= bar {
			high = mid
		} else {
			low = mid + 1
		}
	}
	return float64(low) / 1000
}

func describeStrips(strips []timeStrip, end float64) string {
	text := fmt.Sprintf("Time runs to the right, %s in all; frets run upwards. ", clock(end))
	for _, strip := range strips {
		low, high, unsure := math.MaxInt, 0, 0
		for _, st := range strip.stays {
			low, high = min(low, st.position), max(high, st.position+strip.width-1)
			if st.unsure {
				unsure++
			}
		}
		if high == 0 {
			text += strip.label + ": no fretted note. "
			continue
		}
		text += fmt.Sprintf("%s; places: %d, between frets %d and %d", strip.label, len(strip.stays), low, high)
		if unsure > 0 {
			text += fmt.Sprintf(", %d of them unsure", unsure)
		}
		text += ". "
	}
	return text
}
