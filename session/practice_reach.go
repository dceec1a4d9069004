package session

import (
	"fmt"
	"slices"
	"time"

	"stillhand/coach"
)

// ReachPractice asks for the window cell from high to low until the player
// says that it is not easy, then whether to keep what was found. Nothing is
// measured. Whoever plays the next cell down has said by it that the one before
// was easy, with both hands on the instrument.
type ReachPractice struct {
	Unsaved bool    // what is found goes into no profile
	KeptMM  float64 // of the search before it that the player kept; 0 if none

	neck   coach.Neck
	system coach.System
	search *coach.ReachSearch
	last   []coach.Note // newest notes, as many as a cell has fingers
	played bool         // the cell asked for has been heard
	proven int          // newest position that was easy and had been heard
	kept   bool         // the player's last word
	over   bool
}

// NewReachPractice starts a search.
func NewReachPractice(n coach.Neck, s coach.System) *ReachPractice {
	return &ReachPractice{neck: n, system: s, search: coach.NewReachSearch(n, s)}
}

// Clock is none: reach knows no beat.
func (p *ReachPractice) Clock() Meter { return Meter{} }

// Hand is nowhere: what is asked changes on the way.
func (p *ReachPractice) Hand() (int, time.Duration, time.Duration) { return 0, 0, 0 }

// Note listens for the cell asked for and for the next one down.
func (p *ReachPractice) Note(_ int, n coach.Note) {
	if p.Done() {
		return
	}
	if len(p.last) == len(p.system.Fingers) {
		p.last = p.last[:copy(p.last, p.last[1:])]
	}
	p.last = append(p.last, n)
	switch at := p.search.Position(); {
	case p.heard(at):
		p.played = true
	case p.played && p.heard(at-1):
		p.easy()
		p.played = p.search.Position() > 0
	}
}

// heard reports whether the newest notes are the cell at position from the
// lowest fret up, on whichever string.
func (p *ReachPractice) heard(position int) bool {
	for s := 1; s <= p.neck.Strings(); s++ {
		cell := coach.Cell{Kind: coach.WindowCell, System: p.system, Position: position, String: s}
		if !cell.Fits(p.neck) {
			continue
		}
		up := cell.Steps(1)[:len(p.system.Fingers)]
		if slices.EqualFunc(p.last, up, func(n coach.Note, step coach.Step) bool {
			return n.Pitch == p.neck.Pitch(step.Place) && (n.String == 0 || n.String == s)
		}) {
			return true
		}
	}
	return false
}

// Answer takes the player's word: on the cell asked for, and at the end on
// whether what was found is kept (easy) or asked for again.
func (p *ReachPractice) Answer(easy bool) {
	_, found := p.search.Reach(0)
	switch {
	case p.Done():
		return
	case found && easy:
		p.kept = true
	case found:
		p.search, p.proven = coach.NewReachSearch(p.neck, p.system), 0
	case easy:
		p.easy()
	default:
		p.search.NotEasy()
	}
	p.played = false
}

func (p *ReachPractice) easy() {
	if p.played {
		p.proven = p.search.Position()
	}
	p.search.Easy()
}

// Settled tells nothing: only the player's word counts.
func (p *ReachPractice) Settled(coach.Note, coach.Estimate) {}

// Tick tells nothing either.
func (p *ReachPractice) Tick(time.Duration) {}

// Next is never: there is no hurry.
func (p *ReachPractice) Next() (time.Duration, bool) { return 0, false }

// Complete is never: it judges no note.
func (p *ReachPractice) Complete() (time.Duration, bool) { return 0, false }

// End leaves the search where it is.
func (p *ReachPractice) End() { p.over = true }

// Done is whether the player has kept what was found, or nothing was easy.
func (p *ReachPractice) Done() bool {
	_, found := p.search.Reach(0)
	return p.over || p.kept || p.search.Position() == 0 && !found
}

// Reach is what the player keeps; false if nothing was easy or kept. day is the
// day to write beside it.
func (p *ReachPractice) Reach(day int) (coach.Reach, bool) {
	found, ok := p.search.Reach(day)
	return found, ok && p.kept
}

// LastKept is the newest search of a sitting that the player kept; nil if none.
func LastKept(done []Practice) *ReachPractice {
	for _, d := range slices.Backward(done) {
		p := d.(*ReachPractice)
		if p.kept {
			return p
		}
	}
	return nil
}

// Heard reports whether the window found was played, too; otherwise there is
// the player's word alone.
func (p *ReachPractice) Heard() bool {
	found, ok := p.search.Reach(0)
	return ok && found.Position == p.proven
}

// View shows the window asked for, what was found and what was kept.
func (p *ReachPractice) View(time.Duration) *Round {
	v := &Round{Title: fmt.Sprintf("%s fingers: is this window easy?", p.system.Name), Done: p.Done()}
	if at := p.search.Position(); at > 0 {
		v.Position, v.StretchMM, v.Awaits = at, p.search.StretchMM(), AwaitsAnswer
		v.Call, v.Brief = p.system.Window(v.Position), p.system.Frets(v.Position, "-")
		v.Detail = "Lay one finger on each fret, on any string, and play up and down."
		if p.system.Width() != len(p.system.Fingers) {
			v.Detail = "Lay the fingers on the frets they cover, on any string, and play up and down."
		}
		if p.played {
			v.Detail = "Heard. If it lay at ease, play the same one fret lower."
		}
		return v
	}
	found, ok := p.search.Reach(0)
	if !ok {
		v.Title, v.Call = "Enter asks again, q leaves", "no reach found"
		v.Detail = fmt.Sprintf("No window of %s fingers was easy. The other system asks less: --fingers %s.", p.system.Name, p.system.Other().Name)
		if p.KeptMM > 0 {
			v.Detail = fmt.Sprintf("No window of %s fingers was easy. The %.0f mm kept before stay.", p.system.Name, p.KeptMM)
		}
		return v
	}
	v.Title, v.Position, v.StretchMM = "keep this as your comfortable reach?", found.Position, found.MM
	v.Call, v.Brief = p.system.Window(found.Position), p.system.Frets(found.Position, "-")
	v.Detail = found.Text() + ", " + p.Ground() + "."
	v.Awaits, v.KeptMM = AwaitsKeep, p.KeptMM
	if p.kept { // which a player with a pedal must see from afar
		v.Title, v.Call, v.Brief, v.Awaits = "kept in the profile when you leave, q", "kept", "", AwaitsNothing
		if p.Unsaved {
			v.Title, v.Call = "not kept, for nothing is saved; q leaves", "not kept"
		}
	}
	return v
}

// Ground says what the answer rests on.
func (p *ReachPractice) Ground() string {
	if p.Heard() {
		return "played there and easy by your word"
	}
	return "by your word alone: no note of it was heard"
}
