package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// headline is what a sheet and a summary begin with: what to change first, or
// that nothing needs it; then where the hand went beyond the reach. Notes off the
// neck and windows beyond the reach forbid to say that nothing needs a change.
func headline(r *session.Review, bars Bars) string {
	if len(r.Notes) == 0 {
		return "No note was read, so there is nothing to say about the hand."
	}
	wide, beyond := overreachOf(r)
	nothing, why := verdict(r, bars)
	text := why
	if nothing != "" && !beyond {
		text = nothing + ": " + why
	}
	if n, many := r.OffNeck(); many && nothing != "" {
		text = fmt.Sprintf("as far as the %d of %s on this neck go, %s", len(r.Notes), coach.Many(n+len(r.Notes), "note"), text)
	}
	text = capital(text)
	if beyond {
		text += " " + wide.said()
	}
	return text
}

// verdict is what to change first, or, with how surely nothing needs it, why
// not. Only what stands alone begins with a capital.
func verdict(r *session.Review, bars Bars) (nothing, why string) {
	for _, a := range ranked(r) {
		if beyondReach(a) {
			continue
		}
		return "", span(bars, a.From, lastOnset(r, a)) + ": " + strings.TrimSuffix(change(a)+". "+plain(a.Price), " ")
	}
	if n := guesses(r); 2*n > len(r.Notes) {
		return "", fmt.Sprintf("where the hand lay is a guess for %d of %s, so there is nothing sure to say about it.", n, coach.Many(len(r.Notes), "note"))
	}
	least := r.Systems[r.Fingers].Fewest
	fewest := fmt.Sprintf("the fewest possible with %s fingers is %d", plain(r.Fingers), least)
	if len(r.Changed) > 1 {
		least = r.Count.Fewest
		fewest = fmt.Sprintf("the fewest possible with the fingers declared, %s, is %d", session.FingersText(r.Changed), least)
	}
	about := fmt.Sprintf("about %s, and %s", times(likely(r.Count.Likely, unsureNotes(r), len(r.Notes)), "shift"), fewest)
	switch {
	case r.Count.AtLeast == 0 && r.Count.Likely < 0.5:
		return stillText(r)
	case r.Count.Likely < float64(least)+1:
		nothing, doubt := "nothing to change", ""
		if n := unsureNotes(r); 2*n > len(r.Notes) {
			nothing, doubt = "probably nothing to change", fmt.Sprintf("; where the hand lay is unsure for %d of %s", n, coach.Many(len(r.Notes), "note"))
		}
		return nothing, about + doubt + "."
	case slices.ContainsFunc(r.Advice, func(a session.ReviewAdvice) bool { return a.ShiftsThen < a.ShiftsNow }):
		return "", about + "; what would save more lies beyond your reach."
	default:
		return "", about + "; no single passage stands out."
	}
}

// change says what a piece of advice asks and what it saves, as an imperative.
func change(a session.ReviewAdvice) string {
	now := coach.Counted(numeral(float64(a.ShiftsNow)), a.Probably, a.More)
	saving := fmt.Sprintf("%s instead of %s", times(float64(a.ShiftsThen), "shift"), now)
	where := windowList(a)
	switch coach.AdviceKind(a.Kind) {
	case coach.AdvicePlace:
		return fmt.Sprintf("play it %s, %s, with %s", where, stringList(a), saving)
	case coach.AdviceRelief:
		return fmt.Sprintf("use %s %s: no more shifts, and a stretch of %s is enough", fingersOf(a.System), where, millimetres(a.StretchMM))
	default:
		return fmt.Sprintf("use %s %s, with %s", fingersOf(a.System), where, saving)
	}
}

// ranked is the advice by weight: within reach before beyond it, then by
// shifts saved, then in the order of the take. Relief claims no saved shift
// and gets no credit for one.
func ranked(r *session.Review) []session.ReviewAdvice {
	out := slices.Clone(r.Advice)
	weight := func(a session.ReviewAdvice) int {
		if beyondReach(a) {
			return math.MaxInt
		}
		return -saving(a)
	}
	slices.SortStableFunc(out, func(a, b session.ReviewAdvice) int {
		return cmp.Or(cmp.Compare(weight(a), weight(b)), cmp.Compare(a.From, b.From))
	})
	return out
}

// saving is how many shifts a piece of advice saves. Relief claims no saved shift
// and gets no credit for one; beyond the reach nothing is recommended.
func saving(a session.ReviewAdvice) int {
	if beyondReach(a) || a.Kind == string(coach.AdviceRelief) {
		return 0
	}
	return a.ShiftsNow - a.ShiftsThen
}

func beyondReach(a session.ReviewAdvice) bool { return a.WithinReach != nil && !*a.WithinReach }

// systemOf is the finger system of a review by its name; the first one where no
// system has it.
func systemOf(name string) coach.System {
	if s, err := coach.ParseSystem(name); err == nil {
		return s
	}
	return coach.Systems[0]
}

// fingersOf names a system with its fingers: "three fingers (1 2 4)".
func fingersOf(name string) string {
	s, err := coach.ParseSystem(name)
	if err != nil {
		return plain(name) + " fingers"
	}
	numbers := make([]string, len(s.Fingers))
	for i, f := range s.Fingers {
		numbers[i] = fmt.Sprint(f.Number)
	}
	return fmt.Sprintf("%s fingers (%s)", s.Name, strings.Join(numbers, " "))
}

// fingersDeclared names the fingers of a review, one after another where they
// changed.
func fingersDeclared(r *session.Review) string {
	if len(r.Changed) > 1 {
		return session.FingersText(r.Changed) + " fingers"
	}
	return fingersOf(r.Fingers)
}

// playedText is the player's own count, with the fingers that it holds for
// where these changed.
func playedText(r *session.Review) string {
	text := fmt.Sprintf("at least %d, likely %s", r.Count.AtLeast, likelyText(r))
	if len(r.Changed) > 1 {
		text += ", with the fingers declared for each note: " + session.FingersText(r.Changed)
	}
	return text
}

// yours marks the player's own system; changed is whether it was not that from
// the start.
func yours(changed bool) string {
	if changed {
		return "yours last"
	}
	return "yours"
}

// ownName is the player's own system in a table of 80 columns.
func ownName(system string, changed bool) string {
	if changed {
		return system + " (" + yours(changed) + ")"
	}
	return system + " fingers (" + yours(changed) + ")"
}

// windowList is where the hand goes in a path: "at frets 5 to 8", "at frets 5
// to 8, then 7 to 10". Longer ways are told by their outer frets.
func windowList(a session.ReviewAdvice) string {
	s, err := coach.ParseSystem(a.System)
	if err != nil {
		return "as drawn"
	}
	var stays []int
	for _, step := range a.Path {
		if at := int(step.Position); step.Fret > 0 && (len(stays) == 0 || stays[len(stays)-1] != at) {
			stays = append(stays, at)
		}
	}
	switch {
	case len(stays) == 0:
		return "on open strings"
	case len(stays) > 3:
		return fmt.Sprintf("in %d places between frets %d and %d", len(stays), slices.Min(stays), slices.Max(stays)+s.Width()-1)
	}
	parts := make([]string, len(stays))
	for i, p := range stays {
		parts[i] = s.Frets(p, " to ")
	}
	return "at frets " + strings.Join(parts, ", then ")
}

// stringList is the strings of a path: "on string 3", "on strings 2, 3 and 4".
func stringList(a session.ReviewAdvice) string {
	var used []int
	for _, step := range a.Path {
		if s := int(step.String); !slices.Contains(used, s) {
			used = append(used, s)
		}
	}
	slices.Sort(used)
	names := make([]string, len(used))
	for i, s := range used {
		names[i] = fmt.Sprint(s)
	}
	switch n := len(names); {
	case n == 0:
		return "on no string"
	case n == 1:
		return "on string " + names[0]
	case n > 2 && n == used[n-1]-used[0]+1:
		return "on strings " + names[0] + " to " + names[n-1]
	}
	return "on strings " + inWords(names)
}

// inWords joins parts as a sentence lists them: "a, b and c".
func inWords(parts []string) string {
	if n := len(parts); n > 1 {
		return strings.Join(parts[:n-1], ", ") + " and " + parts[n-1]
	}
	return strings.Join(parts, "")
}

// times counts things in words: "no shift", "one shift", "17.4 shifts".
func times(n float64, noun string) string {
	switch trim(n, 1) {
	case "0":
		return "no " + noun
	case "1":
		return "one " + noun
	default:
		return numeral(n) + " " + noun + "s"
	}
}

// numeral writes small whole numbers out, so that they do not run into the
// frets and strings beside them.
func numeral(n float64) string {
	small := []string{"none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n >= 0 && n < float64(len(small)) && n == math.Trunc(n) {
		return small[int(n)]
	}
	return trim(n, 1)
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
