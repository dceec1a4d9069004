package players

import (
	"time"

	"stillhand/coach"
)

// Notes is the take as a clean instrument reports it: with the string of
// every note, or with pitches only.
func (t Take) Notes(strings bool) []coach.Note {
	notes := make([]coach.Note, len(t.Hits))
	var off time.Duration
	for i, h := range t.Hits {
		n := coach.Note{At: h.On, Gap: coach.Rest, Pitch: t.Neck.Pitch(h.Place), Velocity: h.Velocity}
		if strings {
			n.String = h.Place.String
		}
		if i > 0 {
			n.Sounding = off > h.On
			n.Gap = max(0, h.On-off)
			if h.Slid {
				n.Slide = h.Place.Fret - t.Hits[i-1].Place.Fret
			}
		}
		off = max(off, h.Off)
		notes[i] = n
	}
	return notes
}
