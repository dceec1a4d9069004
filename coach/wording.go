package coach

import (
	"fmt"
	"strings"
)

// systemText recommends another system.
func systemText(a Advice, c *cover, reachMM float64) string {
	text := fmt.Sprintf("%s fingers in %s: %s. %s with %s, stretch %.0f mm",
		capital(a.System), windows(a.Path, c.system), instead(a), extent(a.Path, c.neck), fingers(c.system), a.StretchMM)
	if reachMM > 0 {
		return text + fmt.Sprintf(" (your reach: %.0f).", reachMM)
	}
	return text + " (reach unknown)."
}

// beyondText says what another system would need and why not to use it.
func beyondText(a Advice, c *cover, own System, reachMM float64) string {
	return fmt.Sprintf("%s fingers in %s: %s, but the stretch is %.0f mm and your reach %.0f. %s stay with %s.",
		capital(a.System), windows(a.Path, c.system), instead(a), a.StretchMM, reachMM, extent(a.Path, c.neck), own.Name)
}

// placeText says where the own system needs fewer shifts, and which finger to
// begin with. Where open strings go before it, its note is named; notes are as
// played.
func placeText(a Advice, c *cover, notes []Note) string {
	where := windows(a.Path, c.system)
	for i, n := range notes {
		if n.String > 0 && a.Path[i].Place.String != n.String {
			where = "other strings, " + where
			break
		}
	}
	text := fmt.Sprintf("%s: %s. %s", capital(where), instead(a), extent(a.Path, c.neck))
	after := "" // the open strings
	for _, s := range a.Path {
		switch {
		case s.Finger > 0:
			if after != "" {
				after += PitchName(c.neck.Pitch(s.Place)) + " "
			}
			return fmt.Sprintf("%s, begin %swith finger %d on the %s string at fret %d.", text, after, s.Finger, stringName(c.neck, s.Place.String), s.Place.Fret)
		case s.Place.String > 0:
			after = "open, then "
		}
	}
	return text + "."
}

// stringName names a string by its open note, with the octave where another string
// of the neck is of the same name.
func stringName(n Neck, str int) string {
	name, alike := PitchClass(n.Open[str-1]), 0
	for _, open := range n.Open {
		if PitchClass(open) == name {
			alike++
		}
	}
	if alike > 1 {
		return PitchName(n.Open[str-1])
	}
	return name
}

// reliefText recommends the narrower window; wideMM is what the own one asks. It
// may be narrower and still beyond the reach.
func reliefText(a Advice, c *cover, wideMM, reachMM float64) string {
	text := fmt.Sprintf("%s fingers are enough in %s: %.0f mm instead of %.0f. %s with %s and no more shifts.",
		capital(a.System), windows(a.Path, c.system), a.StretchMM, wideMM, extent(a.Path, c.neck), fingers(c.system))
	if !a.WithinReach {
		text += fmt.Sprintf(" %.0f mm still lies beyond your reach of %.0f mm.", a.StretchMM, reachMM)
	}
	return text
}

// instead compares what the path asks with what the hand did.
func instead(a Advice) string {
	return count(a.ShiftsThen) + " instead of " + Counted(fmt.Sprint(a.ShiftsNow), a.Probably, a.More)
}

// Counted says of a number of moves that some of them, or more than these, are only
// probable: "3", "at least 3", "probably 3", "probably 3 or more".
func Counted(moves string, probably, more bool) string {
	switch {
	case probably && more:
		return "probably " + moves + " or more"
	case probably:
		return "probably " + moves
	case more:
		return "at least " + moves
	}
	return moves
}

// struckText says that n slides cannot be played so.
func struckText(n int) string {
	if n == 1 {
		return "The slide is then struck."
	}
	return fmt.Sprintf("The %d slides are then struck.", n)
}

func count(shifts int) string {
	if shifts == 0 {
		return "no shift"
	}
	return Many(shifts, "shift")
}

// Many is a count with its noun: "1 shift", "2 shifts".
func Many(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// extent names the path's first and last pitch: "From C2 to C3".
func extent(path []Step, n Neck) string {
	name := func(s Step) string {
		if s.Place.String == 0 {
			return ""
		}
		return PitchName(n.Pitch(s.Place))
	}
	first, last := "", ""
	for i := 0; first == "" && i < len(path); i++ {
		first = name(path[i])
	}
	for i := len(path) - 1; last == "" && i >= 0; i-- {
		last = name(path[i])
	}
	return "From " + first + " to " + last
}

// fingers spells the numbers of a system's fingers: 1-2-4.
func fingers(s System) string {
	numbers := make([]string, len(s.Fingers))
	for i, f := range s.Fingers {
		numbers[i] = fmt.Sprint(f.Number)
	}
	return strings.Join(numbers, "-")
}

// windows names the frets of the path's windows, in the order of use, at most
// three of them.
func windows(path []Step, s System) string {
	var frets []string
	last := 0
	for _, step := range path {
		if step.Finger > 0 && step.Position != last {
			last = step.Position
			frets = append(frets, s.Frets(last, " to "))
		}
	}
	switch {
	case len(frets) == 0:
		return "open strings alone"
	case len(frets) == 1:
		return "window " + frets[0]
	case len(frets) == 2:
		return "windows " + frets[0] + " and " + frets[1]
	case len(frets) == 3:
		return "windows " + strings.Join(frets, ", then ")
	}
	return fmt.Sprintf("%d windows from %s on", len(frets), frets[0])
}

// capital makes the first letter a capital.
func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
