// Package session is one sitting: the pipeline from MIDI events to the coach,
// the clock, the player's actions, and what screens and reports are drawn
// from.
//
// Start with Pipeline: live, replay and review feed the same Pipeline and
// differ only in the source, the clock and the face. Snapshot is what a screen
// draws; Review is the document that review --json prints.
//
// The package draws nothing, writes no file but the profile and what was learnt
// beside it, and computes nothing about hands: that is coach's. What a MIDI note
// is to coach stands in one place, translate.
package session
