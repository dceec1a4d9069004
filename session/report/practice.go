package report

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"time"

	"stillhand/coach"
	"stillhand/session/store"
)

// Practice is what practice gave, each kind oldest first.
type Practice struct {
	Attempts []store.Attempt
	Rounds   []store.Round
	Reaches  []store.Reach
}

// result is what one kind of practice gave in one take or on one day.
type result struct {
	of       string // that take or day
	what     string // "ladder, four fingers, frets 9 to 12"
	settings string // of a round: what makes scores comparable
	gave     string // "2 attempts, 1 passed"
}

// by gathers what practice gave under what of tells of each result.
func (p Practice) by(of func(take string, day int) string) []result {
	return slices.Concat(
		gathered(p.Attempts, attemptsText, func(a store.Attempt) result { return result{of: of(a.Take, a.Day), what: rungText(a)} }),
		gathered(p.Rounds, roundsText, func(r store.Round) result {
			return result{of: of(r.Take, r.Day), what: "round " + plain(r.Kind), settings: plain(r.Settings)}
		}),
		gathered(p.Reaches, reachesText, func(r store.Reach) result { return result{of: of(r.Take, r.Day), what: "reach"} }),
	)
}

// gathered puts together those of which about tells the same, in the order of the
// first of each.
func gathered[T any](all []T, text func([]T) string, about func(T) result) []result {
	var results []result
	same := map[result][]T{}
	for _, one := range all {
		r := about(one)
		if same[r] == nil {
			results = append(results, r)
		}
		same[r] = append(same[r], one)
	}
	for i, r := range results {
		results[i].gave = text(same[r])
	}
	return results
}

// inTakes says of each take in which something was practised what it was.
func (p Practice) inTakes() map[string]string {
	texts := map[string]string{}
	for _, r := range p.by(func(take string, _ int) string { return take }) {
		text := r.what + ": " + r.gave
		if before := texts[r.of]; before != "" {
			text = before + "; " + text
		}
		texts[r.of] = text
	}
	delete(texts, "") // what has no take
	return texts
}

// writePractice writes what practice gave on which day; results that compare stand
// under one heading.
func writePractice(b *bytes.Buffer, p Practice) {
	var headings []string
	days := map[string][]string{}
	for _, r := range p.by(func(_ string, day int) string { return time.Unix(int64(day)*86400, 0).UTC().Format(time.DateOnly) }) {
		heading := r.what
		if r.settings != "" {
			heading += ", " + oneOf.Replace(r.settings)
		}
		if days[heading] == nil {
			headings = append(headings, heading)
		}
		days[heading] = append(days[heading], r.of+"  "+r.gave)
	}
	if len(headings) == 0 {
		return
	}
	b.WriteString("Practice\n")
	for _, heading := range headings {
		wrapped(b, "  ", heading)
		for _, day := range days[heading] {
			fmt.Fprintf(b, "    %s\n", day)
		}
	}
	b.WriteByte('\n')
}

// oneOf makes a sentence of a round's settings, which the history keeps with the
// plural always.
var oneOf = strings.NewReplacer(", 1 bars", ", 1 bar", ", 1 shifts", ", 1 shift")

// rungText names the rung of an attempt. What was said of a day without an attempt
// has none.
func rungText(a store.Attempt) string {
	if a.Cell == "" {
		return "ladder"
	}
	return "ladder, " + plain(coach.Rung{Kind: coach.CellKind(a.Cell), System: a.System, Position: a.Position}.Text())
}

func attemptsText(attempts []store.Attempt) string {
	passed, discomfort := 0, coach.NotSaid
	for _, a := range attempts {
		if a.Passed {
			passed++
		}
		discomfort = max(discomfort, a.Discomfort)
	}
	var parts []string
	switch {
	case attempts[0].Cell == "":
	case len(attempts) > 1:
		parts = append(parts, fmt.Sprintf("%d attempts, %d passed", len(attempts), passed))
	case passed == 1:
		parts = append(parts, "passed")
	default:
		parts = append(parts, "not yet")
	}
	if discomfort != coach.NotSaid {
		parts = append(parts, fmt.Sprintf("discomfort %d of 10", discomfort))
	}
	return strings.Join(parts, ", ")
}

func roundsText(rounds []store.Round) string {
	best, found := store.BestRound(rounds, rounds[0].Kind, rounds[0].Settings)
	score := "no score"
	if found {
		score = fmt.Sprintf("%d of %d", best.Points, best.Of)
	}
	switch n := len(rounds); {
	case n == 1:
		return score
	case found:
		return fmt.Sprintf("%d rounds, best %s", n, score)
	default:
		return fmt.Sprintf("%d rounds, %s", n, score)
	}
}

// reachesText is the last answer, which is the one that holds.
func reachesText(reaches []store.Reach) string {
	r := reaches[len(reaches)-1]
	least := ""
	if r.AtLeast {
		least = "at least "
	}
	return fmt.Sprintf("%s%s, %s fingers at position %d", least, millimetres(r.MM), plain(r.System), r.Position)
}

type historyAttempt struct {
	At         string   `json:"at"`
	Take       string   `json:"take,omitempty"`
	Cell       string   `json:"cell"` // empty where only discomfort was said
	System     string   `json:"system"`
	Position   int      `json:"position"`
	Passed     bool     `json:"passed"`
	Asked      int      `json:"asked"`
	Heard      int      `json:"heard"`
	InOrder    bool     `json:"in_order"`
	OneWindow  float64  `json:"one_window"`
	Evenness   *float64 `json:"evenness"`
	Connection *float64 `json:"connection"`
	Discomfort *int     `json:"discomfort"` // null while not said
}

type historyRound struct {
	At       string `json:"at"`
	Take     string `json:"take,omitempty"`
	Kind     string `json:"kind"`
	System   string `json:"system"`
	Settings string `json:"settings"`
	Points   int    `json:"points"`
	Of       int    `json:"of"`
	Notes    int    `json:"notes"`
	Shifts   int    `json:"shifts"`
	Enough   bool   `json:"enough"` // the score counts
}

type historyReach struct {
	At       string  `json:"at"`
	Take     string  `json:"take,omitempty"`
	MM       float64 `json:"mm"`
	System   string  `json:"system"`
	Position int     `json:"position"`
	AtLeast  bool    `json:"at_least"`
	ScaleMM  float64 `json:"scale_mm"`
}

// put writes what practice gave into doc.
func (p Practice) put(doc *historyDocument, zone *time.Location) {
	written := func(at time.Time) string { return at.In(zone).Format(time.RFC3339) }
	for _, a := range p.Attempts {
		one := historyAttempt{
			At: written(a.At), Take: a.Take, Cell: a.Cell, System: a.System, Position: a.Position, Passed: a.Passed,
			Asked: a.Asked, Heard: a.Heard, InOrder: a.InOrder, OneWindow: a.OneWindow, Evenness: a.Evenness, Connection: a.Connection,
		}
		if a.Discomfort != coach.NotSaid {
			one.Discomfort = &a.Discomfort
		}
		doc.Attempts = append(doc.Attempts, one)
	}
	for _, r := range p.Rounds {
		doc.Rounds = append(doc.Rounds, historyRound{written(r.At), r.Take, r.Kind, r.System, r.Settings, r.Points, r.Of, r.Notes, r.Shifts, r.Enough})
	}
	for _, r := range p.Reaches {
		doc.Reaches = append(doc.Reaches, historyReach{written(r.At), r.Take, r.MM, r.System, r.Position, r.AtLeast, r.ScaleMM})
	}
}
