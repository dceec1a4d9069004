package coach

import (
	"fmt"
	"strings"
)

// Finger is one finger of a system: its number (1 index to 4 little) and the
// fret it covers, counted from the fret under the first finger.
type Finger struct {
	Number int
	Offset int
}

// System is a finger system as data: which finger covers which fret of one
// window. Fingers are in ascending Offset, the first at offset 0. A new system
// needs a new value here and no new code.
type System struct {
	Name    string
	Fingers []Finger
}

// The two systems in common use (common practice): one finger per fret, and
// 1-2-4 over three frets as on the double bass.
var (
	Four  = System{"four", []Finger{{1, 0}, {2, 1}, {3, 2}, {4, 3}}}
	Three = System{"three", []Finger{{1, 0}, {2, 1}, {4, 2}}}
)

// Systems lists every system that the tool offers. Callers must not write it.
var Systems = []System{Four, Three}

// ParseSystem returns the system called name.
func ParseSystem(name string) (System, error) {
	for _, s := range Systems {
		if s.Name == name {
			return s, nil
		}
	}
	return System{}, fmt.Errorf("fingers %q: say %s", name, SystemNames())
}

// SystemNames is every system's name, as a choice: "four or three".
func SystemNames() string {
	names := make([]string, len(Systems))
	for i, s := range Systems {
		names[i] = s.Name
	}
	return strings.Join(names, " or ")
}

// Frets names the frets of the window at position, from the first to the last
// with dash between.
func (s System) Frets(position int, dash string) string {
	return fretRun(position, position+s.Width()-1, dash)
}

func fretRun(first, last int, dash string) string {
	if last <= first {
		return fmt.Sprint(first)
	}
	return fmt.Sprintf("%d%s%d", first, dash, last)
}

// Window names the frets of a window at position.
func (s System) Window(position int) string {
	return "window " + s.Frets(position, " to ")
}

// Other returns the system to compare s with: the next one in Systems.
func (s System) Other() System {
	for i, o := range Systems {
		if o.Name == s.Name {
			return Systems[(i+1)%len(Systems)]
		}
	}
	return Systems[0]
}

// Width is the number of frets from the first finger's to the last's.
func (s System) Width() int { return s.Fingers[len(s.Fingers)-1].Offset + 1 }

// FingerAt returns the number of the finger at offset frets above the
// position, or 0 if none covers that fret.
func (s System) FingerAt(offset int) int {
	for _, f := range s.Fingers {
		if f.Offset == offset {
			return f.Number
		}
	}
	return 0
}

// Covers reports whether a hand at position plays place: an open string needs
// no finger, any other fret needs one above it.
func (s System) Covers(position int, p Place) bool {
	return p.Fret == 0 || s.FingerAt(p.Fret-position) != 0
}
