package report

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"stillhand/coach"
)

// CompareJSON writes c as the one document of `compare --json`, laid out and
// rounded like JSON.
func CompareJSON(w io.Writer, c *Comparison) error { return writeDocument(w, c) }

// say puts the differences into sentences: whether it is one phrase at all, the
// hand, then the notes, then the touch.
func (c *Comparison) say() []string {
	var said []string
	a, b := c.A, c.B
	if !c.samePhrase() {
		said = append(said, fmt.Sprintf("These are not the same phrase: %s, so what follows says little.", c.shared()))
	}
	switch d := b.Likely - a.Likely; {
	case len(c.reviews[0].Notes) == 0 || len(c.reviews[1].Notes) == 0:
		return []string{"One of the takes has no note, so there is nothing to compare."}
	case math.IsNaN(d) || math.Abs(d) < 1:
		said = append(said, fmt.Sprintf("Both hands shift about as often (A %s, B %s).", a.likely(), b.likely()))
	case d > 0:
		said = append(said, fewer("A", a, "B", b))
	default:
		said = append(said, fewer("B", b, "A", a))
	}
	switch n := c.Notes; {
	case !n.Complete:
		said = append(said, fmt.Sprintf("The takes have too little in common to be compared to the end: compared were %s and %s, with %d wrong, %d missing and %d extra in B.",
			a.compared("A"), b.compared("B"), n.Wrong, n.Missing, n.Extra))
	case n.Wrong+n.Missing+n.Extra > 0:
		said = append(said, fmt.Sprintf("Against A, B has %d wrong, %d missing and %d extra of %s.", n.Wrong, n.Missing, n.Extra, coach.Many(b.Notes, "note")))
	default:
		said = append(said, "Both play the same notes.")
	}
	if n := c.Notes.OtherPlace - c.Notes.OtherPlaceUnsure; n > 0 {
		said = append(said, fmt.Sprintf("%s the same, played in another place.", capital(times(float64(n), "note")+isOrAre(n))))
	}
	if n := c.Notes.OtherPlaceUnsure; n > 0 {
		said = append(said, fmt.Sprintf("%s the same, perhaps played in another place: where is less than four-fifths sure.", capital(times(float64(n), "note")+isOrAre(n))))
	}
	if n := c.Notes.OtherHand - c.Notes.OtherHandUnsure; n > 0 {
		said = append(said, fmt.Sprintf("%s the same in the same place, played from another position.", capital(times(float64(n), "note")+isOrAre(n))))
	}
	if n := c.Notes.OtherHandUnsure; n > 0 {
		said = append(said, fmt.Sprintf("%s the same in the same place, perhaps played from another position: that is less than four-fifths sure.", capital(times(float64(n), "note")+isOrAre(n))))
	}
	said = append(said, touched("more even", a.Evenness, b.Evenness, -1)...)
	return append(said, touched("more connected", a.Connection, b.Connection, 1)...)
}

// compared says how much of a take was compared.
func (t ComparedTake) compared(name string) string {
	if t.Compared == t.Notes {
		return "all of " + name
	}
	return fmt.Sprintf("the first %d of %s's %s", t.Compared, name, coach.Many(t.Notes, "note"))
}

// leastShared is the share of the longer take's notes that two takes of one
// phrase have in common at least: ours.
const leastShared = 0.5

// samePhrase reports whether the takes can be two of one phrase.
func (c *Comparison) samePhrase() bool {
	return float64(c.Notes.Same) >= leastShared*float64(max(c.A.Notes, c.B.Notes))
}

// shared says how little takes of different phrases have in common.
func (c *Comparison) shared() string {
	long := c.A
	if c.B.Notes > c.A.Notes {
		long = c.B
	}
	longer := fmt.Sprintf("of the longer one's %s", coach.Many(long.Notes, "note"))
	if long.Compared < long.Notes {
		longer = fmt.Sprintf("of the longer one's first %s", coach.Many(long.Compared, "note"))
	}
	switch c.Notes.Same {
	case 0:
		return "none " + longer + " matches"
	case 1:
		return "only 1 " + longer + " matches"
	}
	return fmt.Sprintf("only %d %s match", c.Notes.Same, longer)
}

// fewer says how many shifts one take gets by without, and names the fingers
// where they differ.
func fewer(name string, take ComparedTake, otherName string, other ComparedTake) string {
	saved := times(math.Round(other.Likely-take.Likely), "shift")
	figures := fmt.Sprintf("(%s against %s)", take.likely(), other.likely())
	if mine, theirs := take.fingers(), other.fingers(); mine != theirs {
		return fmt.Sprintf("%s, with %s fingers, gets by with about %s fewer than %s with %s %s.", name, mine, saved, otherName, theirs, figures)
	}
	return fmt.Sprintf("%s gets by with about %s fewer than %s %s.", name, saved, otherName, figures)
}

func isOrAre(n int) string {
	if n == 1 {
		return " is"
	}
	return " are"
}

// A difference of touch below this is not worth a sentence: ours.
const touchDiffers = 0.03

// touched says which take does better, if either does; sign is 1 where more is
// better.
func touched(better string, a, b, sign float64) []string {
	d := sign * (a - b)
	switch {
	case math.IsNaN(d) || math.Abs(d) < touchDiffers:
		return nil
	case d > 0:
		return []string{fmt.Sprintf("A is %s (%s against %s).", better, percent(a), percent(b))}
	default:
		return []string{fmt.Sprintf("B is %s (%s against %s).", better, percent(b), percent(a))}
	}
}

func percent(f float64) string {
	if math.IsNaN(f) {
		return "unknown"
	}
	return trim(100*f, 0) + "%"
}

// CompareText writes the comparison for a person: what differs in a few
// sentences, the figures side by side, then every place where the takes part.
// barsA and barsB may be nil.
func CompareText(w io.Writer, c *Comparison, barsA, barsB Bars) error {
	var b bytes.Buffer
	fmt.Fprintf(&b, "A  %s\nB  %s\n", plain(c.A.Source), plain(c.B.Source))
	for _, sentence := range c.Said {
		wrapped(&b, "", sentence)
	}
	fmt.Fprintln(&b)
	t := tabwriter.NewWriter(&b, 0, 0, 3, ' ', tabwriter.AlignRight)
	fmt.Fprint(t, "\tA\tB\t\n")
	for _, row := range c.rows() {
		fmt.Fprintf(t, "%s\t%s\t%s\t\n", row.Name, row.A, row.B)
	}
	t.Flush()
	wrapped(&b, "  ", evennessMeans)
	fmt.Fprint(&b, "\nWhere they part\n")
	if c.guessed() {
		wrapped(&b, "  ", guessMeans)
	}
	if len(c.Partings) == 0 {
		wrapped(&b, "  ", c.nowhere())
	}
	for _, p := range c.Partings {
		wrapped(&b, "  ", fmt.Sprintf("%s: %s", c.where(p, barsA, barsB), p.Text))
	}
	_, err := w.Write(b.Bytes())
	return err
}

// nowhere is said where the takes part nowhere, as far as that is known.
func (c *Comparison) nowhere() string {
	places, doubtful := "in the same places", 0
	for _, col := range c.Columns {
		if col.A != nil && col.B != nil && (fingerUnsure(c.reviews[0], c.reviews[0].Notes[*col.A]) || fingerUnsure(c.reviews[1], c.reviews[1].Notes[*col.B])) {
			doubtful++
		}
	}
	if c.Notes.OtherHand > 0 {
		places += ", though not all from the same positions"
	}
	if doubtful == 0 {
		return "Nowhere: the same notes " + places + ", with the same shifts."
	}
	same := "probably " + places + ", with the same shifts; where or with which finger"
	if c.A.Strings == "known" && c.B.Strings == "known" {
		same = places + ", probably with the same shifts; where the hand lay"
	}
	return fmt.Sprintf("Nowhere that is known: the same notes %s is less than four-fifths sure for %d of %s.", same, doubtful, coach.Many(len(c.Columns), "note"))
}

// guessed reports whether a sentence on where the takes part has a ?.
func (c *Comparison) guessed() bool {
	return slices.ContainsFunc(c.Partings, func(p Parting) bool { return strings.Contains(p.Text, "?") })
}

const guessMeans = "? marks what is less than four-fifths sure; after where a hand moved from, that the note before is told elsewhere."

const evennessMeans = "Evenness: how far the intervals meant equal stray from it, 0% a machine. Connected: of neighbouring notes without a shift, those that leave no break."

// where is when the takes part: bar and beat where both files have them and
// the time where not; once if both agree, and only in the take that has the note
// where the other has none.
func (c *Comparison) where(p Parting, barsA, barsB Bars) string {
	a, b := clock(p.FromA), clock(p.FromB)
	barA, beatA, okA := barOf(barsA, p.FromA)
	barB, beatB, okB := barOf(barsB, p.FromB)
	if okA && okB {
		a, b = fmt.Sprintf("bar %d beat %s", barA, trim(beatA, 2)), fmt.Sprintf("bar %d beat %s", barB, trim(beatB, 2))
	}
	switch first := c.Columns[p.From]; {
	case first.B == nil:
		return "A " + a
	case first.A == nil:
		return "B " + b
	case a == b:
		return capital(a)
	}
	return fmt.Sprintf("A %s, B %s", a, b)
}

type comparedRow struct{ Name, A, B string }

// rows are the figures side by side.
func (c *Comparison) rows() []comparedRow {
	row := func(name string, of func(ComparedTake) string) comparedRow {
		return comparedRow{name, of(c.A), of(c.B)}
	}
	return []comparedRow{
		row("fingers", ComparedTake.fingers),
		row("strings", func(t ComparedTake) string {
			if t.Strings == "known" {
				return "told"
			}
			return "inferred"
		}),
		row("notes", func(t ComparedTake) string { return fmt.Sprint(t.Notes) }),
		row("of them, hand unsure", func(t ComparedTake) string { return fmt.Sprint(t.Unsure) }),
		row("length", func(t ComparedTake) string { return clock(t.LengthS) }),
		row("shifts, at least", func(t ComparedTake) string { return fmt.Sprint(t.AtLeast) }),
		row("shifts, likely", ComparedTake.likely),
		row("fewest, own fingers", func(t ComparedTake) string { return fmt.Sprint(t.Fewest) }),
		row("positions used", func(t ComparedTake) string { return usedText(t.Positions, t.PositionsSure) }),
		row("places used", func(t ComparedTake) string { return usedText(t.Places, t.PlacesSure) }),
		row("evenness", func(t ComparedTake) string { return percent(t.Evenness) }),
		row("connected", func(t ComparedTake) string { return percent(t.Connection) }),
	}
}

// usedText is how many positions or places were used, and for sure where that is fewer.
func usedText(used, sure int) string {
	if sure == used {
		return fmt.Sprint(used)
	}
	return fmt.Sprintf("%d (%d sure)", used, sure)
}
