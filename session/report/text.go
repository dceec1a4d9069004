package report

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"stillhand/coach"
	"stillhand/session"
)

// Text writes the review for a person: first a summary to be read in ten
// seconds (what to change, notes read, both counts, both systems), then the
// advice, then every shift, with bar and beat where bars knows them. bars may
// be nil.
func Text(w io.Writer, r *session.Review, bars Bars) error {
	b := bufio.NewWriter(w)
	writeSummary(b, r, bars)
	writeAdvice(b, r, bars)
	writePhrases(b, r, bars)
	writeShifts(b, r, bars)
	writeMarks(b, r, bars)
	writeDropped(b, r, bars)
	return b.Flush()
}

func writeSummary(b io.Writer, r *session.Review, bars Bars) {
	fmt.Fprintln(b, plain(r.Source))
	wrapped(b, "", headline(r, bars))
	for _, warning := range r.Input.Warnings {
		wrapped(b, "  ", "Warning: "+plain(warning))
	}
	fmt.Fprintln(b)
	notes := fmt.Sprintf("%d read", len(r.Notes))
	if n := r.Input.Slid; n > 0 {
		notes += fmt.Sprintf(" (%d by a slide, not struck)", n)
	}
	if n := len(r.Input.Dropped); n > 0 {
		notes += fmt.Sprintf(", %d dropped", n)
	}
	entry(b, "notes", notes+", "+stringsTold(r))
	if r.Input.Channels != "" {
		entry(b, "strings", plain(r.Input.Channels))
	}
	if r.Input.Track != "" {
		entry(b, "track", plain(r.Input.Track))
	}
	if capo := capoText(r); capo != "" {
		entry(b, "capo", capo)
	}
	entry(b, "hand", sureText(r)+toldText(r))
	entry(b, "shifts", playedText(r))
	entry(b, "reach", reachText(r))
	fmt.Fprintln(b)

	t := tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprint(t, "\tfewest\tas you go\ttravel\tleast travel\twidest stretch\t\n")
	for _, s := range coach.Systems {
		v, ok := r.Systems[s.Name]
		if !ok {
			continue
		}
		name := s.Name + " fingers"
		if s.Name == r.Fingers {
			name = ownName(s.Name, len(r.Changed) > 1)
		}
		fmt.Fprintf(t, "%s\t%d\t%d\t%d\t%d\t%s\t\n", name, v.Fewest, v.AsYouGo, v.TravelFrets, v.LeastTravelFrets, millimetres(v.WidestMM))
	}
	fmt.Fprintf(t, "mixed\t%d\t\t%d\t\t\t\n", r.Mixed.Fewest, r.Mixed.TravelFrets)
	t.Flush()
	for _, line := range mixedLines(r) {
		wrapped(b, "  ", line)
	}
}

// mixedLines puts the mixed plan into words.
func mixedLines(r *session.Review) []string {
	var lines []string
	if slices.ContainsFunc(r.Regions, func(at session.ReviewRegion) bool { return at.Notes > 0 }) {
		lines = append(lines, fmt.Sprintf("Mixed, either system where it costs less: three fingers for %s per cent of the fretted notes.", trim(100*r.Mixed.ThreeShare, 0)))
	}
	if four := r.Systems[coach.Four.Name]; leftOut(r) {
		lines = append(lines, fmt.Sprintf("Four fingers alone would need %s, but with a stretch of %s, beyond your reach of %s: the mixed plan leaves them out there.",
			times(float64(four.Fewest), "shift"), millimetres(four.WidestMM), reachText(r)))
	}
	if line := crossoverLine(r, true); line != "" {
		lines = append(lines, line)
	}
	if r.Looks != "" {
		lines = append(lines, fmt.Sprintf("The playing looks more like %s than like the %s that were declared.", fingersOf(r.Looks), fingersOf(r.Fingers)))
	}
	return lines
}

// leftOut reports whether the reach is why the mixed plan needs more shifts than
// four fingers alone, which it may use.
func leftOut(r *session.Review) bool {
	return r.ReachMM != nil && r.Systems[coach.Four.Name].Fewest < r.Mixed.Fewest
}

// crossoverLine says from which position on four fingers save moves, and if asked
// where the reach forbids it.
func crossoverLine(r *session.Review, reach bool) string {
	at := r.Mixed.CrossoverFret
	if at <= 0 {
		return ""
	}
	var regions []coach.Region
	for _, x := range r.Regions {
		regions = append(regions, coach.Region{Position: x.Position, Notes: x.Notes, Four: x.Four, Three: x.Three})
	}
	line := crossoverText(regions)
	if reach {
		line += within(r, at)
	}
	return line + "."
}

// within says where four fingers lie within the reach, if not from position
// from up.
func within(r *session.Review, from int) string {
	neck, err := neckOf(r)
	if err != nil || r.ReachMM == nil {
		return ""
	}
	switch first := coach.LowestWithin(neck, min(coach.Four.Width(), neck.Frets), *r.ReachMM); {
	case first == 0:
		return ", but lie nowhere within your reach"
	case first > from:
		return fmt.Sprintf(", but lie within your reach only from position %d up", first)
	}
	return ""
}

func writeAdvice(b io.Writer, r *session.Review, bars Bars) {
	if len(r.Advice) == 0 {
		fmt.Fprint(b, "\nAdvice\n  nothing to say\n")
		return
	}
	fmt.Fprint(b, "\nAdvice (window by window, string by string; 0 is an open string)\n")
	for _, a := range r.Advice {
		wrapped(b, "  ", fmt.Sprintf("%s to %s: %s", capital(point(bars, a.From)), point(bars, lastOnset(r, a)), plain(a.Text)))
		if way := fingering(a); way != "" {
			wrapped(b, "      ", way)
		}
	}
}

// listedLine says why a list of shifts and their count differ.
const listedLine = "Listed is each note at which a shift is at least as likely as not; the count also adds up smaller chances and what the notes force without telling where, so it can be more, and between two listed shifts there may be another."

// What a ? after a position moved from or to is.
const (
	fromMeans = "from with ?: where the hand most likely was if it moved here, a guess; the note before is told at another position, the likeliest of all."
	toMeans   = "to with ?: where it went is less than four-fifths sure, and so are the frets and mm, also where a shift is sure."
)

func writeShifts(b io.Writer, r *session.Review, bars Bars) {
	fmt.Fprint(b, "\nShifts\n")
	if trim(r.Count.Likely, 0) != strconv.Itoa(len(r.Shifts)) {
		wrapped(b, "  ", listedLine)
	}
	if line := reachedLine(r); line != "" {
		wrapped(b, "  ", line)
	}
	if len(r.Shifts) == 0 {
		fmt.Fprintln(b, "  none")
		return
	}
	_, _, inBars := barOf(bars, r.Shifts[0].At)
	// Of a column with a ? the figures stand under each other.
	column := func(text func(*session.Review, session.ReviewShift) string) (of func(session.ReviewShift) string, doubted bool) {
		doubted = slices.ContainsFunc(r.Shifts, func(s session.ReviewShift) bool { return strings.HasSuffix(text(r, s), "?") })
		return func(s session.ReviewShift) string {
			t := text(r, s)
			if doubted && !strings.HasSuffix(t, "?") {
				t += " "
			}
			return t
		}, doubted
	}
	from, fromDoubted := column(fromText)
	to, toDoubted := column(toText)
	row := func(cells []string, s session.ReviewShift) []string {
		if inBars {
			bar, beat, _ := barOf(bars, s.At)
			cells = append(cells, strconv.Itoa(bar), trim(beat, 2))
		}
		return append(cells, clock(s.At), from(s), to(s), strconv.Itoa(int(s.Frets)),
			trim(s.MM, 0), gapText(s), kindText(s))
	}
	head := []string{"time", "from", "to", "frets", "mm", "gap ms", ""}
	if inBars {
		head = append([]string{"bar", "beat"}, head...)
	}
	// A dense file has hundreds of thousands of shifts, so the rows are made
	// twice, first to be measured, and never held together.
	last := len(head) - 1
	var wide [9]int
	var cells []string
	measure := func(row []string) {
		for i, cell := range row[:last] {
			wide[i] = max(wide[i], len(cell))
		}
	}
	measure(head)
	for _, s := range r.Shifts {
		cells = row(cells[:0], s)
		measure(cells)
	}
	put := func(row []string) {
		for i, cell := range row[:last] {
			fmt.Fprintf(b, "%*s", wide[i]+2, cell)
		}
		if row[last] != "" {
			fmt.Fprintf(b, "  %s", row[last])
		}
		fmt.Fprintln(b)
	}
	put(head)
	for _, s := range r.Shifts {
		cells = row(cells[:0], s)
		put(cells)
	}
	if fromDoubted {
		wrapped(b, "  ", fromMeans)
	}
	if toDoubted {
		wrapped(b, "  ", toMeans)
	}
}

// gapText is the time the hand had. Past ten seconds its length tells nothing,
// and where the note before sounds on, by how much tells nothing of the hand: a
// string left ringing or a release that came late or never.
func gapText(s session.ReviewShift) string {
	switch {
	case s.GapMS > 10_000:
		return "rest"
	case s.GapMS < 0:
		return "overlap"
	}
	return trim(s.GapMS, 0)
}

func kindText(s session.ReviewShift) string {
	if s.Kind == "sure" {
		return "sure"
	}
	if s.Probability >= 0.995 { // nearly sure is not sure
		return plain(s.Kind) + " >0.99"
	}
	return fmt.Sprintf("%s %.2f", plain(s.Kind), s.Probability)
}

func writeMarks(b io.Writer, r *session.Review, bars Bars) {
	if len(r.Marks) == 0 {
		return
	}
	fmt.Fprint(b, "\nMarks\n")
	for _, m := range r.Marks {
		wrapped(b, "  ", point(bars, m.At)+": "+plain(m.Text))
	}
}

func writeDropped(b io.Writer, r *session.Review, bars Bars) {
	if len(r.Input.Dropped) == 0 {
		return
	}
	fmt.Fprint(b, "\nDropped from analysis\n")
	for _, d := range r.Input.Dropped {
		wrapped(b, "  ", fmt.Sprintf("%s: %s, %s", point(bars, d.At), coach.PitchName(d.Pitch), plain(d.Reason)))
	}
}

func stringsTold(r *session.Review) string {
	if r.Input.Strings == "known" {
		return "strings told by the input"
	}
	return "strings inferred from pitch"
}

// capoText says from where frets count; "" without a capo.
func capoText(r *session.Review) string {
	if r.Neck.Capo == 0 {
		return ""
	}
	return fmt.Sprintf("frets count from the capo at fret %d", r.Neck.Capo)
}

func reachText(r *session.Review) string {
	if r.ReachMM == nil {
		return "not known (stillhand reach finds it)"
	}
	return millimetres(*r.ReachMM)
}
