package session

import (
	"fmt"
	"time"
)

// Meter is the beat of a practice round: CountIn bars, then Bars bars, from
// Start. Times are on the clock of the events.
type Meter struct {
	Start   time.Duration
	Beat    time.Duration // length of one beat
	Beats   int           // in a bar
	CountIn int           // bars
	Bars    int           // bars after the count-in
}

// Pulse is one beat. Bar counts from 1 and is 0 in the count-in; Beat counts
// from 1, so that Beat 1 is the one to accent.
type Pulse struct {
	At        time.Duration
	Bar, Beat int
}

// NewMeter is a meter at tempo beats a minute.
func NewMeter(start time.Duration, tempo float64, beats, countIn, bars int) (Meter, error) {
	m := Meter{Start: start, Beats: beats, CountIn: countIn, Bars: bars}
	if !(tempo >= 6 && tempo <= 600) {
		return m, fmt.Errorf("tempo %g: from 6 to 600 beats a minute are possible", tempo)
	}
	m.Beat = time.Duration(float64(time.Minute) / tempo)
	switch {
	case beats < 1 || beats > 32:
		return m, fmt.Errorf("%d beats in a bar: from 1 to 32 are possible", beats)
	case countIn < 0 || countIn > 8:
		return m, fmt.Errorf("a count-in of %d bars: from 0 to 8 are possible", countIn)
	case bars < 1 || bars > 999:
		return m, fmt.Errorf("%d bars: from 1 to 999 are possible", bars)
	}
	return m, nil
}

// First is the first beat after the count-in.
func (m Meter) First() time.Duration {
	return m.Start + time.Duration(m.CountIn*m.Beats)*m.Beat
}

// End is the end of the last bar.
func (m Meter) End() time.Duration {
	return m.First() + time.Duration(m.Bars*m.Beats)*m.Beat
}

// Pulse is the beat that holds at now, the last one from the end on. Before
// Start there is none: Beat is 0.
func (m Meter) Pulse(now time.Duration) Pulse {
	if now < m.Start {
		return Pulse{At: m.Start}
	}
	k := min(int((now-m.Start)/m.Beat), (m.CountIn+m.Bars)*m.Beats-1)
	return Pulse{
		At:   m.Start + time.Duration(k)*m.Beat,
		Bar:  max(0, k/m.Beats-m.CountIn+1),
		Beat: k%m.Beats + 1,
	}
}

// Next is the first beat after now, and whether there is one. The end of the
// last bar is no beat.
func (m Meter) Next(now time.Duration) (time.Duration, bool) {
	if now < m.Start {
		return m.Start, true
	}
	at := m.Pulse(now).At + m.Beat
	return at, now < m.End()-m.Beat
}
