package coach

import (
	"fmt"
	"strings"
)

// systemText recommends another system whose windows are within reach.
func systemText(a Advice, c *cover, reachMM float64) string {
	text := fmt.Sprintf("%s fingers, %s, in %s: %s, %s. It asks %.0f mm",
		capital(a.System), fingers(c.system), windows(a.Path, c.system), instead(a), extent(a.Path, c.neck), a.StretchMM)
	if reachMM > 0 {
		text += fmt.Sprintf(", within your reach of %.0f", reachMM)
	}
	return text + "."
}

// beyondText says what another system would save and why not to use it.
func beyondText(a Advice, c *cover, own System, reachMM float64) string {
	return fmt.Sprintf("%s fingers would save %s, %s, but %s asks %.0f mm and your reach is %.0f. Stay with %s.",
		capital(a.System), count(a.ShiftsNow-a.ShiftsThen), extent(a.Path, c.neck), windows(a.Path, c.system), a.StretchMM, reachMM, own.Name)
}

// placeText says where the own system needs fewer shifts; notes are as played.
func placeText(a Advice, c *cover, notes []Note) string {
	where := ""
	for i, n := range notes {
		if n.String > 0 && a.Path[i].Place.String != n.String {
			where = "On other strings, "
			break
		}
	}
	text := fmt.Sprintf("%s%s: %s, %s.", where, windows(a.Path, c.system), instead(a), extent(a.Path, c.neck))
	for _, s := range a.Path {
		if s.Finger > 0 {
			text += fmt.Sprintf(" Begin with finger %d on the %s string, fret %d.", s.Finger, pitchClasses[c.neck.Open[s.Place.String-1]%12], s.Place.Fret)
			break
		}
	}
	return capital(text)
}

// reliefText recommends the narrower window; wideMM is what the own one asks.
func reliefText(a Advice, c *cover, wideMM float64) string {
	return fmt.Sprintf("%s fingers, %s, are enough in %s, %s. No more shifts, and %.0f mm instead of %.0f.",
		capital(a.System), fingers(c.system), windows(a.Path, c.system), extent(a.Path, c.neck), a.StretchMM, wideMM)
}

// instead compares what the path asks with what the hand did.
func instead(a Advice) string {
	return fmt.Sprintf("%s instead of %d", count(a.ShiftsThen), a.ShiftsNow)
}

func count(shifts int) string {
	switch shifts {
	case 0:
		return "no shift"
	case 1:
		return "1 shift"
	}
	return fmt.Sprintf("%d shifts", shifts)
}

// extent names the first and last pitch of the path.
func extent(path []Step, n Neck) string {
	var names []string
	for _, s := range path {
		if s.Place.String > 0 {
			names = append(names, PitchName(n.Pitch(s.Place)))
		}
	}
	return names[0] + " to " + names[len(names)-1]
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
			frets = append(frets, fmt.Sprintf("%d to %d", last, last+s.Width()-1))
		}
	}
	switch {
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
