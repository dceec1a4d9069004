package coach

import (
	"fmt"
	"slices"
	"time"
)

// Sure is the probability from which a note may cost points. Below it, and
// while an estimate is provisional, the note is doubtful and costs nothing
// (ours: at a calibrated tracker one such claim in five at most is wrong), but
// for a note on a string that was told where no finger of the window reaches. Nor
// does a note that lies in the window asked for, if the hand is said to be
// elsewhere, or one that may: only its pitch is known, and some string has it
// there. The tracker does not know what was asked.
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
	Points, Of int // Points never falls under 0; bars that are gone, unclear or silent count in neither
	Losses     []Loss
	Notes      int // played within the round
	Doubtful   int // of them, too doubtful to cost anything
	Unclear    int // bars that are over and in which every note was doubtful
	Silent     int // bars that are over and in which no note was struck; of a call round none, where silence costs
	Shifts     int // sure or nearly sure shifts
	// Gone are the bars, from 1 and in order, in which the input was gone for more
	// than half a beat. They are neither unclear nor silent, and cost nothing.
	Gone []int
	// Arrivals are the calls that have been followed or are over, in order.
	Arrivals []Arrival
	// Enough is whether there were as many notes as bars that are not gone, and at
	// least half of the bars count. A round with less is not worth comparing with others.
	Enough bool
}

// Arrival is how a call was followed.
type Arrival struct {
	Call
	After   time.Duration // from the bar line to the note that counts as the arrival; -1 without one
	Sure    bool          // at that note the hand surely was there
	Unclear bool          // when the hand was there, or whether, is a guess: all its bars are, or it was not heard
}

// Scorer keeps the score of one round while its notes settle. Make one with
// NewScorer; it is not safe for use from several goroutines.
type Scorer struct {
	round   Round
	start   time.Duration
	calls   []Call
	arrived []Arrival // by call: After is unheard until something counts
	there   []bool    // by call: the hand surely has been there
	losses  []Loss
	lost    []int // points by call, or by bar
	heard   []int // notes by bar
	clear   []int // of them, those that are not doubtful
	notes   int
	doubts  int
	shifts  int
	moved   float64 // largest probability of a shift since the last fretted note
	fretted bool    // a fretted note has been played in the round
	out     outages
}

const unheard = -1

// NewScorer starts the score of r, whose first bar begins at start. r must be
// valid.
func NewScorer(r Round, start time.Duration) *Scorer {
	s := &Scorer{round: r, start: start, calls: r.Calls()}
	for _, c := range s.calls {
		s.arrived = append(s.arrived, Arrival{Call: c, After: unheard})
	}
	s.there = make([]bool, len(s.calls))
	s.lost, s.heard, s.clear = make([]int, r.Bars), make([]int, r.Bars), make([]int, r.Bars)
	s.out.bars = make([]time.Duration, r.Bars)
	return s
}

// Early is how far ahead of a bar line a note is still on time: half a beat. So
// far ahead of the first one it already belongs to the round.
func (r Round) Early() time.Duration { return r.Beat / 2 }

// Add takes a note and its estimate, each note once, in order, as settled as it
// will become. A note before the round or after its end changes nothing.
//
// What costs:
//   - hold: a note surely outside the window named, LeavePoints, no more than
//     BarPoints in one bar.
//   - budget: a shift over the budget, ShiftPoints.
//   - call: being late, in proportion, for every whole beat after the bar line
//     at which the hand is surely not yet there; then as for hold. A bar at the
//     call's beginning in which the input was gone makes nobody late.
//
// A note that lies in the window costs nothing, wherever the hand is thought to
// be. One that is Early at a bar line where another window is called counts as on
// the line if it may lie there, and costs only if it lies in neither.
//
// An open string needs no hand: it neither costs nor shows an arrival.
func (s *Scorer) Add(n Note, e Estimate) {
	at := e.At - s.start
	if at < -s.round.Early() || at >= s.round.Length() {
		return
	}
	bar := int(max(0, at) / s.round.Bar())
	next := min(int((at+s.round.Early())/s.round.Bar()), s.round.Bars-1)
	if away, _ := s.read(n, e, s.call(next)); away || s.call(next) == s.call(bar) {
		next = bar
	} else if away, _ := s.read(n, e, s.call(bar)); away {
		bar = next
	}
	s.notes++
	s.shift(e, bar)
	doubtful := true
	for b := bar; b <= next; b++ {
		s.heard[b]++
		if s.follow(n, e, b) {
			s.clear[b]++
			doubtful = false
		}
	}
	if doubtful {
		s.doubts++
	}
}

// call is the number of the call that holds in bar, from 0; -1 in a round that
// names no window.
func (s *Scorer) call(bar int) int { return min(bar/BarsPerCall, len(s.calls)-1) }

// read says whether a note shows that the hand was surely away from the window of
// call k, and whether it is clear: not too doubtful to cost anything. Where no
// window is named, only whether the hand shifted is asked, and not where it is.
func (s *Scorer) read(n Note, e Estimate, k int) (away, clear bool) {
	clear = e.Settled && e.Probability >= Sure && e.PlaceProbability >= Sure
	if k < 0 {
		return false, e.Settled && (e.Moved >= Sure || e.Moved <= 1-Sure)
	}
	position := s.calls[k].Position
	off := elsewhere(e, position)
	switch {
	case n.String != 0 && s.beyond(e, position):
		return true, e.PlaceProbability >= Sure
	case n.String == 0 && off && s.holds(position, n.Pitch):
		return false, false
	}
	return off && !s.round.System.Covers(position, e.Place), clear
}

// follow takes a note of bar for what the window named there asks, and reports
// whether it is clear.
func (s *Scorer) follow(n Note, e Estimate, bar int) (clear bool) {
	k := s.call(bar)
	away, clear := s.read(n, e, k)
	switch {
	case e.Place.Fret == 0 || k < 0:
	case away:
		s.leave(e, k, bar)
	case s.round.Kind == RoundCall && !s.there[k]:
		s.arrive(e, k, bar, clear && e.Position == s.calls[k].Position)
	}
	return clear
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

// arrive takes a note that may be the first in the window called; before, the
// hand was surely never there. Whether it came with this note or with an earlier
// one that may have been the first, and has left since, is open until it surely
// is there: what costs less counts.
func (s *Scorer) arrive(e Estimate, k, bar int, sure bool) {
	s.there[k] = sure
	c := s.calls[k]
	after := max(0, e.At-s.start-time.Duration(c.Bar-1)*s.round.Bar())
	late := after
	for b := c.Bar - 1; b < bar && s.gone(b, e.At); b++ {
		late -= s.round.Bar()
	}
	beats := int(late / s.round.Beat)
	points := s.worth(k) * beats / (s.barsOf(k) * s.round.Beats)
	if a := &s.arrived[k]; a.After != unheard && !s.drop(c.Bar, points, e.At) {
		a.Sure = a.Sure || sure && a.After == after // the one before was early
		return
	}
	s.arrived[k].After, s.arrived[k].Sure = after, sure
	if points > 0 {
		s.cost(e, bar, points, fmt.Sprintf("bar %d: %s reached no sooner than %s after the bar line", bar+1, s.round.System.Window(c.Position), Many(beats, "beat")))
	}
}

// drop takes back what was lost from bar from on, from 1, if that is more than
// points as of now.
func (s *Scorer) drop(from, points int, now time.Duration) bool {
	n, lost := len(s.losses), 0
	for n > 0 && s.losses[n-1].Bar >= from {
		n--
		if !s.gone(s.losses[n].Bar-1, now) {
			lost += s.losses[n].Points
		}
	}
	if lost <= points {
		return false
	}
	for _, l := range s.losses[n:] {
		s.lost[l.Bar-1] -= l.Points
	}
	s.losses = s.losses[:n]
	return true
}

// leave takes a note at which the hand was surely away from the window named.
// A place in doubt costs nothing. Before a call has been followed, being late is
// what costs.
func (s *Scorer) leave(e Estimate, k, bar int) {
	waiting := s.round.Kind == RoundCall && s.arrived[k].After == unheard
	if waiting || e.PlaceProbability < Sure {
		return
	}
	points := min(LeavePoints, BarPoints-s.lost[bar])
	if points <= 0 {
		return
	}
	s.cost(e, bar, points, fmt.Sprintf("bar %d: fret %d on string %d is out of %s", bar+1, e.Place.Fret, e.Place.String, s.round.System.Window(s.calls[k].Position)))
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
// a shift over the budget; one that is gone does neither, though a sure shift that
// was heard in it is one of the budget's.
func (s *Scorer) Score(now time.Duration) Score {
	out := Score{
		Of: BarPoints * s.round.Bars, Losses: s.losses[:len(s.losses):len(s.losses)],
		Notes: s.notes, Doubtful: s.doubts, Shifts: s.shifts,
	}
	for bar := range s.round.Bars {
		switch {
		case s.gone(bar, now):
			out.Gone = append(out.Gone, bar+1)
		case s.unclear(bar, now):
			out.Unclear++
		case s.silent(bar, now):
			out.Silent++
		}
	}
	left := out.Unclear + out.Silent + len(out.Gone)
	out.Of -= BarPoints * left
	out.Enough = s.notes >= s.round.Bars-len(out.Gone) && 2*left <= s.round.Bars
	if len(out.Gone) > 0 {
		out.Losses = slices.DeleteFunc(slices.Clone(out.Losses), func(l Loss) bool { return s.gone(l.Bar-1, now) })
	}
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
	losses := out.Losses
	out.Losses = nil
	for k, c := range s.calls {
		after := c.Bar + s.barsOf(k) // the bar after it, from 1
		worth, whole := s.worth(k), true
		for bar := c.Bar - 1; bar < after-1; bar++ {
			gone := s.gone(bar, now)
			whole = whole && !gone
			if gone || s.unclear(bar, now) {
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
			text := "bar %d: no note was played in %s"
			if !whole {
				text += " while the input was there"
			}
			cost(Loss{At: end, Bar: c.Bar, Points: worth, Text: fmt.Sprintf(text, c.Bar, s.round.System.Window(c.Position))})
		}
		a.Unclear = worth == 0 || !whole && (a.After == unheard || s.gone(c.Bar-1, now))
		out.Arrivals = append(out.Arrivals, a)
	}
}
