package session

import (
	"math"
	"slices"
	"time"

	"stillhand/coach"
	"stillhand/midiin"
)

// record keeps the notes of a sitting as the review lists them.
type record struct {
	keep   int // newest notes kept; 0 keeps all
	base   int // index of the first note kept
	notes  []ReviewNote
	shifts []ReviewShift
	advice []ReviewAdvice // To is not known before the last release
}

// newRecord returns an empty record; see newestOf.
func newRecord(keep int) record {
	return record{keep: keep, notes: make([]ReviewNote, 0, 2*keep), shifts: make([]ReviewShift, 0, 2*keep)}
}

// len is the number of notes ever recorded.
func (r *record) len() int { return r.base + len(r.notes) }

func (r *record) note(n midiin.Note) {
	if r.keep > 0 && len(r.notes) >= 2*r.keep {
		gone := len(r.notes) - r.keep
		r.notes = slices.Delete(r.notes, 0, gone)
		r.base += gone
		first := 0
		for first < len(r.shifts) && int(r.shifts[first].Note) < r.base {
			first++
		}
		r.shifts = slices.Delete(r.shifts, 0, first)
		first = 0
		for first < len(r.advice) && r.advice[first].FirstNote < r.base {
			first++
		}
		r.advice = slices.Delete(r.advice, 0, first) // and lets go of their paths
	}
	r.notes = append(r.notes, ReviewNote{At: seconds(n.At), Off: seconds(n.At), Pitch: int8(n.Pitch), String: int8(n.String), Slide: int8(n.Slide), Velocity: int8(n.Velocity)})
}

// get returns the note with index i, or nil when it is no longer kept.
func (r *record) get(i int) *ReviewNote {
	if i < r.base {
		return nil
	}
	return &r.notes[i-r.base]
}

func (r *record) off(i int, at time.Duration) {
	if n := r.get(i); n != nil {
		n.Off = seconds(at)
	}
}

func (r *record) settle(e *coach.Estimate, neck *coach.Neck) {
	n := r.get(e.Note)
	if n == nil {
		return
	}
	n.String, n.Fret, n.Finger = int8(e.Place.String), int8(e.Place.Fret), int8(e.Finger)
	n.Position, n.Low, n.High = int8(e.Position), int8(e.Low), int8(e.High)
	n.Probability = rounded(e.Probability)
	n.Reached, n.PlaceSure = e.Extended, float32(e.PlaceProbability)
	if e.Moved < coach.Likely || e.From == e.Position { // somewhere, but nobody knows where to
		return
	}
	s := ReviewShift{At: n.At, Note: int32(e.Note), From: int8(e.From), To: int8(e.Position), Kind: "likely", Probability: rounded(e.Moved)}
	if e.Sure {
		s.Kind = "sure"
	}
	s.Frets = max(s.From-s.To, s.To-s.From)
	s.MM = math.Abs(neck.FretMM(e.Position) - neck.FretMM(e.From))
	r.shifts = append(r.shifts, s)
}

// advise keeps a piece of advice. A dense file brings one every few notes, so
// it stands here once, as the review has it, and not with the coach's own path.
func (r *record) advise(a *coach.Advice, reachKnown bool) {
	said := ReviewAdvice{
		From: r.get(a.First).At, FirstNote: a.First, LastNote: a.Last, Kind: string(a.Kind), System: a.System,
		ShiftsNow: a.ShiftsNow, Probably: a.Probably, More: a.More, ShiftsThen: a.ShiftsThen, StretchMM: a.StretchMM, Price: a.Price, Text: a.Text,
		Path: make([]ReviewStep, len(a.Path)),
	}
	if reachKnown {
		within := a.WithinReach
		said.WithinReach = &within
	}
	for i, s := range a.Path {
		said.Path[i] = ReviewStep{int32(s.Note), int8(s.Place.String), int8(s.Place.Fret), int8(s.Finger), int8(s.Position)}
	}
	r.advice = append(r.advice, said)
}

// seconds is d at the resolution of a take, 0.1 ms.
func seconds(d time.Duration) float64 {
	return math.Round(float64(d)/1e5) / 1e4
}

// rounded is a probability as it is printed: four decimals.
func rounded(p float64) float64 { return math.Round(p*1e4) / 1e4 }
