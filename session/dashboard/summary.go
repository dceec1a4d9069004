package dashboard

import (
	"fmt"
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// nameColumns is the width of the names of a summary's lines.
const nameColumns = 16

// Summary is what the terminal shows after the player left: ten lines of plain
// text, each ended by a newline; one that is wider than columns goes on below.
func Summary(s *session.Snapshot, columns int) string {
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
		switch {
		case guessed(s):
			hand += ", a guess"
		case provisional(s):
			hand += ", provisional"
		}
	}
	var out strings.Builder
	line := func(name, text string) {
		parts := wrap(plain(text), columns-nameColumns, width)
		if parts == nil {
			parts = []string{""}
		}
		for _, part := range parts {
			fmt.Fprintf(&out, "%-*s%s\n", nameColumns, name, part)
			name = ""
		}
	}
	line("source", s.Source)
	line("played", fmt.Sprintf("%s, %d notes kept, %d cleaned away, %d lost", clock(s.At), s.Notes, s.Dropped, s.Lost))
	fingers := s.System.Name
	if len(s.Declared) > 1 {
		fingers = session.FingersText(s.Declared) + "; your shifts are counted with those declared for each note"
	}
	line("fingers", fingers)
	line("hand", hand)
	line("your shifts", fmt.Sprintf("likely %.1f, at least %d", s.Take.Likely, s.Take.AtLeast))
	line("fewest", each(s.Take.Fewest)+whichWhere(s))
	line("as you go", each(s.Take.AsYouGo))
	line("coach said last", said)
	line("marks", fmt.Sprint(s.Marks))
	fmt.Fprintf(&out, "%-*s%s\n", nameColumns, "take", plain(take)) // in one piece, to be copied
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
