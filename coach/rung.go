package coach

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"
)

// What an attempt must reach. All four are ours: chosen so that a steady
// amateur passes and a hesitation at the widest stretch does not, not taken
// from a study.
const (
	CellPasses    = 2    // times up and down in one attempt
	MaxEvenness   = 0.10 // coefficient of variation of the onsets
	MinConnection = 0.80 // share of connected pairs
	MinOneWindow  = 0.50 // no pair more likely a shift than not: the model's border of a likely shift
)

// Rung is one step of the ladder: a cell at a position, on whichever string.
// Rungs are comparable and fit for keeping.
type Rung struct {
	Kind     CellKind
	System   string
	Position int
}

// Cell is the rung on a string. It fails on a system that does not exist.
func (r Rung) Cell(str int) (Cell, error) {
	s, err := ParseSystem(r.System)
	return Cell{Kind: r.Kind, System: s, Position: r.Position, String: str}, err
}

// Text names the rung: "four fingers, frets 9 to 12".
func (r Rung) Text() string {
	cell, err := r.Cell(1)
	if err != nil {
		return fmt.Sprintf("position %d", r.Position)
	}
	text := fmt.Sprintf("%s fingers, frets %d to %d", r.System, r.Position, r.Position+cell.Frets()-1)
	if r.Kind == FiveCell {
		text += " with a shift"
	}
	return text
}

// Attempt is what was heard of one cell.
type Attempt struct {
	Asked, Heard int  // notes
	Right        bool // the notes asked and no others, in whatever order
	InOrder      bool // the notes asked, one after another; implies Right
	FirstWrong   int  // index of the first note that is not the one asked; -1 if InOrder
	WrongString  int  // that note's, if it has the pitch asked all the same; 0 otherwise
	Early        int  // notes struck too soon before bar 1, in none of the other figures
	OnTrust      bool // no string was told: pitch alone does not say where the cell was played

	ShiftsAsked int // by the cell itself: none in a window cell
	// OneWindow and OneWindowLow say how probable it is that the hand made no
	// shift beyond those asked, from the tracker's probability of a shift into
	// each note. OneWindow is 1 less the largest that is left once the asked
	// shifts are set aside: what the least sure pair of notes allows, and for a
	// window cell an upper bound. OneWindowLow is a lower bound.
	OneWindow, OneWindowLow float64

	Evenness   float64 // see Evenness; NaN if too few notes
	Connection float64 // share of pairs inside one window that were connected; NaN without pairs
	Pairs      int     // pairs that Connection is taken over
}

// JudgeCell compares what was heard with CellPasses passes of the cell.
// notes and estimates run in parallel, from the first note of the attempt;
// estimates should be settled. A note whose string the input does not tell is
// compared by pitch.
//
// Notes tell places and times, not fingers: whoever plays the cell with one
// finger is told from a hand that lies still by the breaks between the notes,
// which is what Connection hears.
//
// Connection leaves out the pairs at which the cell itself asks for a shift:
// the same finger cannot connect two frets. The figures of a wrong or
// incomplete attempt are those of the notes that were heard.
func JudgeCell(n Neck, c Cell, notes []Note, estimates []Estimate) Attempt {
	steps := c.Steps(CellPasses)
	a := Attempt{Asked: len(steps), Heard: len(notes), FirstWrong: -1, ShiftsAsked: shiftsIn(steps)}
	a.Right = sameNotes(n, steps, notes)
	for i := range max(len(steps), len(notes)) {
		if i >= len(steps) || i >= len(notes) || !plays(n, notes[i], steps[i].Place) {
			a.FirstWrong = i
			if i < len(steps) && i < len(notes) && notes[i].Pitch == n.Pitch(steps[i].Place) {
				a.WrongString = notes[i].String
			}
			break
		}
	}
	a.InOrder = a.FirstWrong < 0
	a.OnTrust = !slices.ContainsFunc(notes, func(n Note) bool { return n.String != 0 })
	a.OneWindow, a.OneWindowLow = stayed(estimates, a.ShiftsAsked)

	onsets := make([]time.Duration, len(notes))
	connected := 0
	for i, note := range notes {
		onsets[i] = note.At
		if i == 0 || (i < len(steps) && steps[i].Position != steps[i-1].Position) {
			continue
		}
		a.Pairs++
		if note.Gap <= LegatoGap {
			connected++
		}
	}
	a.Evenness = Evenness(onsets)
	a.Connection = float64(connected) / float64(a.Pairs) // NaN without pairs
	return a
}

// plays reports whether note sounds place, as far as the input tells.
func plays(n Neck, note Note, place Place) bool {
	return note.Pitch == n.Pitch(place) && (note.String == 0 || note.String == place.String)
}

// sameNotes reports whether the notes are those of steps in some order. The
// cell lies on one string, so its places differ in pitch.
func sameNotes(n Neck, steps []Step, notes []Note) bool {
	if len(steps) != len(notes) {
		return false
	}
	left := map[int]int{}
	for _, s := range steps {
		left[n.Pitch(s.Place)]++
	}
	for _, note := range notes {
		if note.String != 0 && note.String != steps[0].Place.String {
			return false
		}
		if left[note.Pitch]--; left[note.Pitch] < 0 {
			return false
		}
	}
	return true
}

// stayed judges the shifts after the first note. With m the probabilities of a
// shift and N their number, the sum of m is E[N]. Where no shift is asked,
// P(N > 0) lies between max(m) and sum(m). Where k are asked and made,
// P(N > k) is at most sum(m) - k (Markov's inequality on N - k); high then
// looks at the pairs left over after the k likeliest.
func stayed(estimates []Estimate, asked int) (high, low float64) {
	if len(estimates) < 2 {
		return 1, 1
	}
	moved := make([]float64, 0, len(estimates)-1)
	sum := 0.0
	for _, e := range estimates[1:] {
		moved = append(moved, e.Moved)
		sum += e.Moved
	}
	slices.SortFunc(moved, func(a, b float64) int { return cmp.Compare(b, a) })
	high = 1
	if asked < len(moved) {
		high = 1 - moved[asked]
	}
	low = min(high, max(0, 1-sum+float64(asked)))
	return high, low
}

// Passed reports whether the attempt is evidence that the rung holds.
func (a Attempt) Passed() bool {
	for _, f := range a.Findings() {
		if !f.Passed {
			return false
		}
	}
	return true
}

// Finding is one thing judged, with its figures.
type Finding struct {
	Name   string // notes, window, evenness or connection
	Passed bool
	Guess  bool // it passed, as far as can be told
	Text   string
}

// Findings says of each thing judged whether it passed, and by what figure.
func (a Attempt) Findings() []Finding {
	notes := Finding{Name: "notes", Passed: a.InOrder, Text: fmt.Sprintf("%d of %s right and in order", a.Heard, Many(a.Asked, "note"))}
	switch {
	case a.InOrder:
	case a.FirstWrong == a.Heard:
		notes.Text = fmt.Sprintf("%d of %s heard", a.Heard, Many(a.Asked, "note"))
	case a.Right:
		notes.Text = fmt.Sprintf("the right notes, out of order from note %d on", a.FirstWrong+1)
	case a.WrongString > 0:
		notes.Text = fmt.Sprintf("note %d: the pitch asked, but at another fret, on string %d", a.FirstWrong+1, a.WrongString)
	default:
		notes.Text = fmt.Sprintf("note %d is not the one asked (%d heard, %d asked)", a.FirstWrong+1, a.Heard, a.Asked)
	}
	switch {
	case a.Early == 0:
	case a.FirstWrong == 0:
		notes.Text = fmt.Sprintf("%s (%d of %d heard)", TooSoon(a.Early), a.Heard, a.Asked)
	default:
		notes.Text += fmt.Sprintf("; %d before bar 1 not counted", a.Early)
	}
	window := Finding{Name: "window", Passed: a.Heard > 0 && a.OneWindow >= MinOneWindow}
	window.Guess = window.Passed && (a.OnTrust || a.OneWindow < Sure)
	kept := "the hand stayed"
	if a.ShiftsAsked > 0 {
		kept = fmt.Sprintf("no shift but the %d asked", a.ShiftsAsked)
	}
	if window.Guess {
		kept = "a guess: " + kept
	}
	window.Text = fmt.Sprintf("%s, probability %s (at least %.2f)", kept, between(a.OneWindowLow, a.OneWindow, window.Passed), MinOneWindow)
	switch {
	case a.Heard == 0:
		window.Text = "nothing heard"
	case a.OnTrust && window.Passed:
		window.Text = fmt.Sprintf("%s, probability %s, if it began there", kept, between(a.OneWindowLow, a.OneWindow, true))
	}
	even := Finding{Name: "evenness", Passed: a.Evenness <= MaxEvenness}
	even.Text = fmt.Sprintf("times between notes vary by %s per cent (at most %.0f)", shown(100*a.Evenness, 100*MaxEvenness, 1, even.Passed), 100*MaxEvenness)
	if math.IsNaN(a.Evenness) {
		even.Text = "too few notes to tell"
	}
	joined := Finding{Name: "connection", Passed: a.Connection >= MinConnection}
	joined.Text = fmt.Sprintf("%s per cent of %s connected (at least %.0f)", shown(100*a.Connection, 100*MinConnection, 0, joined.Passed), Many(a.Pairs, "pair"), 100*MinConnection)
	if math.IsNaN(a.Connection) {
		joined.Text = "too few notes to tell"
	}
	return []Finding{notes, window, even, joined}
}

// TooSoon says of n notes, at least one, that they came before the first bar.
func TooSoon(n int) string {
	if n == 1 {
		return "a note came before bar 1 and was not counted"
	}
	return fmt.Sprintf("%d notes came before bar 1 and were not counted", n)
}

// between prints a probability of one window known between two bounds, of which
// the higher one passed or not.
func between(low, high float64, passed bool) string {
	l, h := shown(low, MinOneWindow, 2, passed), shown(high, MinOneWindow, 2, passed)
	if l != h {
		return l + " to " + h
	}
	return h
}

// shown prints f with so many places. What did not pass is never rounded onto the
// border that it missed.
func shown(f, border float64, places int, passed bool) string {
	text := strconv.FormatFloat(f, 'f', places, 64)
	if !passed && text == strconv.FormatFloat(border, 'f', places, 64) {
		text = strconv.FormatFloat(border+math.Copysign(math.Pow10(-places), f-border), 'f', places, 64)
	}
	return text
}
