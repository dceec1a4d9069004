package session

import (
	"fmt"
	"time"

	"stillhand/coach"
)

// RungPractice is one attempt at a cell of the ladder or of the search for the
// reach: it counts in, listens, and judges as soon as the last note has
// settled.
type RungPractice struct {
	pace
	neck      coach.Neck
	cell      coach.Cell
	steps     []coach.Step
	from      int // index of the first note; -1 before it
	notes     []coach.Note
	estimates []coach.Estimate
	attempt   coach.Attempt
}

// NewRungPractice starts an attempt with its count-in at m.Start, one note a
// beat. m.Bars is replaced by what the cell needs and as many again, for those
// who take longer.
func NewRungPractice(n coach.Neck, c coach.Cell, m Meter) (*RungPractice, error) {
	if !c.Fits(n) {
		return nil, fmt.Errorf("a cell of %d frets at position %d on string %d does not fit this neck", c.Frets(), c.Position, c.String)
	}
	steps := c.Steps(coach.CellPasses)
	m.Bars = 2 * ((len(steps) + m.Beats - 1) / m.Beats)
	return &RungPractice{pace: newPace(m), neck: n, cell: c, steps: steps, from: -1,
		notes: make([]coach.Note, 0, len(steps)), estimates: make([]coach.Estimate, 0, len(steps))}, nil
}

// Note listens from half a beat before the first beat on. The cell says where
// the hand begins and the player's word is taken for it: the first note is
// anchored there, and what is judged is whether the hand stayed.
func (p *RungPractice) Note(index int, n coach.Note) int {
	if p.over || n.At < p.First()-p.Beat/2 || n.At >= p.Meter.End() || len(p.notes) == len(p.steps) {
		return 0
	}
	p.notes = append(p.notes, n)
	if p.from >= 0 {
		return 0
	}
	p.from = index
	return p.cell.Position
}

func (p *RungPractice) Settled(e coach.Estimate) {
	if p.over || p.from < 0 || e.Note < p.from || e.Note >= p.from+len(p.notes) {
		return
	}
	p.estimates = append(p.estimates, e)
	p.finish()
}

func (p *RungPractice) Tick(now time.Duration) (Pulse, bool) {
	b, isNew := p.tick(now)
	p.finish()
	return b, isNew
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
}

// End judges what has been heard.
func (p *RungPractice) End() {
	if !p.over {
		p.judge()
	}
}

// Next is the next beat, or the time at which a player who stopped is judged.
func (p *RungPractice) Next() (time.Duration, bool) {
	at, ok := p.next()
	if n := len(p.notes); ok && n > 0 {
		if stop := p.notes[n-1].At + time.Duration(p.Beats)*p.Beat; stop > p.now {
			at = min(at, stop)
		}
	}
	return at, ok
}

func (p *RungPractice) Done() bool { return p.over }

// Attempt is the judgement, once Done.
func (p *RungPractice) Attempt() (coach.Attempt, bool) { return p.attempt, p.over }

// Cell is what is practised.
func (p *RungPractice) Cell() coach.Cell { return p.cell }

// View shows the fingers to play, the next one first, and the findings at the
// end.
func (p *RungPractice) View() *Round {
	v := p.view()
	v.Title = fmt.Sprintf("%s fingers, frets %d to %d on string %d", p.cell.System.Name, p.cell.Position, p.cell.Position+p.cell.Frets()-1, p.cell.String)
	v.Position, v.Score, v.Of = p.cell.Position, len(p.notes), len(p.steps)
	if next := len(p.notes); next < len(p.steps) {
		s := p.steps[next]
		v.Position, v.Next = s.Position, s
		v.Call = fmt.Sprintf("finger %d, fret %d", s.Finger, s.Place.Fret)
	}
	if !p.over {
		v.Detail = fmt.Sprintf("%d of %d notes", len(p.notes), len(p.steps))
		return v
	}
	v.Findings = p.attempt.Findings()
	v.Call, v.Detail = "passed", "all four held"
	for _, f := range v.Findings {
		if !f.Passed {
			v.Call, v.Detail = "not yet", f.Name+": "+f.Text
			break
		}
	}
	return v
}
