package session

import (
	"stillhand/coach"
	"stillhand/midiin"
)

// Setup is what one sitting is told beforehand: the instrument, the player and
// the kind of input. It is a value; nothing in it is written after it is made.
type Setup struct {
	Neck    coach.Neck // behind the capo, if there is one
	Capo    int        // for the record; Neck has it applied
	System  coach.System
	ReachMM float64 // 0 when not known
	Strings midiin.StringsOption
	Mode    midiin.Mode
	Octave  int // octaves added to every pitch, for small keyboards
	Habits  coach.Habits
	Keep    int // newest notes kept for Review; 0 keeps all

	oneTrack bool // the file has no other track with notes
	unseen   bool // no screen is drawn: what only a screen shows is not kept
}

// A gap with nothing before it is the same for both, or this does not compile.
var _ = [1]struct{}{}[coach.Rest-midiin.Rest]

// translate turns a cleaned MIDI note into what the coach takes.
func translate(n midiin.Note) coach.Note {
	return coach.Note{
		At: n.At, Gap: n.Gap, Pitch: n.Pitch, String: n.String,
		Velocity: n.Velocity, Slide: n.Slide, Sounding: n.Sounding,
	}
}
