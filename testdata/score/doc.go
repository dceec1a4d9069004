// Package score turns the scores in testdata/scores into the recordings in
// testdata: it reads a score, plays it with a hand whose place, finger and
// position the score tells, and writes the Standard MIDI File together with
// the truth about that hand.
//
// Start with Recordings. Nothing in it is random and no floating point decides
// a byte, so every machine makes the same files. The package knows nothing of
// midiin or coach: recordings made from the code under test would prove little.
package score
