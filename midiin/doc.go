// Package midiin brings MIDI in. Start with Source, the contract of every
// input, and Event, what inputs deliver; then Cleaner, which turns events into
// Notes.
//
// Sources: a Standard MIDI File (OpenFile), raw bytes from a device, a FIFO or
// standard input (OpenStream), a port of the system (OpenPort; with the build
// tag rtmidi every port that the system knows). A new source implements Source
// and passes CheckSource in the package's tests.
//
// A Cleaner leaves out what pickups get wrong, tells which channel carries
// which string, and reads pitch bend as slides. What it leaves out it lists;
// the events themselves are never changed.
//
// The package knows no necks beyond the open pitches that it is given, no
// hands, no screen, and of this program's own recordings only the text that
// they begin with.
package midiin
