package coach

import (
	"fmt"
	"strconv"
	"strings"
)

var pitchClasses = [12]string{"C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}

// PitchName is the scientific name of a MIDI note number: 60 is C4, 28 is E1.
func PitchName(pitch int) string {
	octave := pitch/12 - 1
	if pitch < 0 {
		octave = (pitch-11)/12 - 1
	}
	return PitchClass(pitch) + strconv.Itoa(octave)
}

// PitchClass is the name of a MIDI note number without its octave: 28 is E.
func PitchClass(pitch int) string { return pitchClasses[((pitch%12)+12)%12] }

// parsePitch reads a scientific pitch name (E1, Bb0, F#2) as a MIDI note
// number from 0 to 127.
func parsePitch(name string) (int, error) {
	bad := fmt.Errorf("%q is not a pitch like E1 or Bb2", name)
	if len(name) < 2 {
		return 0, bad
	}
	class := strings.IndexByte("C D EF G A B", name[0]&^0x20)
	if class < 0 {
		return 0, bad
	}
	rest := name[1:]
	switch rest[0] {
	case '#':
		class, rest = class+1, rest[1:]
	case 'b':
		class, rest = class-1, rest[1:]
	}
	octave, err := strconv.Atoi(rest)
	if err != nil || octave < -1 || octave > 9 {
		return 0, bad
	}
	pitch := (octave+1)*12 + class
	if pitch < 0 || pitch > 127 {
		return 0, fmt.Errorf("%q lies outside MIDI's notes 0 to 127", name)
	}
	return pitch, nil
}
