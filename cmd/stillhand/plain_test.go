package main

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"stillhand/coach"
	"stillhand/session"
)

// Without a screen too, a word of the player is no shift, and hides none, be it
// that of the note it is about.
func TestPlainFace_SaysShiftsAlone(t *testing.T) {
	t.Parallel()
	var out strings.Builder
	f := &plainFace{w: &world{out: &out}}
	point := func(at, position int, moved float64) session.TrailPoint {
		return session.TrailPoint{At: time.Duration(at) * time.Second, Position: position, Probability: 1, Moved: moved, Settled: true}
	}
	said, gone := point(1, 7, 1), point(3, 12, 0)
	said.Told, gone.Told, gone.Settled = true, true, false
	f.shifts(&session.Snapshot{Trail: []session.TrailPoint{point(0, 1, 0), said, gone}})
	f.shifts(&session.Snapshot{Trail: []session.TrailPoint{point(0, 1, 0), said, point(2, 9, 1), gone}})
	assert.Equal(t, "0:01.0  shift to 7 (100% sure of the shift)\n0:02.0  shift to 9 (100% sure of the shift)\n", out.String())
}

// Without a screen too, 100 per cent is said only of certainty, and a position that
// is a guess is none without a sign of it.
func TestPlainFace_SaysNoGuessForAFact(t *testing.T) {
	t.Parallel()
	said := func(position, moved float64) string {
		var out strings.Builder
		f := &plainFace{w: &world{out: &out}}
		f.shifts(&session.Snapshot{Trail: []session.TrailPoint{
			{At: time.Second, Position: 7, Low: 3, High: 12, Probability: position, Moved: moved, Settled: true},
		}})
		return out.String()
	}
	assert.Equal(t, "0:01.0  shift to 7 (99% sure of the shift)\n", said(0.95, 0.996))
	assert.Equal(t, "0:01.0  shift to 7? (79% sure of the shift)\n", said(0.79, 0.799))
	assert.Equal(t, "0:01.0  shift to a position from 3 to 12 (90% sure of the shift)\n", said(0.3, 0.9))
}

// A count-in says where to be after it; what was heard stands alone where nothing is
// asked for any more.
func TestPlainFace_AsksInWholeLines(t *testing.T) {
	t.Parallel()
	var out strings.Builder
	f := &plainFace{w: &world{out: &out}}
	for _, r := range []session.Round{{Beat: 1, Beats: 4, Position: 5, Call: "window 5 to 8", Detail: "Count-in: wait."}, {Bar: 1, Call: "window 5 to 8", Detail: "3 of 13 notes"}, {Bar: 2, Detail: "13 of 13 notes"}} {
		f.ask(&r)
	}
	assert.Equal(t, "count-in: window 5 to 8\nwindow 5 to 8; 3 of 13 notes\n13 of 13 notes\n", out.String())
}

// Without a screen too, a pedal is answered, and a hold or a cable that is out is
// not mistaken for a hand that stays.
func TestPlainFace_AnswersPedals(t *testing.T) {
	t.Parallel()
	var out, notices strings.Builder
	f := &plainFace{w: &world{out: &out, err: &notices}}
	now := session.Snapshot{At: time.Second, System: coach.Four}
	after := func(edit func(*session.Snapshot)) {
		edit(&now)
		for range 2 { // each is said once
			s := now
			f.say(&s)
		}
		now.At += time.Second
	}
	after(func(s *session.Snapshot) { s.Sign = session.Sign{Word: "mark", Text: "mark 1"} })
	after(func(s *session.Snapshot) { s.Sign = session.Sign{Word: "mark", Text: "mark 2"} })
	after(func(s *session.Snapshot) { s.Sign = session.Sign{} })
	after(func(s *session.Snapshot) {
		s.System, s.Sign = coach.Three, session.Sign{Word: "three", Text: "fingers swapped"}
	})
	after(func(s *session.Snapshot) { s.Held = true })
	after(func(s *session.Snapshot) { s.Held = false })
	for times, position := range []int{0, 7, 7} { // the word that it is where it is shown is one, too
		after(func(s *session.Snapshot) { s.Placed = session.Placed{Times: times + 1, Position: position} })
	}
	assert.Equal(t, "0:01.0  mark 1\n0:02.0  mark 2\n0:04.0  fingers swapped: three\n"+
		"0:05.0  on hold: nothing is counted\n0:06.0  the count goes on\n"+
		"0:07.0  no hand is known yet that could be corrected\n0:08.0  hand at 7, by your word\n0:09.0  hand at 7, by your word\n", out.String())

	after(func(s *session.Snapshot) { s.Gone, s.Warning = true, "bass is gone" })
	after(func(s *session.Snapshot) { s.Gone, s.Warning = false, "" })
	assert.Equal(t, "bass is gone\nthe input is back\n", notices.String())
}
