package dashboard

import (
	"fmt"
	"math"
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// nameColumns is the width of the names of a summary's lines.
const nameColumns = 16

// Summary is what the terminal shows after the player left: ten lines of plain
// text, each ended by a newline; one that is wider than columns goes on below, if
// columns is not 0. Its figures are of all that was played, so s is what Whole
// returned.
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
		hand = fmt.Sprintf("last at %s, %s sure", s.Neck.Window(s.System, p, "-"), session.Percent(s.Hand.Probability))
		switch {
		case s.Stale:
			hand += ", before the hold"
		case guessed(s):
			hand += ", a guess"
		case provisional(s):
			hand += ", provisional"
		}
	}
	if columns == 0 {
		columns = math.MaxInt
	}
	var out strings.Builder
	line := func(name, text string) {
		parts := wrap(strings.Map(session.Printable, text), columns-nameColumns, width)
		if parts == nil {
			parts = []string{""}
		}
		for _, part := range parts {
			fmt.Fprintf(&out, "%-*s%s\n", nameColumns, name, part)
			name = ""
		}
	}
	line("source", s.Source)
	line("played", playedText(s))
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
	out.WriteString(PathLines(fmt.Sprintf("%-*s", nameColumns, "take"), take, columns))
	return out.String()
}

// playedText says how much was played, and what of it is not in the figures.
func playedText(s *session.Snapshot) string {
	where := "a sitting of " + clock(s.At)
	if r := s.Replay; r != nil {
		where = fmt.Sprintf("the first %s of a recording of %s", clock(r.At), clock(r.Length))
	}
	text := fmt.Sprintf("%s in %s, %s kept, %d cleaned away", clock(s.Played), where, coach.Many(s.Notes, "note"), s.Dropped)
	if s.OnHold > 0 {
		text += fmt.Sprintf(", %d on hold", s.OnHold)
	}
	text += fmt.Sprintf(", %d lost", s.Lost)
	if s.Restarted {
		text += "; the figures are of all of it, also from before the counts were restarted"
	}
	return text
}

// PathLines says a path after head, on lines that end with a newline.
// A path that is wider than what is left of the line has one of its own, and one
// that is wider than columns is broken before its last name alone: that name is
// copied in one piece. With no columns it is one line.
func PathLines(head, path string, columns int) string {
	path = strings.Map(session.Printable, path)
	cut := strings.LastIndexAny(path, `/\`) + 1
	switch {
	case columns == 0, width(head+path) <= columns:
		return head + path + "\n"
	case width(path) <= columns || cut == 0:
		return strings.TrimSpace(head) + "\n" + path + "\n"
	}
	return strings.TrimSpace(head) + "\n" + path[:cut] + "\n" + path[cut:] + "\n"
}

// whichWhere says what either system, and where, would have cost least.
func whichWhere(s *session.Snapshot) string {
	if len(s.Take.Fewest) == 0 {
		return ""
	}
	text := fmt.Sprintf(", mixed %d", s.Mixed)
	if s.ReachMM > 0 && s.Take.Fewest[coach.Four.Name] < s.Mixed { // nothing else makes it need more
		text += fmt.Sprintf(" (four fingers left out beyond your reach of %.0f mm)", s.ReachMM)
	}
	if s.Crossover > 1 {
		text += fmt.Sprintf("; below position %d three cost no more", s.Crossover)
	}
	return text
}
