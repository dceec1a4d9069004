// Package midiin brings MIDI in: sources (a Standard MIDI File, a raw byte
// stream, a system port), the cleaning of what pickups get wrong, the map from
// channels to strings, and pitch bend read as slides.
//
// Start with Source and Event; Cleaner turns events into Notes. The package
// knows no necks beyond the open pitches it is given, no hands and no screen.
package midiin
