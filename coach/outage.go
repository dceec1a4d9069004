package coach

import "time"

// outages is how long the input was gone, by bar of a round.
type outages struct {
	bars []time.Duration
	now  bool          // it is gone
	from time.Duration // since then, if now
}

// Lost tells that the input went at the time at, where it was there. Lost and
// Found come in order of time, and before every later note.
func (s *Scorer) Lost(at time.Duration) {
	if !s.out.now {
		s.out.now, s.out.from = true, at
	}
}

// Found tells that the input is back, where it was gone.
func (s *Scorer) Found(at time.Duration) {
	for bar := range s.out.bars {
		s.out.bars[bar] = s.outage(bar, at)
	}
	s.out.now = false
}

// outage is how long, as of now, the input was gone in bar, from 0.
func (s *Scorer) outage(bar int, now time.Duration) time.Duration {
	gone := s.out.bars[bar]
	if s.out.now {
		line := s.start + time.Duration(bar)*s.round.Bar()
		gone += max(0, min(now, line+s.round.Bar())-max(s.out.from, line))
	}
	return gone
}

// gone reports whether, as of now, the input was gone for more than half a beat of
// bar, from 0: what was played there is not known. An input that is found by the
// note that it sends, a hair after the bar line, takes no bar with it (ours).
func (s *Scorer) gone(bar int, now time.Duration) bool {
	return s.outage(bar, now) > s.round.Beat/2
}
