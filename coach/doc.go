// Package coach computes where a bass player's fretting hand is, what moving
// it cost, and what the other finger system would have asked.
//
// Start with Neck and System, then Note: the Economy types give exact optima
// of a line of notes, Tracker infers the hand that played it, and Advise
// compares the two.
//
// The package is pure: standard library only, no clock, no I/O, no goroutine,
// no MIDI type and no screen. Time arrives as values. Nothing is random.
// Strings are numbered from 1, the highest-sounding; 0 means unknown.
package coach
