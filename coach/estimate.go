package coach

import "time"

// Estimate is what Tracker says of one note.
type Estimate struct {
	Note             int           // index of the note, from 0
	At               time.Duration // its onset
	Position         int           // likeliest fret under the first finger; 0 when nothing is known yet
	Probability      float64       // of Position
	Low, High        int           // narrow run of positions that holds the hand nine times in ten, see Tracker
	Place            Place         // likeliest place
	PlaceProbability float64       // of Place; 1 when the input tells the string
	Finger           int           // finger on Place at Position: 0 for an open string
	Extended         bool          // Place lies one fret outside the window: a finger reached
	Moved            float64       // probability that the hand changed position between the note before and this one
	From             int           // likeliest position before, given that it moved; Position if it did not
	Sure             bool          // it moved, and no window holds both this note and the last fretted one
	Settled          bool          // later notes cannot change this any more
}
