package report

import (
	"encoding/csv"
	"encoding/xml"
	"io"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session"
	"stillhand/testdata"
)

// told says whether the input tells the strings.
type told bool

// recorded is the review of a recording of our own, made from the list of
// notes that lies beside it, with the coach's own tracker, economy and
// adviser: what the pipeline would hand over, without files or clock.
func recorded(t testing.TB, name string, known told) *session.Review {
	return recordedBy(t, name, known, "four")
}

func recordedBy(t testing.TB, name string, known told, fingers string) *session.Review {
	t.Helper()
	f, err := testdata.Files.Open(name + ".truth.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 2)
	column := map[string]int{}
	for i, title := range rows[0] {
		column[title] = i
	}
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	r := blank(name+".mid", neck)
	r.Fingers = fingers
	if !known {
		r.Input.Strings = "inferred"
	}
	var notes []coach.Note
	off := time.Duration(-1)
	for _, row := range rows[1:] {
		get := func(title string) float64 {
			v, err := strconv.ParseFloat(row[column[title]], 64)
			require.NoError(t, err, title)
			return v
		}
		if get("note") < 0 {
			continue
		}
		at, end := seconds(get("heard_ms")/1000), seconds(get("off_ms")/1000)
		n := coach.Note{At: at, Gap: coach.Rest, Pitch: int(get("pitch")), Velocity: 80, Slide: int(get("slide"))}
		if known {
			n.String = int(get("string"))
		}
		if off >= 0 {
			n.Gap, n.Sounding = max(0, at-off), off > at
		}
		off = end
		notes = append(notes, n)
		r.Notes = append(r.Notes, session.ReviewNote{At: at.Seconds(), Off: end.Seconds(), Pitch: int8(n.Pitch), Slide: int8(n.Slide), Velocity: 80})
	}
	analyse(r, neck, notes)
	return r
}

func blank(source string, neck coach.Neck) *session.Review {
	reach := 105.0
	r := &session.Review{Format: "stillhand-review", Version: 1, Source: source, Fingers: "four", ReachMM: &reach,
		Neck: session.ReviewNeck{Frets: neck.Frets, ScaleMM: neck.ScaleMM}, Input: session.ReviewInput{Strings: "known"},
		Systems: map[string]session.ReviewSystem{}}
	for _, p := range neck.Open {
		r.Neck.Strings = append(r.Neck.Strings, coach.PitchName(p))
	}
	return r
}

func analyse(r *session.Review, neck coach.Neck, notes []coach.Note) {
	own, _ := coach.ParseSystem(r.Fingers)
	tracker, adviser := coach.NewTracker(neck, own, coach.Habits{}), coach.NewAdviser(neck, own, *r.ReachMM)
	mixed, regions := coach.NewMixed(neck, *r.ReachMM), coach.NewRegions(neck)
	for _, n := range notes {
		tracker.Note(n)
		mixed.Note(n)
	}
	tracker.End()
	say := func(a coach.Advice, ok bool) {
		if ok {
			r.Advice = append(r.Advice, reviewAdvice(r, a))
		}
	}
	for i, e := range tracker.Settled(nil) {
		regions.Note(notes[i], e.Position)
		n := &r.Notes[i]
		n.String, n.Fret, n.Finger, n.Position = int8(e.Place.String), int8(e.Place.Fret), int8(e.Finger), int8(e.Position)
		n.Probability, n.Low, n.High, n.PlaceSure = e.Probability, int8(e.Low), int8(e.High), float32(e.PlaceProbability)
		if e.Sure || e.Moved >= 0.5 {
			low, high := min(e.From, e.Position), max(e.From, e.Position)
			kind := "likely"
			if e.Sure {
				kind = "sure"
			}
			r.Shifts = append(r.Shifts, session.ReviewShift{At: n.At, Note: int32(i), From: int8(e.From), To: int8(e.Position), Frets: int8(high - low),
				MM: neck.FretMM(high) - neck.FretMM(low), GapMS: float64(notes[i].Gap) / 1e6, Kind: kind, Probability: e.Moved})
		}
		say(adviser.Add(notes[i], e))
	}
	say(adviser.Close())
	for _, s := range coach.Systems {
		economy, going := coach.NewEconomy(neck, s), coach.NewAsYouGo(neck, s)
		for _, n := range notes {
			economy.Note(n)
			going.Note(n)
		}
		c := economy.Fewest()
		r.Systems[s.Name] = session.ReviewSystem{Fewest: c.Shifts, TravelFrets: c.Travel, LeastTravelFrets: economy.LeastTravel(), AsYouGo: going.Shifts(), WidestMM: c.WidestMM}
	}
	r.Count = session.ReviewCount{AtLeast: r.Systems[r.Fingers].Fewest, Likely: tracker.Expected()}
	m := mixed.Result()
	r.Mixed = session.ReviewMixed{Fewest: m.Fewest, TravelFrets: m.Travel, ThreeShare: m.ThreeShare, CrossoverFret: regions.Crossover()}
	for _, at := range regions.All() {
		r.Regions = append(r.Regions, session.ReviewRegion{Position: at.Position, Notes: at.Notes, Four: at.Four, Three: at.Three})
	}
	r.Input.Notes = len(r.Notes)
}

func reviewAdvice(r *session.Review, a coach.Advice) session.ReviewAdvice {
	out := session.ReviewAdvice{From: r.Notes[a.First].At, To: r.Notes[a.Last].Off, FirstNote: a.First, LastNote: a.Last, Kind: string(a.Kind), System: a.System,
		ShiftsNow: a.ShiftsNow, ShiftsThen: a.ShiftsThen, StretchMM: a.StretchMM, WithinReach: &a.WithinReach, Text: a.Text}
	for _, s := range a.Path {
		out.Path = append(out.Path, session.ReviewStep{Note: int32(s.Note), String: int8(s.Place.String), Fret: int8(s.Place.Fret), Finger: int8(s.Finger), Position: int8(s.Position)})
	}
	return out
}

func parse(t testing.TB, s string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return f
}

// wellFormed reads a document with encoding/xml in its strict mode.
func wellFormed(document string) error {
	d := xml.NewDecoder(strings.NewReader(document))
	for {
		if _, err := d.Token(); err != nil {
			if err == io.EOF {
				return nil
			}
			return err
		}
	}
}
