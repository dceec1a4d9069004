package coach

import "time"

// gripWindow is how far apart two onsets may lie and still be one grip (the
// model's definition of notes struck together).
const gripWindow = 30 * time.Millisecond

// Note is one heard note as the computation takes it.
type Note struct {
	At       time.Duration // onset, from the start of the take
	Gap      time.Duration // release of the note before to At: the time the hand had to move; 0 while that note still sounds. Unbounded before the first note (use Rest)
	Pitch    int           // MIDI note number
	String   int           // 1 is the highest; 0 when the input does not tell
	Velocity int           // 1 to 127
	Slide    int           // signed frets slid, finger down, from the note before on the same string; 0 for a struck note
	Sounding bool          // the note before still sounds at At
}

// Rest is the gap given to a note with nothing before it.
const Rest = time.Hour

// together reports whether n is one grip with first, the first note of the
// grip so far: struck within gripWindow while the note before still sounds.
// A slide is never part of a grip.
func (n Note) together(first Note) bool {
	return n.Sounding && n.Slide == 0 && n.At-first.At <= gripWindow
}
