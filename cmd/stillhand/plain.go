package main

import (
	"context"
	"fmt"
	"time"

	"stillhand/coach"
	"stillhand/session"
	"stillhand/session/dashboard"
)

// plainFace follows a sitting in plain lines, for outputs that are no terminal
// to draw on: each settled shift, what the coach says, what was done at a pedal's
// word, and warnings.
type plainFace struct {
	w       *world
	shown   time.Duration // newest trail point seen
	same    int           // points seen at that time
	spoken  time.Duration // newest coach line said
	warning string
	asked   string // newest line of a practice said
	sign    session.Sign
	placed  session.Placed
	held    bool
	gone    bool
}

// run returns when the sitting is over, or the practice in it: there is no key
// to ask for another with.
func (f *plainFace) run(ctx context.Context, feed dashboard.Feed) {
	f.shown, f.spoken = -1, -1
	for {
		select {
		case <-ctx.Done():
			f.say(feed.Latest())
			return
		case <-feed.Changed():
			s := feed.Latest()
			f.say(s)
			if s.Round != nil && s.Round.Done {
				return
			}
		}
	}
}

func (f *plainFace) say(s *session.Snapshot) {
	if s.Round != nil {
		f.ask(s.Round)
	} else {
		f.shifts(s)
	}
	f.signs(s)
	for i := len(s.Lines) - 1; i >= 0; i-- {
		if l := s.Lines[i]; l.At > f.spoken && (s.Round == nil || l.Kind == "") {
			f.spoken = l.At
			fmt.Fprintf(f.w.out, "%s  %s\n", session.ClockText(l.At), l.Text)
		}
	}
	if s.Warning != f.warning {
		f.warning = s.Warning
		if s.Warning != "" {
			f.w.notice("%s", s.Warning)
		}
	}
	if f.gone && !s.Gone {
		f.w.notice("the input is back")
	}
	f.gone = s.Gone
}

// signs says what the player asked for with a pedal. Without a word a hold would
// look like a hand that stays.
func (f *plainFace) signs(s *session.Snapshot) {
	line := func(text string) { fmt.Fprintf(f.w.out, "%s  %s\n", session.ClockText(s.At), text) }
	if sign := s.Sign; sign != f.sign {
		f.sign = sign
		switch {
		case sign.Word == s.System.Name:
			line(sign.Text + ": " + sign.Word)
		case sign.Text != "":
			line(sign.Text)
		}
	}
	if s.Placed != f.placed {
		f.placed = s.Placed
		if s.Placed.Position > 0 {
			line(fmt.Sprintf("hand at %d, by your word", s.Placed.Position))
		} else {
			line("no hand is known yet that could be corrected")
		}
	}
	switch {
	case s.Held && !f.held:
		line("on hold: nothing is counted")
	case !s.Held && f.held:
		line("the count goes on")
	}
	f.held = s.Held
}

// ask says what a practice asks for whenever that changes.
func (f *plainFace) ask(r *session.Round) {
	line := ""
	switch {
	case r.Done:
		return
	case r.Awaits == session.AwaitsNote:
		line = fmt.Sprintf("%s: play a note to begin; it is beat 1 of %d that count in", r.Title, r.Beats)
	case r.Bar == 0 && r.Beats > 0:
		line = "count-in"
		if r.Position > 0 { // where to be on the first beat of bar 1
			line += ": " + r.Call
		}
	case r.Next.Finger > 0:
		line = "now"
	default:
		line = r.Call
		if line != "" && r.Detail != "" {
			line += "; "
		}
		line += r.Detail
	}
	if line != f.asked {
		f.asked = line
		fmt.Fprintln(f.w.out, line)
	}
}

func (f *plainFace) shifts(s *session.Snapshot) {
	same := 0
	for _, p := range s.Trail {
		if !p.Settled || p.At < f.shown {
			continue
		}
		if p.At > f.shown {
			same = 0
		}
		if same++; p.At == f.shown && same <= f.same {
			continue
		}
		f.shown, f.same = p.At, same
		if p.Moved >= coach.Likely {
			fmt.Fprintf(f.w.out, "%s  shift to %s (%s sure of the shift)\n", session.ClockText(p.At), arrivedText(p), session.Percent(p.Moved))
		}
	}
}

// arrivedText is where the hand is at p, with the sign of an unsure answer where it
// is one, or among which positions where any one would be a guess.
func arrivedText(p session.TrailPoint) string {
	switch {
	case p.Probability >= coach.Sure:
		return fmt.Sprint(p.Position)
	case p.Probability >= coach.Likely:
		return fmt.Sprintf("%d?", p.Position)
	}
	return fmt.Sprintf("a position from %d to %d", p.Low, p.High)
}
