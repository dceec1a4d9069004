package report

import (
	"fmt"
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// fingering tells the way of a piece of advice, window by window: "at 2 to 5:
// string 3 frets 3 5, string 2 fret 2; then at 7 to 10: string 2 fret 7". The
// window says which finger is on which fret. Open strings, fret 0, stand in the
// window before them.
func fingering(a session.ReviewAdvice) string {
	system, err := coach.ParseSystem(a.System)
	if err != nil {
		return ""
	}
	var windows []string
	for from := 0; from < len(a.Path); {
		to, position := from, int8(0)
		for ; to < len(a.Path); to++ {
			if s := a.Path[to]; s.Fret > 0 && position == 0 {
				position = s.Position
			} else if s.Fret > 0 && s.Position != position {
				break
			}
		}
		text := strings.Join(onStrings(a.Path[from:to]), ", ")
		if position > 0 {
			text = fmt.Sprintf("at %d to %d: %s", position, int(position)+system.Width()-1, text)
		}
		windows = append(windows, text)
		from = to
	}
	return strings.Join(windows, "; then ")
}

// onStrings tells the frets of a path string by string: "string 3 frets 3 5".
func onStrings(path []session.ReviewStep) (runs []string) {
	for from := 0; from < len(path); {
		frets, noun, to := "", "fret", from
		for ; to < len(path) && path[to].String == path[from].String; to++ {
			frets += fmt.Sprintf(" %d", path[to].Fret)
		}
		if to > from+1 {
			noun = "frets"
		}
		runs = append(runs, fmt.Sprintf("string %d %s%s", path[from].String, noun, frets))
		from = to
	}
	return runs
}
