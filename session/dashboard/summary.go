package dashboard

import (
	"fmt"
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// Summary is what the terminal shows after the player left: ten lines of plain
// text, each ended by a newline.
func Summary(s *session.Snapshot) string {
	if s == nil {
		return "Nothing was heard.\n"
	}
	each := func(of map[string]int) string {
		var parts []string
		for _, system := range coach.Systems {
			if n, ok := of[system.Name]; ok {
				parts = append(parts, fmt.Sprintf("%s %d", system.Name, n))
			}
		}
		if parts == nil {
			return "not counted"
		}
		return strings.Join(parts, ", ")
	}
	said := "nothing"
	if len(s.Lines) > 0 {
		said = s.Lines[0].Text
	}
	take := "not saved"
	if s.TakePath != "" {
		take = s.TakePath
	}
	hand := "no fretted note yet"
	if p := s.Hand.Position; p > 0 {
		hand = fmt.Sprintf("last at %s, %s sure", windowText(s.System, p, "-"), percent(s.Hand.Probability))
		if provisional(s) {
			hand += ", provisional"
		}
	}
	var out strings.Builder
	line := func(name, text string) { fmt.Fprintf(&out, "%-15s %s\n", name, plain(text)) }
	line("source", s.Source)
	line("played", fmt.Sprintf("%s, %d notes kept, %d cleaned away, %d lost", clock(s.At), s.Notes, s.Dropped, s.Lost))
	line("fingers", s.System.Name)
	line("hand", hand)
	line("your shifts", fmt.Sprintf("likely %.1f, at least %d", s.Take.Likely, s.Take.AtLeast))
	line("fewest", each(s.Take.Fewest)+whichWhere(s))
	line("as you go", each(s.Take.AsYouGo))
	line("coach said last", said)
	line("marks", fmt.Sprint(s.Marks))
	line("take", take)
	return out.String()
}

// whichWhere says what either system, and where, would have cost least.
func whichWhere(s *session.Snapshot) string {
	if len(s.Take.Fewest) == 0 {
		return ""
	}
	text := fmt.Sprintf(", mixed %d", s.Mixed)
	if s.Crossover > 1 {
		text += fmt.Sprintf("; below position %d three cost nothing", s.Crossover)
	}
	return text
}

// plain replaces what a terminal would act on.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if hidden(r) {
			return ' '
		}
		return r
	}, s)
}
