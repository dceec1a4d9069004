package coach

import (
	"fmt"
	"time"
)

// Sure is the probability from which a note may cost points. Below it, and
// while an estimate is provisional, the note is doubtful and costs nothing
// (ours: at a calibrated tracker one such claim in five at most is wrong), but
// for a note on a string that was told where no finger of the window reaches. Nor
// does a note that is said to lie outside the window asked for, if only its
// pitch is known and some string has it inside: the tracker does not know
// what was asked.
const Sure = 0.80

// Likely is the probability from which something is as likely as not: a shift is
// listed, and an answer given as one.
const Likely = 0.5

// Points (ours).
const (
	BarPoints   = 10 // what a bar is worth
	LeavePoints = 2  // a note surely out of the window
	ShiftPoints = 10 // a shift over the budget
)

// Loss is one thing that cost points.
type Loss struct {
	At     time.Duration
	Bar    int // from 1
	Points int
	Text   string
}

// Score is a round's result so far.
type Score struct {
	Points, Of int // Points never falls under 0; bars that are unclear or silent count in neither
	Losses     []Loss
	Notes      int // played within the round
	Doubtful   int // of them, too doubtful to cost anything
	Unclear    int // bars that are over and in which every note was doubtful
	Silent     int // bars that are over and in which no note was struck; of a call round none, where silence costs
	Shifts     int // sure or nearly sure shifts
	// Arrivals are the calls that have been followed or are over, in order.
	Arrivals []Arrival
	// Enough is whether there were as many notes as bars, and at least half of
	// the bars count. A round with less is not worth comparing with others.
	Enough bool
}

// Arrival is how a call was followed.
type Arrival struct {
	Call
	After   time.Duration // from the bar line to the first note that may lie in the window; -1 without one
	Sure    bool          // at that note the hand surely was there
	Unclear bool          // all its bars are: when the hand was there, or whether, is a guess
}

// Scorer keeps the score of one round while its notes settle. Make one with
// NewScorer; it is not safe for use from several goroutines.
type Scorer struct {
	round   Round
	start   time.Duration
	calls   []Call
	arrived []Arrival // by call: After is unheard until something counts
	losses  []Loss
	lost    []int // points by call, or by bar
	heard   []int // notes by bar
	clear   []int // of them, those that are not doubtful
	notes   int
	doubts  int
	shifts  int
	moved   float64 // largest probability of a shift since the last fretted note
	fretted bool    // a fretted note has been played in the round
}

const unheard = -1

// NewScorer starts the score of r, whose first bar begins at start. r must be
// valid.
func NewScorer(r Round, start time.Duration) *Scorer {
	s := &Scorer{round: r, start: start, calls: r.Calls()}
	for _, c := range s.calls {
		s.arrived = append(s.arrived, Arrival{Call: c, After: unheard})
	}
	s.lost, s.heard, s.clear = make([]int, r.Bars), make([]int, r.Bars), make([]int, r.Bars)
	return s
}

// Early is how far ahead of the first beat a note already belongs to the
// round: half a beat.
func (r Round) Early() time.Duration { return r.Beat / 2 }

// Add takes a note and its estimate, each note once, in order, as settled as it
// will become. A note before the round or after its end changes nothing.
//
// What costs:
//   - hold: a note surely outside the window named, LeavePoints, no more than
//     BarPoints in one bar.
//   - budget: a shift over the budget, ShiftPoints.
//   - call: being late, in proportion, for every whole beat after the bar line
//     at which the hand is surely not yet there; then as for hold.
//
// An open string needs no hand: it neither costs nor shows an arrival.
func (s *Scorer) Add(n Note, e Estimate) {
	at := e.At - s.start
	if at < -s.round.Early() || at >= s.round.Length() {
		return
	}
	at = max(0, at)
	bar := int(at / s.round.Bar())
	s.notes++
	s.heard[bar]++
	k := min(bar/BarsPerCall, len(s.calls)-1) // -1 in a round that names no window
	beyond := k >= 0 && n.String != 0 && s.beyond(e, s.calls[k].Position)
	away := beyond || k >= 0 && elsewhere(e, s.calls[k].Position)
	inside := away && n.String == 0 && s.holds(s.calls[k].Position, n.Pitch)
	clear := e.Settled && (e.Probability >= Sure || beyond) && e.PlaceProbability >= Sure && !inside
	if clear {
		s.clear[bar]++
	} else {
		s.doubts++
	}
	s.shift(e, bar)
	if e.Place.Fret == 0 || k < 0 {
		return
	}
	if away && !inside {
		s.leave(e, k, bar)
		return
	}
	if s.round.Kind == RoundCall && s.arrived[k].After == unheard {
		s.arrived[k].Sure = clear && e.Position == s.calls[k].Position
		s.arrive(e, k, bar, at)
	}
}

// shift counts a shift of the hand between two fretted notes. It may have
// been made under an open string.
func (s *Scorer) shift(e Estimate, bar int) {
	if e.Settled {
		s.moved = max(s.moved, e.Moved)
	}
	if e.Place.Fret == 0 {
		return
	}
	moved := s.fretted && (s.moved >= Sure || e.Settled && e.Sure && !e.Extended)
	s.fretted, s.moved = true, 0
	if !moved {
		return
	}
	s.shifts++
	if s.round.Kind == RoundBudget && s.shifts > s.round.Budget {
		s.cost(e, bar, ShiftPoints, fmt.Sprintf("bar %d: sure shift %d, with %d in the budget", bar+1, s.shifts, s.round.Budget))
	}
}

// arrive takes a note that may be the first in the window called. That the hand
// was not there before is sure, so only that costs and is said.
func (s *Scorer) arrive(e Estimate, k, bar int, at time.Duration) {
	position := s.calls[k].Position
	from := time.Duration(s.calls[k].Bar-1) * s.round.Bar()
	s.arrived[k].After = at - from
	beats := int((at - from) / s.round.Beat)
	if points := s.worth(k) * beats / (s.barsOf(k) * s.round.Beats); points > 0 {
		s.cost(e, bar, points, fmt.Sprintf("bar %d: %s reached no sooner than %s after the bar line", bar+1, s.round.System.Window(position), Many(beats, "beat")))
	}
}

// leave takes a note at which the hand was surely away from the window named.
// A place inside the window all the same, or one in doubt, costs nothing.
// Before a call has been followed, being late is what costs.
func (s *Scorer) leave(e Estimate, k, bar int) {
	position := s.calls[k].Position
	waiting := s.round.Kind == RoundCall && s.arrived[k].After == unheard
	if waiting || e.PlaceProbability < Sure || s.round.System.Covers(position, e.Place) {
		return
	}
	points := min(LeavePoints, BarPoints-s.lost[bar])
	if points <= 0 {
		return
	}
	s.cost(e, bar, points, fmt.Sprintf("bar %d: fret %d on string %d is out of %s", bar+1, e.Place.Fret, e.Place.String, s.round.System.Window(position)))
}

func (s *Scorer) cost(e Estimate, bar, points int, text string) {
	s.lost[bar] += points
	s.losses = append(s.losses, Loss{At: e.At, Bar: bar + 1, Points: points, Text: text})
}

// elsewhere reports whether the hand is surely at another position.
func elsewhere(e Estimate, position int) bool {
	return e.Settled && e.Probability >= Sure && (position < e.Low || position > e.High)
}

// beyond reports whether the note, on a string that was told, lies where no
// finger reaches from the window at position, not even one that stretches by a
// fret: wherever the hand was, it was not there.
func (s *Scorer) beyond(e Estimate, position int) bool {
	fret := e.Place.Fret
	return e.Settled && fret > 0 && (fret < position-1 || fret > position+s.round.System.Width())
}

// holds reports whether some string has the pitch in the window at position.
func (s *Scorer) holds(position, pitch int) bool {
	for str := 1; str <= s.round.Neck.Strings(); str++ {
		if fret, ok := s.round.Neck.Fret(pitch, str); ok && s.round.System.Covers(position, Place{str, fret}) {
			return true
		}
	}
	return false
}

// barsOf is the number of bars of call k, fewer at the end of a round.
func (s *Scorer) barsOf(k int) int {
	return min(BarsPerCall, s.round.Bars-k*BarsPerCall)
}

// worth is what call k is worth.
func (s *Scorer) worth(k int) int { return BarPoints * s.barsOf(k) }

// unclear reports whether bar, from 0, is over and holds notes of which none is
// clear: what the hand did in it would be a guess.
func (s *Scorer) unclear(bar int, now time.Duration) bool {
	return s.ended(bar, now) && s.heard[bar] > 0 && s.clear[bar] == 0
}

// silent reports whether bar, from 0, is over and no note was struck in it: a hand
// that plays nothing keeps to nothing. A call says itself what silence costs.
func (s *Scorer) silent(bar int, now time.Duration) bool {
	return s.round.Kind != RoundCall && s.ended(bar, now) && s.heard[bar] == 0
}

func (s *Scorer) ended(bar int, now time.Duration) bool {
	return now >= s.start+time.Duration(bar+1)*s.round.Bar()
}

// Score is the result as of the time now; with now past the end it is final.
// A call whose bars are over without a note in its window has lost all it was
// worth. A bar that is unclear or silent neither gives points nor takes any, but for
// a shift over the budget.
func (s *Scorer) Score(now time.Duration) Score {
	out := Score{
		Of: BarPoints * s.round.Bars, Losses: s.losses[:len(s.losses):len(s.losses)],
		Notes: s.notes, Doubtful: s.doubts, Shifts: s.shifts,
	}
	for bar := range s.round.Bars {
		if s.unclear(bar, now) {
			out.Unclear++
		}
		if s.silent(bar, now) {
			out.Silent++
		}
	}
	out.Of -= BarPoints * (out.Unclear + out.Silent)
	out.Enough = s.notes >= s.round.Bars && 2*(out.Unclear+out.Silent) <= s.round.Bars
	if s.round.Kind == RoundCall {
		s.followed(&out, now)
	}
	lost := 0
	for _, l := range out.Losses {
		lost += l.Points
	}
	out.Points = max(0, out.Of-lost)
	return out
}

// followed adds to out how each call was followed, and makes its losses those of
// the calls: none of more than its clear bars are worth.
func (s *Scorer) followed(out *Score, now time.Duration) {
	losses := s.losses
	out.Losses = nil
	for k, c := range s.calls {
		after := c.Bar + s.barsOf(k) // the bar after it, from 1
		worth := s.worth(k)
		for bar := c.Bar - 1; bar < after-1; bar++ {
			if s.unclear(bar, now) {
				worth -= BarPoints
			}
		}
		a, left := s.arrived[k], worth
		cost := func(l Loss) {
			if l.Points = min(l.Points, left); l.Points > 0 {
				out.Losses = append(out.Losses, l)
				left -= l.Points
			}
		}
		for ; len(losses) > 0 && losses[0].Bar < after; losses = losses[1:] {
			cost(losses[0])
		}
		end := s.start + time.Duration(after-1)*s.round.Bar()
		if now < end && a.After == unheard {
			continue
		}
		if a.After == unheard {
			cost(Loss{At: end, Bar: c.Bar, Points: worth, Text: fmt.Sprintf("bar %d: the hand was never in %s", c.Bar, s.round.System.Window(c.Position))})
		}
		a.Unclear = worth == 0
		out.Arrivals = append(out.Arrivals, a)
	}
}
