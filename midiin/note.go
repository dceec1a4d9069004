package midiin

import "time"

// Note is one cleaned note-on. Its release is delivered separately, when it
// is heard.
type Note struct {
	ID       int           // counts kept notes from 0, in order of onset
	At       time.Duration // onset, pickup delay undone if asked for
	Channel  int           // 0 to 15
	Pitch    int           // MIDI note number sounding after any slide
	Velocity int           // 1 to 127
	String   int           // 1 is the highest; 0 when the input does not tell
	Slide    int           // signed semitones slid into this note from the one before on the channel; 0 if struck
	Gap      time.Duration // from the release of the note before to At, 0 if it still sounded; Rest before the first
	Sounding bool          // the note before still sounded at At
}

// Rest is the gap of a note with none before it.
const Rest = time.Hour

// DropReason says why a note is left out of the analysis.
type DropReason string

const (
	Ghost         DropReason = "ghost"          // too soft and short to have been meant, or a harmonic heard before its note
	DoubleTrigger DropReason = "double trigger" // the same key of the same channel again, sooner than a hand can strike
	OffNeck       DropReason = "off the neck"   // no string has this pitch
	Unrelated     DropReason = "other channel"  // outside the channels that carry the line
)

// Dropped is one note left out, with its reason. The record keeps it.
type Dropped struct {
	At      time.Duration // arrival of the note-on
	Channel int
	Pitch   int // as it would have sounded, with its bend
	Reason  DropReason
}
