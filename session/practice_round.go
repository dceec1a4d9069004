package session

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"stillhand/coach"
)

// RoundPractice plays one round: improvising against the coach, in time.
type RoundPractice struct {
	pace
	round   coach.Round
	calls   []coach.Call
	scorer  *coach.Scorer
	best    int
	from    int             // index of the first note of the round; -1 before it
	pending []time.Duration // onsets of the notes of the round that have not settled
	pitch   bool            // of some note only the pitch is known
}

// NewRoundPractice starts round r with its count-in at m.Start. The bars and
// the beat of r are taken from m. best is the best score so far of the same
// kind of round, 0 if none.
func NewRoundPractice(r coach.Round, m Meter, best int) (*RoundPractice, error) {
	r.Bars, r.Beats, r.Beat = m.Bars, m.Beats, m.Beat
	if err := r.Validate(); err != nil {
		return nil, err
	}
	return &RoundPractice{pace: newPace(m), round: r, calls: r.Calls(), scorer: coach.NewScorer(r, m.First()), best: best, from: -1}, nil
}

// Hand names no position: where the hand is, is what the round asks.
func (p *RoundPractice) Hand() (int, time.Duration, time.Duration) { return 0, 0, 0 }

// Note counts a note of the round.
func (p *RoundPractice) Note(index int, n coach.Note) {
	if !p.hears(n.At) {
		return
	}
	if p.from < 0 {
		p.from = index
	}
	p.pending = append(p.pending, n.At)
}

// Settled scores a note.
func (p *RoundPractice) Settled(n coach.Note, e coach.Estimate) {
	if p.over || len(p.pending) == 0 || e.Note < p.from {
		return
	}
	p.pending = p.pending[1:]
	p.pitch = p.pitch || n.String == 0
	p.scorer.Add(n, e)
	p.finish()
}

// Lost and Found tell when the input went and came back.
func (p *RoundPractice) Lost(at time.Duration)  { p.scorer.Lost(at) }
func (p *RoundPractice) Found(at time.Duration) { p.scorer.Found(at) }

// Tick ends the round once its bars are over and its notes have settled.
func (p *RoundPractice) Tick(now time.Duration) {
	p.now = max(p.now, now)
	p.finish()
}

func (p *RoundPractice) finish() {
	p.over = p.over || p.now >= p.Meter.End() && len(p.pending) == 0
}

// End finishes the round where it is. Notes that have not settled are left out
// of the score.
func (p *RoundPractice) End() { p.over = true }

// Complete is the onset of the last note once the bars are over.
func (p *RoundPractice) Complete() (time.Duration, bool) {
	n := len(p.pending)
	if n == 0 || p.now < p.Meter.End() {
		return 0, false
	}
	return p.pending[n-1], true
}

// Next is the end of the round.
func (p *RoundPractice) Next() (time.Duration, bool) {
	return p.Meter.End(), !p.over && p.now < p.Meter.End()
}

// Score is the score so far, up to the oldest note that has not settled; final
// once Done.
func (p *RoundPractice) Score() coach.Score {
	now := p.now
	if len(p.pending) > 0 {
		now = min(now, p.pending[0])
	}
	return p.scorer.Score(now)
}

// Plan is the round as it is played.
func (p *RoundPractice) Plan() coach.Round { return p.round }

// View shows what holds and what it has cost.
func (p *RoundPractice) View(now time.Duration) *Round {
	v := p.view(now)
	score := p.Score()
	v.Title, v.Score, v.Of, v.Best = p.round.Title(), score.Points, score.Of, p.best
	v.Notes, v.Doubtful = score.Notes, score.Doubtful
	if p.round.Kind == coach.RoundBudget {
		v.Brief = fmt.Sprintf("%d of %s", score.Shifts, coach.Many(p.round.Budget, "shift"))
		v.Call = v.Brief + " used"
	}
	for _, c := range p.calls {
		frets := p.round.System.Frets(c.Position, "-")
		switch {
		case c.Bar <= max(1, v.Bar):
			v.Position, v.Call, v.Brief = c.Position, p.round.System.Window(c.Position), frets
		case c.Bar == v.Bar+1 && v.Beat > v.Beats/2:
			v.Brief = "next " + frets
			v.Call = p.round.System.Frets(v.Position, "-") + ", " + v.Brief
		}
	}
	if n := len(score.Losses); n > 0 {
		last := score.Losses[n-1]
		v.Detail = fmt.Sprintf("%s: -%d", last.Text, last.Points)
	}
	if text := p.Doubt(); p.over && text != "" {
		v.Detail = strings.TrimSuffix(text+"; "+v.Detail, "; ")
	}
	if p.over && !score.Enough {
		v.Score, v.Of, v.Detail = 0, 0, p.Doubt()
	}
	return v
}

// Doubt says why the score is none, or what of the playing is not in it; "" if
// all of it counts.
func (p *RoundPractice) Doubt() string {
	text := p.unclear()
	if p.early > 0 {
		text = strings.TrimPrefix(text+"; "+coach.TooSoon(p.early), "; ")
	}
	return text
}

// unclear says why the score is none, or how many bars are not in it.
func (p *RoundPractice) unclear() string {
	score := p.Score()
	bars := coach.Many(p.Bars, "bar")
	var left []string // out of the score
	if score.Unclear > 0 {
		asked := "where the hand was"
		if p.round.Kind == coach.RoundBudget {
			asked = "whether the hand shifted"
		}
		left = append(left, fmt.Sprintf("%s is a guess in %d of %s", asked, score.Unclear, bars))
	}
	if score.Silent > 0 {
		left = append(left, fmt.Sprintf("no note was struck in %d of %s", score.Silent, bars))
	}
	if n := len(score.Gone); n > 0 {
		left = append(left, fmt.Sprintf("the input was gone in %d of %s (%s)", n, bars, runs(score.Gone)))
	}
	text := strings.Join(left, " and ")
	switch {
	case score.Notes < p.Bars-len(score.Gone):
		few := fmt.Sprintf("%s in %s: too few for a score", coach.Many(score.Notes, "note"), bars)
		if len(score.Gone) > 0 {
			few += "; " + left[len(left)-1]
		}
		return few
	case !score.Enough:
		if text = "no score: " + text; score.Unclear > 0 && p.pitch {
			text += "; --strings or longer notes help"
		}
	case text != "":
		text += ", which do not count"
	}
	return text
}

// runs lists rising numbers, three and more in a row by the first and last.
func runs(numbers []int) string {
	var parts []string
	for len(numbers) > 0 {
		n := 1
		for n < len(numbers) && numbers[n] == numbers[0]+n {
			n++
		}
		if n < 3 {
			n = 1
			parts = append(parts, strconv.Itoa(numbers[0]))
		} else {
			parts = append(parts, fmt.Sprintf("%d to %d", numbers[0], numbers[n-1]))
		}
		numbers = numbers[n:]
	}
	return strings.Join(parts, ", ")
}
