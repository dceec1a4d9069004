package coach

import (
	"fmt"
	"time"
)

// Pauses. Five minutes in each half hour is common advice (expert custom, no
// trial).
const (
	pause       = 5 * time.Minute  // silence that counts as a break
	remindAfter = 25 * time.Minute // played without a break
)

// Texts of care, said as they stand wherever practice is offered. They are
// reminders: MIDI tells nothing of how hard a finger presses or how a hand
// feels.
const (
	stopText  = "Stop here for today, and ask a qualified person (a doctor, a physiotherapist, a teacher who sees you play) before you go on."
	LightText = "Reminder: press no harder than the note needs. Nothing here can hear how hard that is."
	CareText  = "This program counts and measures frets; it knows nothing of your hand. Stop when something hurts, rest five minutes in each half hour, and ask a qualified person about any pain that stays."
)

// Playing measures the time played without a break. The zero value is ready.
type Playing struct {
	from, last time.Duration // first note since the last break, newest note
	reminded   time.Duration // length of playing at the last reminder
	heard      bool
}

// Note takes the onset of a note; onsets do not decrease.
func (p *Playing) Note(at time.Duration) {
	if !p.heard || at-p.last >= pause {
		p.from, p.reminded, p.heard = at, 0, true
	}
	p.last = at
}

// Unbroken is the time from the first note after the last break to the newest
// note, or 0 once the present silence is a break itself.
func (p *Playing) Unbroken(now time.Duration) time.Duration {
	if !p.heard || now-p.last >= pause {
		return 0
	}
	return p.last - p.from
}

// Remind returns what to say when remindAfter has gone by without a break, and
// again after each further remindAfter; otherwise "". Ask at rests.
func (p *Playing) Remind(now time.Duration) string {
	played := p.Unbroken(now)
	if played-p.reminded < remindAfter {
		return ""
	}
	p.reminded = played - played%remindAfter
	return fmt.Sprintf("%d minutes without a break. Five minutes off in each half hour is common advice.", int(played.Minutes()))
}

// Load is what one day asked of the hand.
type Load struct {
	Day     int     // days since 1 January 1970 in the player's calendar
	Minutes float64 // played
	Shifts  float64 // expected number
	Wide    int     // fretted notes in a wide window, see Wide
}

// Wide reports whether a window of s counts as wide: beyond the reach where that
// is known, otherwise one of the widest three of the neck.
func Wide(n Neck, s System, position int, reachMM float64) bool {
	if reachMM > 0 {
		return !WithinReach(n.StretchMM(position, s.Width()), reachMM)
	}
	return position <= 3
}

// When an increase is said. All are ours: large enough that ordinary days do
// not differ by as much, and no medical limit.
const (
	HistoryDays    = 14   // the player's own last two weeks
	enoughDays     = 5    // played days within them
	enoughMinutes  = 60.0 // played within them
	todayMinutes   = 10.0 // played today, before a rate of today means anything
	suddenIncrease = 1.5  // today over the mean of those days
)

// Increase is one measure that today exceeds the player's own last two weeks
// by suddenIncrease or more. Less than one (minute, or time a minute) is too
// little to speak of.
type Increase struct {
	Measure       string // minutes, shifts a minute, wide stretches a minute
	Today, Before float64
	Text          string
}

// Increases compares today with the HistoryDays days before it. It says
// nothing when there is too little to compare with. Minutes are compared per
// played day, the others per minute played.
func Increases(log []Load, today Load) []Increase {
	var sum Load
	days := map[int]bool{}
	for _, l := range log {
		if l.Day < today.Day && l.Day >= today.Day-HistoryDays && l.Minutes > 0 {
			days[l.Day] = true
			sum.Minutes += l.Minutes
			sum.Shifts += l.Shifts
			sum.Wide += l.Wide
		}
	}
	if len(days) < enoughDays || sum.Minutes < enoughMinutes || today.Minutes < todayMinutes {
		return nil
	}
	var out []Increase
	say := func(measure string, now, before float64) {
		if now >= max(1, suddenIncrease*before) {
			out = append(out, Increase{measure, now, before, fmt.Sprintf(
				"Today: %.1f %s. Your average day of playing in the last two weeks: %.1f. That is a sudden increase; smaller steps are an option.", now, measure, before)})
		}
	}
	say("minutes", today.Minutes, sum.Minutes/float64(len(days)))
	say("shifts a minute", today.Shifts/today.Minutes, sum.Shifts/sum.Minutes)
	say("wide stretches a minute", float64(today.Wide)/today.Minutes, float64(sum.Wide)/sum.Minutes)
	return out
}
