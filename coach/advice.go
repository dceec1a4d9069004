package coach

import (
	"slices"
	"time"
)

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
	ShiftsNow   int     // what the hand did: moves that are sure, or very probable
	Probably    bool    // some of them are not sure
	More        bool    // it has probably done more
	ShiftsThen  int     // what the path asks
	StretchMM   float64 // widest window of the path
	WithinReach bool    // meaningful only when a reach was given
	Path        []Step
	Price       string // what the path gives up, in whole sentences that stand in Text too; "" for nothing
	Text        string // one plain sentence or two, for a screen or a page
}

// Limits of a passage, from the model.
const (
	PassageGap   = 400 * time.Millisecond // a longer gap begins a new passage
	passageNotes = 24                     // at most; the cut never falls inside a grip
)

// What makes advice worth saying. These are choices, not measurements: they
// keep the coach from speaking on doubt or about trifles.
const (
	certain        = 1   // it is sure then, or as good as sure
	confidentMove  = 0.9 // a move counts as made if it is at least this probable
	confidentPlace = 0.8 // likewise a note's place
	passageFrets   = 3   // a passage with fewer fretted notes is no passage
	reliefFrets    = 4   // likewise for relief, which saves no move
	reliefBelow    = 5   // without a known reach: the highest position at which relief is offered
	reliefReach    = 0.9 // with one: the share of it from which a window counts as wide
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
// Every passage is counted inside itself with a free start, from its first fretted
// note on, so the counts of all passages do not add up to those of the take. But
// where a passage is cut off another because it was full, no rest pays for the way
// between them: a path is said to save a shift, or to need no more, only if it does
// so with that way too, as the hand went and as the path would have it. ShiftsNow is the number of moves that
// are certain or at least confidentMove probable, and never less than the own
// system's fewest. No other system is spoken for where it cannot hold notes together
// that the own one holds.
//
// An Adviser is for one goroutine. It allocates only for a passage that holds a
// shift or a relief worth looking for.
type Adviser struct {
	own, other *cover
	reachMM    float64
	ownReach   uint64 // positions whose windows are within reach
	otherReach uint64
	notes      []Note // the open passage
	estimates  []Estimate
	from       int  // where the hand was when the passage before was cut off; 0 after a rest
	full       bool // this one is cut off, and what comes next is no rest
	hand       made // of this one, once it is closed
	path       pathfinder
	scratch    []Note
	relieved   string // windows of the last relief, not said twice running
}

// NewAdviser returns an Adviser for a player of system own. Reach 0 stands for
// unknown: every window then counts as within it, and nothing is said of
// reach. It panics on a neck that Validate refuses.
func NewAdviser(n Neck, own System, reachMM float64) *Adviser {
	a := &Adviser{reachMM: reachMM, notes: make([]Note, 0, passageNotes), estimates: make([]Estimate, 0, passageNotes)}
	a.use(n, own)
	return a
}

func (a *Adviser) use(n Neck, own System) {
	a.own, a.other = newCover(n, own), newCover(n, own.Other())
	a.ownReach, a.otherReach = a.own.withinReach(a.reachMM), a.other.withinReach(a.reachMM)
	a.clear()
}

// SetSystem changes the player's own system from the next note on. The open
// passage is dropped: neither system alone played it.
func (a *Adviser) SetSystem(s System) { a.use(a.own.neck, s) }

// clear begins a passage.
func (a *Adviser) clear() {
	a.from = 0
	if a.full {
		a.from = a.estimates[len(a.estimates)-1].Position
	}
	a.notes, a.estimates, a.full = a.notes[:0], a.estimates[:0], false
}

// Add takes the next settled note with its estimate. It returns advice on the
// passage that this note closed, if there is any worth saying: the one before
// it, if a long gap lies between or that is full. A grip in the middle of which it
// would be cut off goes to the next one as a whole.
func (a *Adviser) Add(n Note, e Estimate) (Advice, bool) {
	var said Advice
	var ok bool
	switch {
	case n.Gap > PassageGap:
		said, ok = a.Close()
	case len(a.notes) == passageNotes:
		cut := passageNotes - a.held(&n)
		notes, estimates := a.notes[cut:], a.estimates[cut:]
		a.notes, a.estimates, a.full = a.notes[:cut], a.estimates[:cut], true
		said, ok = a.Close()
		a.notes, a.estimates = append(a.notes, notes...), append(a.estimates, estimates...)
	}
	a.notes = append(a.notes, n)
	a.estimates = append(a.estimates, e)
	return said, ok
}

// held counts the last notes of the passage that the own system holds together
// with n.
func (a *Adviser) held(n *Note) int {
	var g chord
	for i := range a.notes {
		a.own.hold(&g, &a.notes[i])
	}
	a.own.hold(&g, n)
	return g.size - 1
}

// Close ends the open passage, at a rest or at the end of a take, and returns
// the advice on it, if there is any worth saying.
func (a *Adviser) Close() (Advice, bool) {
	defer a.clear()
	if a.fretted() < passageFrets {
		return Advice{}, false
	}
	said, ok := a.speak()
	if ok && said.Kind != AdviceRelief {
		a.relieved = ""
	}
	if n := brokenSlides(a.notes, said.Path); n > 0 {
		said.Pay(struckText(n))
	}
	return said, ok
}

// beyond reports whether the path only shows why not to use another system.
func (a *Advice) beyond() bool { return a.Kind == AdviceSystem && !a.WithinReach }

// Pay says in a sentence what the path gives up, where it is recommended.
func (a *Advice) Pay(sentence string) {
	if a.beyond() {
		return
	}
	a.Text += " " + sentence
	if a.Price != "" {
		a.Price += " "
	}
	a.Price += sentence
}

// speak is the advice on the open passage, but for its slides.
func (a *Adviser) speak() (Advice, bool) {
	a.hand = a.made()
	if near := a.other.fewest(a.notes, a.otherReach); near.possible && near.shifts < a.hand.fewest && !a.torn(a.notes) {
		if said, ok := a.speakSystem(a.otherReach); ok {
			return said, true
		}
	}
	if near := a.own.fewest(a.notes, a.ownReach); near.possible && near.shifts < a.hand.now {
		if said, ok := a.speakPlace(a.notes); ok {
			return said, true
		}
	}
	if notes, ok := a.elsewhere(); ok {
		if said, ok := a.speakPlace(notes); ok {
			return said, true
		}
	}
	switch shifts := a.other.fewest(a.notes, a.other.all).shifts; {
	case shifts > a.hand.fewest:
		return Advice{}, false
	case shifts < a.hand.fewest && !a.torn(a.notes):
		return a.speakSystem(a.other.all)
	}
	return a.relief()
}

// fretted counts the notes of the passage that need a finger.
func (a *Adviser) fretted() int {
	fretted := 0
	for i := range a.notes {
		if a.own.positions(a.notes[i].tone()) != anywhere {
			fretted++
		}
	}
	return fretted
}

// torn reports whether the other system cannot hold together what the own one
// holds of notes.
func (a *Adviser) torn(notes []Note) bool {
	var own, other chord
	for i := range notes {
		a.own.hold(&own, &notes[i])
		a.other.hold(&other, &notes[i])
		if other.size < own.size {
			return true
		}
	}
	return false
}

// brokenSlides counts the slides that path ends with another finger than it began
// them with, on another string, or on an open one.
func brokenSlides(notes []Note, path []Step) int {
	broken := 0
	for i, to := range path {
		if notes[i].Slide == 0 {
			continue
		}
		begun := i - 1
		for begun >= 0 && notes[begun].String != notes[i].String {
			begun--
		}
		if begun < 0 {
			continue
		}
		if from := path[begun]; from.Place.String != to.Place.String || from.Finger != to.Finger || to.Finger == 0 {
			broken++
		}
	}
	return broken
}

// copy is the passage's notes for the caller to change, until the next call.
func (a *Adviser) copy() []Note {
	a.scratch = append(a.scratch[:0], a.notes...)
	return a.scratch
}

// elsewhere is the passage with its told strings forgotten, if there are any and the
// own system then needs fewer shifts than the hand made.
func (a *Adviser) elsewhere() ([]Note, bool) {
	if a.hand.now == 0 || !slices.ContainsFunc(a.notes, func(n Note) bool { return n.String > 0 }) {
		return nil, false
	}
	notes := a.copy()
	for i := range notes {
		notes[i].String = 0
	}
	line := a.own.fewest(notes, a.ownReach)
	return notes, line.possible && line.shifts < a.hand.now
}

// fewest is the line of notes in the positions within.
func (c *cover) fewest(notes []Note, within uint64) fewest {
	line, g := newFewest(within), chord{}
	for i := range notes {
		line.take(c.hold(&g, &notes[i]))
	}
	return line
}

// speakSystem recommends the other system, or tells why not to use it, if it saves
// a move.
func (a *Adviser) speakSystem(within uint64) (said Advice, ok bool) {
	said = a.suggest(AdviceSystem, a.other, within, a.notes)
	switch {
	case a.adds(&said) >= 0:
		return said, false
	case said.beyond():
		said.Text = beyondText(said, a.other, a.own.system, a.reachMM)
	default:
		said.Text = systemText(said, a.other, a.reachMM)
	}
	return said, true
}

// speakPlace recommends other windows of the own system, if they save a move.
func (a *Adviser) speakPlace(notes []Note) (said Advice, ok bool) {
	said = a.suggest(AdvicePlace, a.own, a.ownReach, notes)
	if a.adds(&said) >= 0 {
		return said, false
	}
	said.Text = placeText(said, a.own, a.notes)
	return said, true
}

// adds is how many moves more than the hand made the path asks, less than none if it
// saves some, with the way there and back where no rest pays for it.
func (a *Adviser) adds(said *Advice) int {
	now, then := said.ShiftsNow, said.ShiftsThen
	if a.from > 0 {
		now += a.hand.there
		then += one(said.Path[0].Position != a.from)
	}
	last := len(said.Path) - 1
	then += one(a.full && said.Path[last].Position != a.estimates[last].Position)
	return then - now
}

// relief speaks for the other system if its window is narrower, costs no
// shift, and the own system's window is wide. It holds for the strings that
// the hand really used, so it says nothing where these are in doubt.
func (a *Adviser) relief() (Advice, bool) {
	if a.fretted() < reliefFrets || a.other.system.Width() >= a.own.system.Width() {
		return Advice{}, false
	}
	notes := a.copy()
	for i, e := range a.estimates {
		if notes[i].String == 0 {
			if e.PlaceProbability < confidentPlace {
				return Advice{}, false
			}
			notes[i].String = e.Place.String
		}
	}
	if a.torn(notes) || a.other.fewest(notes, a.other.all).shifts > min(a.hand.now, a.own.fewest(notes, a.own.all).shifts) {
		return Advice{}, false
	}
	wide, hand := a.path.find(a.own, a.own.all, notes, 0)
	if a.reachMM > 0 && wide.WidestMM < reliefReach*a.reachMM || a.reachMM <= 0 && slices.Min(hand) > reliefBelow {
		return Advice{}, false
	}
	said := a.suggest(AdviceRelief, a.other, a.other.all, notes)
	if a.adds(&said) > 0 || said.StretchMM >= wide.WidestMM || !spread(a.other.system, said.Path) {
		return Advice{}, false
	}
	where := windows(said.Path, a.other.system)
	if where == a.relieved {
		return Advice{}, false
	}
	a.relieved = where
	said.Text = reliefText(said, a.other, wide.WidestMM, a.reachMM)
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

// suggest turns the best path of c for notes, in the positions within, into
// advice without words. The path begins near the hand where that costs
// nothing.
func (a *Adviser) suggest(kind AdviceKind, c *cover, within uint64, notes []Note) Advice {
	near := a.estimates[0].Position
	if a.from > 0 {
		near = a.from
	}
	cost, hand := a.path.find(c, within, notes, near)
	said := Advice{
		First:       a.estimates[0].Note,
		Last:        a.estimates[len(a.estimates)-1].Note,
		Kind:        kind,
		System:      c.system.Name,
		ShiftsNow:   a.hand.now,
		Probably:    a.hand.now > max(a.hand.sure, a.hand.fewest),
		More:        a.hand.likely > a.hand.now,
		ShiftsThen:  cost.Shifts,
		StretchMM:   cost.WidestMM,
		WithinReach: WithinReach(cost.WidestMM, a.reachMM),
		Path:        c.steps(notes, hand),
	}
	for i := range said.Path {
		said.Path[i].Note = a.estimates[i].Note
	}
	return said
}
