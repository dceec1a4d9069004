package session

import (
	"fmt"
	"math/bits"
	"slices"
	"time"

	"stillhand/coach"
	"stillhand/midiin"
)

// Snapshot is what a screen shows at this moment. The caller fills in what
// only it knows: the source's name, the take, what the input side lost.
func (p *Pipeline) Snapshot() *Snapshot {
	s := &Snapshot{
		At: p.now, Neck: p.setup.Neck, System: p.system, ReachMM: p.setup.ReachMM,
		Hand: p.hand.shown(), Stale: p.stale, Heard: p.record.len() > 0,
		Lines: slices.Clone(p.lines), Trail: p.trail.since(p.now),
		Marks: p.marks.len(), Held: p.held, Gone: p.gone != "", Sign: p.signed.at(p.now), Placed: p.placed, Restarted: p.since != nil,
		Notes: p.record.len(), Dropped: p.dropped.len() - p.onHold, OnHold: p.onHold,
		StringsTold: p.told, Ended: p.ended,
		Channels: p.channels, Unmapped: p.unmapped(),
		Reread: p.reread > 0 && p.now < p.reread+rereadStays,
	}
	p.count(s, p.display())
	s.LastMinute = p.display().minute.since(p.now, s.Take)
	for i, sys := range coach.Systems {
		if sys.Name == p.system.Other().Name {
			s.Other = p.counter.economy[i].Position()
		}
	}
	if s.Round = p.practice.view(p.now); s.Round != nil {
		s.Round.Remark = p.remark()
	}
	pending := p.tracker.Pending(nil)
	for i := range pending {
		s.Trail = append(s.Trail, trailPoint(&pending[i]))
	}
	s.Trail = withTold(s.Trail, newerThan(p.words, p.now-TrailTime))
	for _, sounding := range p.playing {
		s.Playing = append(s.Playing, p.sounding(sounding, pending))
	}
	if other, ok := p.tracker.Looks(); ok {
		s.Looks = other.Name
	}
	return s
}

// unmapped reports whether each string may have its channel, and which one is not
// known yet.
func (p *Pipeline) unmapped() bool {
	return p.setup.Mode == midiin.Pickup && !p.told && p.cleaner.Seeks() && bits.OnesCount16(p.heardOn) > 1
}

// remarkStays is how long a remark of care stays on a screen that shows no
// other line of the coach (ours).
const remarkStays = time.Minute

// remark is what care said lately.
func (h *hand) remark() string {
	for _, l := range h.lines {
		if l.Kind == "" && h.rest.since < l.At+remarkStays {
			return l.Text
		}
	}
	return ""
}

// count puts c's figures into s.
func (p *Pipeline) count(s *Snapshot, c *counter) {
	s.Take, s.Declared = c.counts(p.tracker), c.fingers()
	s.Mixed = c.mixed.Result().Fewest
}

// Whole is s with the figures and the last word of all that was played,
// whatever was restarted on the screen: what a report at the end says.
func (p *Pipeline) Whole(s *Snapshot) *Snapshot {
	w := *s
	p.count(&w, p.counter)
	w.Crossover, w.Played = p.regions.Crossover(), p.playedBy(p.now) // which no screen shows
	if w.Lines = nil; p.said.Text != "" {
		w.Lines = []CoachLine{p.said}
	}
	return &w
}

// sounding says where a note that sounds is played, from its provisional
// estimate or, once settled, from the record.
func (h *hand) sounding(s playing, pending []coach.Estimate) Sounding {
	if s.index < 0 {
		return Sounding{Pitch: s.pitch}
	}
	for _, e := range pending {
		if e.Note == s.index {
			return Sounding{s.pitch, e.Place, e.Finger, e.PlaceProbability * e.Probability}
		}
	}
	if n := h.record.get(s.index); n != nil {
		return Sounding{s.pitch, n.Place(), int(n.Finger), n.Sureness()}
	}
	return Sounding{Pitch: s.pitch}
}

// ClockText is a time as people read it, in minutes, seconds and tenths:
// 1:02.4.
func ClockText(d time.Duration) string {
	tenths := d.Round(100*time.Millisecond) / (100 * time.Millisecond)
	return fmt.Sprintf("%d:%02d.%d", tenths/600, tenths/10%60, tenths%10)
}

// Percent is a probability as a whole number: 79%. It never reaches a border that p
// lies under, so that it agrees with the mark of an unsure answer beside it, and
// says 100 and 0 only of certainty.
func Percent(p float64) string {
	n := int(p*100 + 0.5)
	for _, border := range []float64{coach.Likely, coach.Sure, 1} {
		if most := int(border * 100); p < border && n >= most {
			n = most - 1
		}
	}
	if n <= 0 && p > 0 {
		n = 1
	}
	return fmt.Sprintf("%d%%", n)
}
