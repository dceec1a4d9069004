package report

import (
	"cmp"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strconv"

	"stillhand/coach"
)

// CompareData is what a comparison's sheet is made from. Only Comparison is
// needed.
type CompareData struct {
	Comparison   *Comparison
	Title        string // "" is "Two takes side by side"
	NameA, NameB string // what the player calls the takes; "" shows the file's name
	Note         string // the teacher's words
	Student      string
	Date         string
	BarsA, BarsB Bars // nil where a file has no bars
}

// What fits on two pages.
const (
	mostCompared = 2  // partings drawn
	mostPartings = 14 // partings told
	around       = 3  // notes drawn before and after a parting
)

var (
	//go:embed compare.html
	compareSource string

	compareTemplate = template.Must(template.Must(pageTemplate.Clone()).New("compare").Parse(compareSource))
)

// CompareSheet writes the comparison as a page like Sheet's.
func CompareSheet(w io.Writer, d CompareData) error {
	c := d.Comparison
	a, b := c.reviews[0], c.reviews[1]
	neckA, err := neckOf(a)
	if err != nil {
		return fmt.Errorf("sheet: take A: %w", err)
	}
	neckB, err := neckOf(b)
	if err != nil {
		return fmt.Errorf("sheet: take B: %w", err)
	}
	page := comparePage{
		Style: template.CSS(sheetStyle), Title: plain(d.Title), Note: noteLines(d.Note), Student: plain(d.Student), Date: plain(d.Date),
		Lead: c.Said[0], Said: c.Said[1:], Rows: c.rows(), Evenness: evennessMeans,
		A: shortened(cmp.Or(d.NameA, c.A.Source)), B: shortened(cmp.Or(d.NameB, c.B.Source)), Doubt: c.doubt(), Care: careLines,
	}
	if page.Title == "" {
		page.Title = "Two takes side by side"
	}
	if c.guessed() {
		page.Guess = guessMeans
	}
	if len(c.Partings) == 0 {
		page.Nowhere = c.nowhere()
	}
	for i, p := range c.Partings {
		if i == mostPartings {
			page.Left = len(c.Partings) - i
			break
		}
		page.Partings = append(page.Partings, partingLine{c.where(p, d.BarsA, d.BarsB), p.Text})
	}
	for i, p := range c.widest() {
		page.Drawn = append(page.Drawn, c.drawParting(fmt.Sprintf("c%d", i+1), p, neckA, neckB, d))
	}
	if len(c.Columns) > 0 {
		strips, column := c.strips()
		page.Bands = stripsMean(strips[:])
		page.StripsPage = c.stripPicture("strips", strips, column, pageWidth)
		page.StripsColumn = c.stripPicture("strips-narrow", strips, column, columnWidth)
	}
	return compareTemplate.Execute(w, page)
}

type comparePage struct {
	Style                    template.CSS
	Title, Student, Date     string
	Note                     []string
	Lead                     string
	Said                     []string
	A, B, Doubt              string
	Guess                    string // what a ? means, where there is one
	Rows                     []comparedRow
	Evenness                 string
	StripsPage, StripsColumn template.HTML
	Drawn                    []passage
	Partings                 []partingLine
	Bands                    string // what the strips show
	Nowhere                  string // said where there is none
	Left                     int
	Care                     []string
}

type partingLine struct{ Where, Text string }

// doubt says how far the hands are a guess.
func (c *Comparison) doubt() string {
	a, b := unsureNotes(c.reviews[0]), unsureNotes(c.reviews[1])
	told := "the strings are told"
	switch inA, inB := c.A.Strings != "known", c.B.Strings != "known"; {
	case inA && inB:
		told = "so are the strings"
	case inA:
		told = "so are the strings of A"
	case inB:
		told = "so are the strings of B"
	}
	return fmt.Sprintf("Where the hands lay is inferred, %s; unsure (less than four-fifths sure) for %d of %s of A and %d of %d of B, drawn dashed and pale.", told, a, coach.Many(c.A.Notes, "note"), b, c.B.Notes)
}

// widest are the partings worth a picture: those over the most notes, in the
// order of the takes.
func (c *Comparison) widest() []Parting {
	out := slices.Clone(c.Partings)
	weight := func(p Parting) int { return p.To - p.From }
	slices.SortStableFunc(out, func(p, q Parting) int { return weight(q) - weight(p) })
	out = out[:min(mostCompared, len(out))]
	slices.SortFunc(out, func(p, q Parting) int { return p.From - q.From })
	return out
}

// drawParting draws both hands over a parting and a few notes around it.
func (c *Comparison) drawParting(id string, p Parting, neckA, neckB coach.Neck, d CompareData) passage {
	from, to := max(0, p.From-around), min(len(c.Columns)-1, p.To+around, p.From+mostDrawnNotes)
	out := passage{Where: c.where(p, d.BarsA, d.BarsB), Why: p.Text}
	pictures := [2]handPicture{}
	low, high := math.MaxInt, 0
	for i, neck := range []coach.Neck{neckA, neckB} {
		r, name := c.reviews[i], string(rune('A'+i))
		sys := systemOf(r.Fingers)
		first, last := c.noteRange(i, from, to)
		h := handPicture{id: id + name, title: "Take " + name + ", " + out.Where, neck: neck, system: sys, unsure: map[int]bool{},
			path: playedSteps(r, first, last), stays: playedStays(r, first, last), moves: movesIn(r, first, last)}
		for n := first; n <= last; n++ {
			h.unsure[n] = fingerUnsure(r, r.Notes[n])
		}
		l, u := fretRange(neck, sys.Width(), h.stays, h.path)
		low, high = min(low, l), max(high, u)
		pictures[i] = h
	}
	for i := range pictures {
		h := &pictures[i]
		h.low, h.high = min(low, h.neck.Frets), min(high, h.neck.Frets)
		label := fmt.Sprintf("%s, %s", string(rune('A'+i)), fingersDeclared(c.reviews[i]))
		w := way{label, h.draw(), cells(c.reviews[i], *h)}
		if i == 0 {
			out.Played = w
		} else {
			out.Advised = w
		}
	}
	return out
}

// mostDrawnNotes is how far a drawn parting goes: a passage's length.
const mostDrawnNotes = 24

// noteRange is the first and last note of take i in the columns; last before
// first where it has none.
func (c *Comparison) noteRange(i, from, to int) (first, last int) {
	first, last = 0, -1
	for _, col := range c.Columns[from : to+1] {
		note := col.A
		if i == 1 {
			note = col.B
		}
		if note == nil {
			continue
		}
		if last < first {
			first = *note
		}
		last = *note
	}
	return first, last
}

// strips are both hands, and the column of each note of either take.
func (c *Comparison) strips() (strips [2]timeStrip, column [2][]int) {
	column = [2][]int{make([]int, c.A.Notes), make([]int, c.B.Notes)}
	for i, col := range c.Columns {
		if col.A != nil {
			column[0][*col.A] = i
		}
		if col.B != nil {
			column[1][*col.B] = i
		}
	}
	for i, r := range c.reviews {
		name := string(rune('A' + i))
		sys := systemOf(r.Fingers)
		_, last := c.noteRange(i, 0, len(c.Columns)-1)
		strips[i] = timeStrip{label: fmt.Sprintf("%s: shifts at least %d, likely %s", name, r.Count.AtLeast, likelyText(r)), width: sys.Width(), stays: playedStays(r, 0, last)}
		for _, s := range r.Shifts {
			if int(s.Note) <= last {
				strips[i].shifts = append(strips[i].shifts, stripShift{float64(column[i][s.Note]), s.Kind == "sure"})
			}
		}
	}
	return strips, column
}

// stripPicture shows both hands note by note, the takes' notes one under the
// other, and marks where the notes themselves differ.
func (c *Comparison) stripPicture(id string, strips [2]timeStrip, column [2][]int, width float64) template.HTML {
	const head, strip, lane, foot = 22.0, 52.0, 10.0, 34.0
	low, high := math.MaxInt, 0
	for _, one := range strips {
		for _, st := range one.stays {
			low, high = min(low, st.position), max(high, st.position+one.width-1)
		}
	}
	if high == 0 {
		low, high = 1, 5
	}
	high = max(high, low+4)
	end := float64(len(c.Columns))
	s := newSVG(id, "Both hands, note by note", c.describeStrips(), width, 2*(head+strip+lane)+foot)
	x := func(at float64) float64 { return stripLeft + (width-stripLeft-6)*at/end }
	for i := range strips {
		top := head + float64(i)*(head+strip+lane)
		y := func(fret int) float64 {
			return top + strip*float64(high-max(low-1, min(fret, high)))/float64(high-low+1)
		}
		s.text("strip", 0, top-6, strips[i].label)
		s.line("grid", stripLeft, top, width-6, top)
		s.line("axis", stripLeft, top+strip, width-6, top+strip)
		for _, f := range []int{low, high} {
			s.text("number end", stripLeft-4, (y(f)+y(f-1))/2+4, strconv.Itoa(f))
		}
		drawStays(s, strips[i], func(note int) float64 { return float64(column[i][note]) }, x, y, end)
		drawShifts(s, strips[i], x, top+strip+lane)
	}
	y := 2*(head+strip+lane) + 16
	last := math.Inf(-1)
	for i, col := range c.Columns {
		sign := map[string]string{"wrong": "×", "missing": "−", "extra": "+"}[col.Kind]
		at := x(float64(i) + 0.5)
		if sign == "" || at-last < 7 {
			continue
		}
		s.text("middle finger", at, y, sign)
		last = at
	}
	s.text("small", 0, y+14, "note by note: × wrong in B, − missing, + extra")
	return s.done()
}

func (c *Comparison) describeStrips() string {
	text := "The notes run to the right, frets upwards. "
	for _, sentence := range c.Said {
		text += sentence + " "
	}
	return text
}
