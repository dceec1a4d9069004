package dashboard

import (
	"math/rand/v2"
	"time"

	"stillhand/coach"
	"stillhand/session"
)

// sample is a sitting a minute and a half old: a four-finger hand at the
// fifth fret, settled, with everything that a snapshot can say. Own
// composition. Edit it by the functions it is given.
func sample(edits ...func(*session.Snapshot)) *session.Snapshot {
	neck, err := coach.ParseNeck("bass4")
	if err != nil {
		panic(err)
	}
	at := 94 * time.Second
	s := &session.Snapshot{
		At: at, Neck: neck, System: coach.Four, ReachMM: 105,
		Playing: []session.Sounding{{Pitch: 45, Place: coach.Place{String: 2, Fret: 7}, Finger: 3, Probability: 0.97}},
		Hand: coach.Estimate{Note: 161, At: at, Position: 5, Probability: 0.93, Low: 5, High: 5,
			Place: coach.Place{String: 2, Fret: 7}, PlaceProbability: 1, Finger: 3, From: 5, Settled: true},
		Heard: true, Other: 6,
		Take: session.Counts{Likely: 17.4, AtLeast: 12,
			Fewest: map[string]int{"four": 9, "three": 14}, AsYouGo: map[string]int{"four": 12, "three": 21}},
		LastMinute: session.Counts{Likely: 4.1, AtLeast: 3,
			Fewest: map[string]int{"four": 2, "three": 4}, AsYouGo: map[string]int{"four": 3, "three": 6}},
		Lines: []session.CoachLine{
			{At: 90 * time.Second, Kind: coach.AdvicePlace, Text: "Window 5 to 8: no shift instead of 2. From A2 to D3, begin with finger 3 on the D string at fret 7."},
			{At: 71 * time.Second, Kind: coach.AdviceRelief, Text: "Three fingers are enough in window 2 to 4: 84 mm instead of 122. From F#1 to C2 with 1-2-4 and no more shifts."},
			{At: 52 * time.Second, Kind: coach.AdvicePlace, Text: "Other strings, window 2 to 5: 1 shift instead of 3. From B1 to E2, begin with finger 1 on the A string at fret 2."},
		},
		Source: "practice bass", TakePath: "/home/player/takes/2026-11-25T201405Z.mid",
		Notes: 162, Dropped: 3, StringsTold: true, Channels: "channels 1 2 3 4 are strings 4 3 2 1", Marks: 2,
	}
	s.Trail = trail(at, 5, 5, 2, 2, 2, 3, 7, 7, 5, 5, 5, 9, 9, 5, 5)
	for _, edit := range edits {
		edit(s)
	}
	return s
}

// trail is a line through the given positions, evenly over the half minute
// before end.
func trail(end time.Duration, positions ...int) []session.TrailPoint {
	points := make([]session.TrailPoint, len(positions))
	for i, p := range positions {
		points[i] = session.TrailPoint{
			At:       end - session.TrailTime + time.Duration(i)*session.TrailTime/time.Duration(len(positions)),
			Position: p, Low: p, High: p, Probability: 0.95, Settled: true,
		}
		if i > 0 && positions[i-1] != p {
			points[i].Moved = 1
		}
	}
	return points
}

// provisionalHand makes the newest note one that later notes may still change,
// with a hand that may be anywhere from the fourth position to the sixth.
func provisionalHand(s *session.Snapshot) {
	s.Hand.Settled = false
	s.Hand.Probability, s.Hand.Low, s.Hand.High = 0.61, 4, 6
	s.Playing[0].Probability = 0.61
	last := len(s.Trail) - 1
	for i := range 2 {
		s.Trail[last-i].Low, s.Trail[last-i].High = 4, 6
		s.Trail[last-i].Probability, s.Trail[last-i].Settled = 0.61, false
	}
	s.Trail[last-1].Moved = 0.7
}

// listening makes every answer about the newest note likelier wrong than right.
func listening(s *session.Snapshot) {
	provisionalHand(s)
	s.Hand.Probability, s.Hand.Low, s.Hand.High = 0.39, 2, 7
	s.Playing[0].Probability = 0.35
}

// held puts the count on hold.
func held(s *session.Snapshot) { s.Held, s.Stale = true, true }

// unplugged takes the cable out.
func unplugged(s *session.Snapshot) {
	s.Gone, s.Warning = true, "practice bass is gone: waiting for it to come back"
}

// marked is just after a mark.
func marked(s *session.Snapshot) {
	s.Marks, s.Sign = 12, session.Sign{Word: "mark", Text: "mark 12"}
}

// replayed makes the sitting a recording that is being played back.
func replayed(s *session.Snapshot) {
	s.TakePath = ""
	s.Source = "practice.mid"
	r := &session.Replay{Playing: true, Speed: 0.5, At: s.At, Length: 3*time.Minute + 20*time.Second,
		Loop: true, LoopFrom: 88 * time.Second, LoopTo: 101 * time.Second}
	random := rand.New(rand.NewPCG(1, 1))
	for range 60 {
		r.Shifts = append(r.Shifts, time.Duration(random.Int64N(int64(r.Length))))
	}
	for i := range 8 {
		r.Advice = append(r.Advice, time.Duration(i)*25*time.Second)
	}
	r.Marks = []time.Duration{31 * time.Second, 150 * time.Second}
	s.Replay = r
}

// inRound puts the sitting into a practice round.
func inRound(s *session.Snapshot) {
	s.Round = &session.Round{Title: "hold the window", Bar: 3, Beat: 2, Beats: 4, Bars: 16,
		Call: "window 5 to 8", Brief: "5-8", Position: 5, Score: 40, Of: 48, Best: 45, Detail: "a shift on beat 4 of bar 2: -5"}
}

// inCall is a round whose window changes on the next bar line.
func inCall(s *session.Snapshot) {
	inRound(s)
	s.Round.Title, s.Round.Beat, s.Round.Call, s.Round.Brief = "follow the window", 3, "5-8, next 9-12", "next 9-12"
}

// atRung puts the sitting into an attempt at a rung of the ladder.
func atRung(s *session.Snapshot) {
	s.Round = &session.Round{Title: "four fingers, frets 5 to 8 on string 2", Bar: 1, Beat: 3, Beats: 4, Bars: 8, Position: 5,
		Next: coach.Step{Note: 2, Place: coach.Place{String: 2, Fret: 8}, Finger: 4, Position: 5},
		Call: "finger 4, fret 8", Score: 2, Of: 14, Detail: "2 of 14 notes", StretchMM: 103}
}

// judged is that attempt when it is over.
func judged(s *session.Snapshot) {
	atRung(s)
	s.Round.Done, s.Round.Next, s.Round.Call, s.Round.Awaits = true, coach.Step{}, "not yet: evenness", session.AwaitsNote
	s.Round.Brief, s.Round.Detail = "not yet", "evenness: times between notes vary by 14.2 per cent (at most 10)"
	s.Round.Findings = []coach.Finding{
		{Name: "notes", Passed: true, Text: "14 of 14 notes right and in order"},
		{Name: "window", Passed: true, Text: "the hand stayed, probability 0.93 (at least 0.50)"},
		{Name: "evenness", Text: "times between notes vary by 14.2 per cent (at most 10)"},
		{Name: "connection", Passed: true, Text: "92 per cent of 13 pairs connected (at least 80)"},
	}
	s.Round.Remark = "25 minutes without a break. Five minutes off in each half hour is common advice."
}

// judgedAsGuess is that attempt where no string was told, with more to say of it.
func judgedAsGuess(s *session.Snapshot) {
	judged(s)
	s.Round.Findings[0] = coach.Finding{Name: "notes", Text: "note 9 is not the one asked (13 heard, 13 asked)"}
	s.Round.Findings[1] = coach.Finding{Name: "window", Passed: true, Guess: true, Text: "a guess: the hand stayed, probability 0.25 to 0.74, if it began there"}
	s.Round.Call, s.Round.Detail, s.Round.Remark = "not yet: notes", "notes: "+s.Round.Findings[0].Text, ""
}

// findingReach asks whether a window lies at ease.
func findingReach(s *session.Snapshot) {
	s.Round = &session.Round{Title: "four fingers: is this window easy?", Call: "window 5 to 8", Brief: "5-8", Position: 5, StretchMM: 103,
		Awaits: session.AwaitsAnswer, Detail: "Lay one finger on each fret, on any string, and play up and down."}
}

// foundReach asks whether to keep what was found.
func foundReach(s *session.Snapshot) {
	findingReach(s)
	s.Round.Title, s.Round.Awaits = "keep this as your comfortable reach?", session.AwaitsKeep
	s.Round.Detail = "comfortable reach: 103 mm, four fingers at position 5, by your word alone: no note of it was heard."
}

// roundOver is a round that has its score.
func roundOver(s *session.Snapshot) {
	inRound(s)
	s.Round.Done, s.Round.Awaits, s.Round.Bar = true, session.AwaitsNote, 16
}

// inBudget is a round whose score rests on few notes.
func inBudget(s *session.Snapshot) {
	inRound(s)
	s.Round.Title, s.Round.Call, s.Round.Brief, s.Round.Position = "2 bars, 1 shift", "1 of 1 shift used", "1 of 1 shift", 0
	s.Round.Score, s.Round.Of, s.Round.Best, s.Round.Notes, s.Round.Doubtful = 20, 20, 0, 14, 9
}

// overBudget is that round when it is over.
func overBudget(s *session.Snapshot) {
	inBudget(s)
	s.Round.Done, s.Round.Awaits, s.Round.Bar = true, session.AwaitsNote, 16
}

// toBegin waits for the note that begins a round.
func toBegin(s *session.Snapshot) {
	inRound(s)
	s.Round.Bar, s.Round.Beat, s.Round.Score, s.Round.Detail, s.Round.Awaits = 0, 0, 0, "", session.AwaitsNote
}

// randomSnapshot varies whatever moves on the screen.
func randomSnapshot(random *rand.Rand) *session.Snapshot {
	return sample(func(s *session.Snapshot) {
		s.At = time.Duration(random.Int64N(int64(time.Hour)))
		s.Neck, _ = coach.ParseNeck(coach.PresetNames()[random.IntN(5)])
		s.System = coach.Systems[random.IntN(len(coach.Systems))]
		s.Hand.Position = random.IntN(s.Neck.Positions(s.System.Width()) + 1)
		s.Hand.Low = max(1, s.Hand.Position-random.IntN(3))
		s.Hand.High = min(s.Neck.Positions(s.System.Width()), max(1, s.Hand.Position+random.IntN(3)))
		s.Hand.Probability = random.Float64()
		s.Hand.Settled = random.IntN(2) == 0
		s.Other = random.IntN(s.Neck.Positions(s.System.Other().Width()) + 1)
		s.Playing = nil
		for range random.IntN(3) {
			s.Playing = append(s.Playing, session.Sounding{
				Place:       coach.Place{String: random.IntN(s.Neck.Strings() + 1), Fret: random.IntN(s.Neck.Frets + 1)},
				Finger:      random.IntN(5),
				Probability: random.Float64()})
		}
		positions := make([]int, random.IntN(60))
		for i := range positions {
			positions[i] = 1 + random.IntN(15)
		}
		s.Trail = trail(s.At, positions...)
		s.Take.Likely, s.Take.AtLeast = 300*random.Float64(), random.IntN(300)
		s.Lines = s.Lines[:random.IntN(4)]
		s.Held = random.IntN(4) == 0
		s.Notes = random.IntN(10000)
		s.Source = []string{"practice bass", "練習用ベース 2", "e\u0301tude", "", "[red]bass\x1b[31m"}[random.IntN(5)]
		if random.IntN(8) == 0 {
			s.Warning = "practice bass is unplugged: the take is kept, plug it in again"
		}
		if random.IntN(8) == 0 {
			unplugged(s)
		}
		if random.IntN(8) == 0 {
			marked(s)
		}
		if random.IntN(6) == 0 {
			replayed(s)
		}
		if random.IntN(8) == 0 {
			[]func(*session.Snapshot){inRound, atRung, judged, findingReach, toBegin}[random.IntN(5)](s)
		}
	})
}
