package session

import (
	"fmt"
	"time"

	"stillhand/coach"
)

// InputGone is why an attempt does not count.
const InputGone = "the input was gone meanwhile"

// RungPractice is one attempt at a cell of the ladder: it counts in, listens, and
// judges as soon as the last note has settled.
type RungPractice struct {
	Why string // said before the count-in; may be empty

	pace
	neck      coach.Neck
	cell      coach.Cell
	steps     []coach.Step
	from      int // index of the first note; -1 before it
	chosen    int // string that the first note told; 0 while it is any
	notes     []coach.Note
	estimates []coach.Estimate
	attempt   coach.Attempt
	gone      bool // the input is
	missed    bool // it was, at some time between the first beat and the last note asked for
}

// NewRungPractice starts an attempt with its count-in at m.Start, one note a
// beat. m.Bars is replaced by what the cell needs and as many again, for those
// who take longer. The player may begin on another string than the cell's: the
// attempt is then the same cell there.
func NewRungPractice(n coach.Neck, c coach.Cell, m Meter) (*RungPractice, error) {
	if !c.Fits(n) {
		return nil, fmt.Errorf("a cell of %d frets at position %d on string %d does not fit this neck", c.Frets(), c.Position, c.String)
	}
	steps := c.Steps(coach.CellPasses)
	m.Bars = 2 * ((len(steps) + m.Beats - 1) / m.Beats)
	return &RungPractice{pace: newPace(m), neck: n, cell: c, steps: steps, from: -1,
		notes: make([]coach.Note, 0, len(steps)), estimates: make([]coach.Estimate, 0, len(steps))}, nil
}

// Hand is where the cell begins. The player's word is taken for it: what is
// judged is whether the hand stayed.
func (p *RungPractice) Hand() (position int, from, to time.Duration) {
	return p.cell.Position, p.First() - p.Beat/2, p.Meter.End()
}

// Note listens from half a beat before the first beat on.
func (p *RungPractice) Note(index int, n coach.Note) {
	if !p.hears(n.At) || len(p.notes) == len(p.steps) {
		return
	}
	if p.from < 0 {
		p.from = index
		p.choose(n)
	}
	p.notes = append(p.notes, n)
}

// choose moves the cell to the string that the player begins on. A first note that
// begins the cell on none leaves it where it is drawn.
func (p *RungPractice) choose(n coach.Note) {
	for s := 1; s <= p.neck.Strings(); s++ {
		on := p.cell
		on.String = s
		if (n.String == 0 || n.String == s) && p.neck.Pitch(on.Steps(1)[0].Place) == n.Pitch {
			p.cell, p.steps, p.chosen = on, on.Steps(coach.CellPasses), s
		}
	}
}

// Lost tells that the input went.
func (p *RungPractice) Lost(time.Duration) { p.gone = !p.over && len(p.notes) < len(p.steps) }

// Found tells that it is back.
func (p *RungPractice) Found(at time.Duration) {
	p.missed = p.missed || p.gone && at >= p.First()-p.Beat/2
	p.gone = false
}

// Settled takes the estimate of a note of the attempt.
func (p *RungPractice) Settled(_ coach.Note, e coach.Estimate) {
	if p.over || p.from < 0 || e.Note < p.from || e.Note >= p.from+len(p.notes) {
		return
	}
	p.estimates = append(p.estimates, e)
	p.finish()
}

// Tick judges a player who has stopped.
func (p *RungPractice) Tick(now time.Duration) {
	p.now = max(p.now, now)
	p.finish()
}

// Complete is the onset of the cell's last note.
func (p *RungPractice) Complete() (time.Duration, bool) {
	n := len(p.notes)
	if n < len(p.steps) {
		return 0, false
	}
	return p.notes[n-1].At, true
}

// finish judges when all notes have settled, or when the player has stopped:
// a bar without a note after one was heard, or the bars are over.
func (p *RungPractice) finish() {
	if p.over {
		return
	}
	settled := len(p.estimates) == len(p.notes)
	stopped := p.now >= p.Meter.End()
	if n := len(p.notes); n > 0 {
		stopped = stopped || p.now >= p.notes[n-1].At+time.Duration(p.Beats)*p.Beat
	}
	if settled && (len(p.notes) == len(p.steps) || stopped) {
		p.judge()
	}
}

func (p *RungPractice) judge() {
	p.over = true
	p.attempt = coach.JudgeCell(p.neck, p.cell, p.notes, p.estimates)
	p.attempt.Early = p.early
	p.missed = p.missed || p.gone
}

// End judges what has been heard.
func (p *RungPractice) End() {
	if !p.over {
		p.judge()
	}
}

// Next is the time at which a player who has stopped is judged.
func (p *RungPractice) Next() (time.Duration, bool) {
	at := p.Meter.End()
	if n := len(p.notes); n > 0 {
		at = min(at, p.notes[n-1].At+time.Duration(p.Beats)*p.Beat)
	}
	return at, !p.over && p.now < at
}

// Attempt is the judgement, once Done.
func (p *RungPractice) Attempt() (coach.Attempt, bool) { return p.attempt, p.over }

// Counts reports whether the attempt says something about the player: it passed, or
// the input was there all the time.
func (p *RungPractice) Counts() bool { return !p.missed || p.attempt.Passed() }

// Cell is what is practised, on the string that was chosen or else drawn.
func (p *RungPractice) Cell() coach.Cell { return p.cell }

// Chosen is the string that the player began the cell on; 0 if on none.
func (p *RungPractice) Chosen() int { return p.chosen }

// View shows the fingers to play, the next one first, and the findings at the
// end.
func (p *RungPractice) View(now time.Duration) *Round {
	v := p.view(now)
	on := "any string"
	if p.chosen > 0 {
		on = fmt.Sprintf("string %d", p.chosen)
	}
	v.Title = fmt.Sprintf("%s fingers, frets %d to %d on %s", p.cell.System.Name, p.cell.Position, p.cell.Position+p.cell.Frets()-1, on)
	v.Position, v.Score, v.Of, v.StretchMM = p.cell.Position, len(p.notes), len(p.steps), p.cell.StretchMM(p.neck)
	if next := len(p.notes); next < len(p.steps) {
		s := p.steps[next]
		v.Position, v.Next = s.Position, s
		v.Call = fmt.Sprintf("finger %d, fret %d", s.Finger, s.Place.Fret)
	}
	if v.Bar == 0 && p.from < 0 {
		v.Call = fmt.Sprintf("frets %d to %d", p.cell.Position, p.cell.Position+p.cell.Frets()-1)
	}
	if !p.over {
		switch {
		case !p.begun() && p.Why != "":
			v.Detail = p.Why
		case v.Detail == "" || p.from >= 0:
			v.Detail = fmt.Sprintf("%d of %s", len(p.notes), coach.Many(len(p.steps), "note"))
		}
		return v
	}
	v.Findings = p.attempt.Findings()
	if !p.Counts() {
		v.Title, v.Call, v.Brief = InputGone, "does not count", "no count"
		v.Detail = fmt.Sprintf("%d of %s heard", len(p.notes), coach.Many(len(p.steps), "note"))
		return v
	}
	v.Call, v.Detail = "passed", "all four held"
	if p.attempt.OnTrust {
		v.Detail += ", if the hand was where it was asked: no string is told"
	}
	for _, f := range v.Findings {
		if f.Guess && !p.attempt.OnTrust {
			v.Detail = "all four held, the " + f.Name + " as a guess"
		}
		if !f.Passed {
			v.Call, v.Brief, v.Detail = "not yet: "+f.Name, "not yet", f.Name+": "+f.Text
			break
		}
	}
	return v
}
