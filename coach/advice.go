package coach

import "time"

// AdviceKind is what a piece of advice is about.
type AdviceKind string

const (
	AdviceSystem AdviceKind = "system" // the other system needs fewer shifts than the own one can
	AdvicePlace  AdviceKind = "place"  // the own system needs fewer shifts in another place
	AdviceRelief AdviceKind = "relief" // three fingers need no more shifts and less stretch
)

// Step is one note of a suggested or played path.
type Step struct {
	Note     int // index of the note in the take
	Place    Place
	Finger   int // 0 for an open string
	Position int
}

// Advice is one thing worth saying about a passage.
type Advice struct {
	First, Last int // indices of the passage's first and last note
	Kind        AdviceKind
	System      string  // the system it speaks for
	ShiftsNow   int     // what the hand did
	ShiftsThen  int     // what the path asks
	StretchMM   float64 // widest window of the path
	WithinReach bool    // meaningful only when a reach was given
	Path        []Step
	Text        string // one plain sentence or two, for a screen or a page
}

// Limits of a passage, from the model.
const (
	passageGap   = 400 * time.Millisecond // a longer gap begins a new passage
	passageNotes = 24                     // at most
)

// What makes advice worth saying. These are choices, not measurements: they
// keep the coach from speaking on doubt or about trifles.
const (
	confidentMove  = 0.8  // a move counts as made if it is at least this probable
	confidentPlace = 0.8  // likewise a note's string
	passageFrets   = 3    // a passage with fewer fretted notes is no passage
	reliefBelow    = 5    // without a known reach: the highest window at which relief is offered
	reliefReach    = 0.9  // with one: the share of it from which a window counts as wide
	reliefSaves    = 0.15 // the least share of the stretch that relief must spare
)

// Adviser splits a take into passages and says of each, at most, the one thing
// most worth saying:
//
//   - system: the other system can do it with fewer shifts than the own system
//     can. Windows beyond reach are not recommended; where only these would
//     save, the advice says so with WithinReach false.
//   - place: the own system can do it with fewer shifts than the hand surely
//     made, on the same strings or, failing that, on other ones.
//   - relief: the other system has the narrower window and needs no more shifts
//     than the own system can, where the own window is wide.
//
// Every passage is counted inside itself with a free start, so the counts of
// all passages do not add up to those of the take. ShiftsNow is the number of
// moves that are certain or at least confidentMove probable, and never less
// than the own system's fewest.
//
// An Adviser is for one goroutine. It allocates only when it speaks.
type Adviser struct {
	own, other         *cover
	reachMM            float64
	passage            []heard
	notes              []Note
	ownLine, otherLine fewest // windows anywhere
	ownNear, otherNear fewest // windows within reach
	path               pathfinder
	relieved           string // the last relief, not said twice running
}

// heard is a note with what the tracker says of it.
type heard struct {
	note     Note
	estimate Estimate
}

// NewAdviser returns an Adviser for a player of system own. Reach 0 stands for
// unknown: every window then counts as within it, and nothing is said of
// reach. It panics on a neck that Validate refuses.
func NewAdviser(n Neck, own System, reachMM float64) *Adviser {
	a := &Adviser{reachMM: reachMM, passage: make([]heard, 0, passageNotes), notes: make([]Note, 0, passageNotes)}
	a.use(n, own)
	return a
}

func (a *Adviser) use(n Neck, own System) {
	a.own, a.other = newCover(n, own), newCover(n, own.Other())
	a.ownLine, a.otherLine = newFewest(a.own, a.own.all), newFewest(a.other, a.other.all)
	a.ownNear = newFewest(a.own, a.own.withinReach(a.reachMM))
	a.otherNear = newFewest(a.other, a.other.withinReach(a.reachMM))
	a.clear()
}

// SetSystem changes the player's own system from the next note on. The open
// passage is dropped: neither system alone played it.
func (a *Adviser) SetSystem(s System) { a.use(a.own.neck, s) }

func (a *Adviser) clear() {
	a.passage, a.notes = a.passage[:0], a.notes[:0]
	for _, line := range a.lines() {
		line.reset()
	}
}

func (a *Adviser) lines() [4]*fewest {
	return [4]*fewest{&a.ownLine, &a.otherLine, &a.ownNear, &a.otherNear}
}

// Add takes the next settled note with its estimate. It returns advice on the
// passage that this note closed, if there is any worth saying: the one before
// it if a long gap lies between, or the one that it fills.
func (a *Adviser) Add(n Note, e Estimate) (Advice, bool) {
	var said Advice
	var ok bool
	if len(a.passage) > 0 && n.Gap > passageGap {
		said, ok = a.Close()
	}
	a.passage = append(a.passage, heard{n, e})
	a.notes = append(a.notes, n)
	for _, line := range a.lines() {
		line.note(n)
	}
	if len(a.passage) == passageNotes {
		return a.Close()
	}
	return said, ok
}

// Close ends the open passage, at a rest or at the end of a take, and returns
// the advice on it, if there is any worth saying.
func (a *Adviser) Close() (Advice, bool) {
	defer a.clear()
	if a.ownLine.fretted < passageFrets {
		return Advice{}, false
	}
	now := max(a.moves(), a.ownLine.shifts)
	own, other := a.ownLine.shifts, a.otherLine.shifts
	if a.otherNear.possible && a.otherNear.shifts < own {
		return a.suggest(AdviceSystem, a.other, &a.otherNear, a.notes, now), true
	}
	if a.ownNear.possible && a.ownNear.shifts < now {
		return a.suggest(AdvicePlace, a.own, &a.ownNear, a.notes, now), true
	}
	if notes, line := a.anyString(); line.possible && line.shifts < now {
		return a.suggest(AdvicePlace, a.own, &line, notes, now), true
	}
	if other < own {
		return a.suggest(AdviceSystem, a.other, &a.otherLine, a.notes, now), true
	}
	return a.relief(now)
}

// moves counts the shifts that the hand made for sure, or nearly so, between
// two notes of the passage.
func (a *Adviser) moves() int {
	moves := 0
	for _, h := range a.passage[1:] {
		if h.estimate.Sure || h.estimate.Moved >= confidentMove {
			moves++
		}
	}
	return moves
}

// anyString is the passage with the strings left free, and what the own system
// needs for it within reach.
func (a *Adviser) anyString() ([]Note, fewest) {
	notes, line := make([]Note, len(a.notes)), newFewest(a.own, a.ownNear.within)
	for i, n := range a.notes {
		n.String = 0
		notes[i] = n
		line.note(n)
	}
	return notes, line
}

// relief speaks for the other system if its window is narrower, costs no
// shift, and the own system's window is wide. It holds for the strings that
// the hand really used, so it says nothing where these are in doubt.
func (a *Adviser) relief(now int) (Advice, bool) {
	if a.other.system.Width() >= a.own.system.Width() || a.otherLine.shifts > a.ownLine.shifts {
		return Advice{}, false
	}
	notes := make([]Note, len(a.notes))
	own, other := newFewest(a.own, a.own.all), newFewest(a.other, a.other.all)
	for i, h := range a.passage {
		if h.note.String == 0 {
			if h.estimate.PlaceProbability < confidentPlace {
				return Advice{}, false
			}
			h.note.String = h.estimate.Place.String
		}
		notes[i] = h.note
		own.note(h.note)
		other.note(h.note)
	}
	if other.shifts > own.shifts {
		return Advice{}, false
	}
	wide, hand, _ := a.path.find(a.own, a.own.all, notes, 0)
	low := hand[0]
	for _, p := range hand {
		low = min(low, p)
	}
	if a.reachMM > 0 && wide.WidestMM < reliefReach*a.reachMM || a.reachMM <= 0 && low > reliefBelow {
		return Advice{}, false
	}
	said := a.suggest(AdviceRelief, a.other, &other, notes, now)
	if said.StretchMM > (1-reliefSaves)*wide.WidestMM || !spread(a.other.system, said.Path) {
		return Advice{}, false
	}
	said.Text = reliefText(said, a.other, wide.WidestMM)
	if said.Text == a.relieved {
		return Advice{}, false
	}
	a.relieved = said.Text
	return said, true
}

// spread reports whether some window of the path needs both outer fingers.
func spread(s System, path []Step) bool {
	first, last := s.Fingers[0].Number, s.Fingers[len(s.Fingers)-1].Number
	var hasFirst, hasLast bool
	for i, step := range path {
		if i > 0 && step.Position != path[i-1].Position {
			hasFirst, hasLast = false, false
		}
		hasFirst = hasFirst || step.Finger == first
		hasLast = hasLast || step.Finger == last
		if hasFirst && hasLast {
			return true
		}
	}
	return false
}

// suggest turns the best path for notes, in the windows that line allows, into
// advice. The path begins near the hand where that costs nothing.
func (a *Adviser) suggest(kind AdviceKind, c *cover, line *fewest, notes []Note, now int) Advice {
	cost, hand, _ := a.path.find(c, line.within, notes, a.passage[0].estimate.Position)
	said := Advice{
		First:       a.passage[0].estimate.Note,
		Last:        a.passage[len(a.passage)-1].estimate.Note,
		Kind:        kind,
		System:      c.system.Name,
		ShiftsNow:   now,
		ShiftsThen:  cost.Shifts,
		StretchMM:   cost.WidestMM,
		WithinReach: a.reachMM <= 0 || cost.WidestMM <= a.reachMM,
		Path:        c.steps(notes, hand),
	}
	for i := range said.Path {
		said.Path[i].Note = a.passage[i].estimate.Note
	}
	switch {
	case kind == AdvicePlace:
		said.Text = placeText(said, c, a.notes)
	case kind == AdviceSystem && said.WithinReach:
		said.Text = systemText(said, c, a.reachMM)
	case kind == AdviceSystem:
		said.Text = beyondText(said, c, a.own.system, a.reachMM)
	}
	return said
}
