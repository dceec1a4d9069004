package report

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"stillhand/session"
	"stillhand/session/store"
)

// HistoryLayout says how HistoryText writes.
type HistoryLayout struct {
	Days  int  // newest days shown; 0 shows all
	Takes int  // newest takes listed; 0 lists all
	ASCII bool // bars without block characters
}

// barCells is the width of a bar: wide enough to compare days, and the table
// stays within 80 columns.
const barCells = 5

// HistoryText writes days and takes as tables, the newest last, where the
// prompt follows. A bar's full length is the largest value shown in its
// column. A single take is written at length, with what was practised in it alone.
func HistoryText(w io.Writer, h History, layout HistoryLayout) error {
	var b bytes.Buffer
	switch {
	case len(h.Takes) == 0 && h.Earlier == 0 && h.Others > 0:
		wrapped(&b, "", fmt.Sprintf("%s %s: stillhand history without a choice shows all%s.", noneOf(h.Others), plain(h.Choice), tagging(h.Tagged)))
	case len(h.Takes) == 0 && h.Earlier == 0:
		writePractice(&b, h.Practice)
		b.WriteString("No takes yet: what is played with stillhand live is kept and shown here.\n")
	case len(h.Takes) == 1 && h.Earlier == 0:
		writeTake(&b, h.Takes[0], h.Practice.inTakes()[h.Takes[0].File], h.zone())
		if p := h.Practice; !h.Alone && len(p.Attempts)+len(p.Rounds)+len(p.Reaches) > 0 {
			b.WriteByte('\n')
			writePractice(&b, h.Practice)
		}
	default:
		writeDays(&b, h, layout)
		writePractice(&b, h.Practice)
		writeTakes(&b, h, layout)
	}
	_, err := w.Write(b.Bytes())
	return err
}

func noneOf(takes int) string {
	if takes == 1 {
		return "The only take is not"
	}
	return fmt.Sprintf("None of the %d takes is", takes)
}

// tagging is how a take comes to a tag, where one was asked for.
func tagging(asked bool) string {
	if !asked {
		return ""
	}
	return ", and --take with --tag tags one"
}

func writeDays(b *bytes.Buffer, h History, layout HistoryLayout) {
	days, earlier := h.Days, h.Earlier
	if n := layout.Days; n > 0 && n < len(days) {
		for _, d := range days[:len(days)-n] {
			earlier += d.Takes
		}
		days = days[len(days)-n:]
	}
	b.WriteString("Days")
	if earlier > 0 {
		fmt.Fprintf(b, " (takes before them: %d, --since shows them)", earlier)
	}
	b.WriteByte('\n')
	var longest, fastest float64
	for _, d := range days {
		longest = max(longest, d.Played.Minutes())
		fastest = max(fastest, rate(d.Likely, d.Played))
	}
	t := tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
	heading(t, "day", "takes", "minutes", "notes", "shifts", "as you", "low", "high", "widest")
	heading(t, "", "", "played", "", "a minute", "go +", "%", "%", "mm")
	for _, d := range days {
		fmt.Fprintf(t, "%s\t%d\t%s %s\t%d\t%s %s\t%s\t%s\t%s\t%s\t\n", d.Date.Format(time.DateOnly), d.Takes,
			minutesText(d.Played), bar(figure(d.Played.Minutes(), leastMinutes), longest, barCells, layout.ASCII), d.Notes,
			rateText(d.Likely, d.Played), bar(figure(rate(d.Likely, d.Played), 0.1), fastest, barCells, layout.ASCII),
			unforeseenText(d.Unforeseen()), trim(100*d.Low, 0), trim(100*d.High, 0), trim(d.WidestMM, 0))
	}
	t.Flush()
	b.WriteByte('\n')
}

func writeTakes(b *bytes.Buffer, h History, layout HistoryLayout) {
	takes := h.Takes
	b.WriteString("Takes")
	if n := layout.Takes; n > 0 && n < len(takes) {
		takes = takes[len(takes)-n:]
		fmt.Fprintf(b, " (the newest %d of %d)", n, len(h.Takes))
	}
	b.WriteByte('\n')
	var table bytes.Buffer
	t := tabwriter.NewWriter(&table, 0, 0, 2, ' ', tabwriter.AlignRight)
	heading(t, "take", "begun", "minutes", "notes", "shifts", "as you", "low", "high", "widest")
	heading(t, "", "", "played", "", "a minute", "go +", "%", "%", "mm")
	changed := ""
	if slices.ContainsFunc(h.Takes, func(t store.Take) bool { return t.Changed() }) {
		changed = "; - where they changed, and a day's sum is without those takes"
	}
	for _, take := range takes {
		fmt.Fprintf(t, "%s\t%s\t%s\t%d\t%s\t%s\t%s\t%s\t%s\t\n", takeName(take),
			take.Start.In(h.zone()).Format("15:04"), minutesText(take.Played), take.Notes, rateText(take.Likely, take.Played),
			unforeseenText(take.Unforeseen(), !take.Changed()), trim(100*take.Low, 0), trim(100*take.High, 0), trim(take.WidestMM, 0))
	}
	t.Flush()
	practised := h.Practice.inTakes()
	for i, line := range strings.SplitAfter(table.String(), "\n") {
		b.WriteString(line)
		if take := i - headingLines; take >= 0 && take < len(takes) {
			if about := aboutText(takes[take], practised[takes[take].File]); about != "" {
				wrapped(b, "      ", about)
			}
		}
	}
	wrapped(b, "", "\"As you go +\" is what the hand, which cannot see ahead, needs over the fewest shifts known in hindsight, with the fingers in force"+changed+".")
	if len(practised) > 0 {
		wrapped(b, "", "A day's sums hold what was practised too.")
	}
}

func unforeseenText(shifts int, told bool) string {
	if !told {
		return "-"
	}
	return fmt.Sprintf("%+d", shifts)
}

// writeTake writes one take at length.
func writeTake(b *bytes.Buffer, t store.Take, practised string, zone *time.Location) {
	fingers := fingersOf(t.Fingers)
	if t.Changed() {
		fingers = session.FingersText(t.Declared) + " fingers"
	}
	fmt.Fprintf(b, "%s  %s, %s\n", takeName(t), t.Start.In(zone).Format("2 January 2006, 15:04"), fingers)
	if about := aboutText(t, practised); about != "" {
		wrapped(b, "  ", about)
	}
	fmt.Fprintf(b, "\n  played  %s minutes of %s\n  notes   %d, %s low and %s high on the neck\n",
		minutesText(t.Played), minutesText(t.Length), t.Notes, percent(t.Low), percent(t.High))
	// How sure the hand was is not in the history: as finely as for an unsure one.
	fmt.Fprintf(b, "  shifts  at least %d, likely %s, %s a minute\n", t.AtLeast, trim(likely(t.Likely, t.Notes, t.Notes), 1), rateText(t.Likely, t.Played))
	if t.Changed() {
		fmt.Fprintln(b, "          with the fingers declared for each note, which changed on the way")
	}
	if t.WidestMM > 0 {
		fmt.Fprintf(b, "  widest  %s, of the windows that the hand probably took\n", millimetres(t.WidestMM))
	}
	fmt.Fprintln(b)
	table := tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
	heading(table, "", "fewest", "as you go", "travel", "least travel", "widest stretch")
	for _, s := range t.Systems {
		name := plain(s.System) + " fingers"
		if s.System == t.Fingers {
			name = ownName(plain(s.System), t.Changed())
		}
		fmt.Fprintf(table, "%s\t%d\t%d\t%d\t%d\t%s\t\n", name, s.Fewest, s.AsYouGo, s.Travel, s.LeastTravel, millimetres(s.WidestMM))
	}
	table.Flush()
	wrapped(b, "  ", "Widest stretch is that of the fewest shifts, not of what was played.")
	if t.Looks != "" {
		wrapped(b, "  ", fmt.Sprintf("The playing looks more like %s than like the %s that were declared.", fingersOf(t.Looks), fingersOf(t.Fingers)))
	}
}

func takeName(t store.Take) string { return plain(strings.TrimSuffix(t.File, ".mid")) }

// headingLines is how many lines the tables' headings take.
const headingLines = 2

func heading(w io.Writer, columns ...string) {
	fmt.Fprintln(w, strings.Join(columns, "\t")+"\t")
}

// aboutText is what was practised in a take and what is written on it; "" for
// neither.
func aboutText(t store.Take, practised string) string {
	parts := []string{practised, t.Name, t.Student, t.Note}
	for i := range parts {
		parts[i] = plain(parts[i])
	}
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), "; ")
}

func rate(n float64, played time.Duration) float64 {
	if r := perMinute(n, played); r != nil {
		return *r
	}
	return 0
}

func rateText(n float64, played time.Duration) string {
	if played <= 0 {
		return "-"
	}
	return fmt.Sprintf("%.1f", rate(n, played))
}

// leastMinutes is the step in which minutes are written.
const leastMinutes = 0.1

// minutesText is a time in minutes; one too short to be written so is not nothing.
func minutesText(d time.Duration) string {
	if d > 0 && figure(d.Minutes(), leastMinutes) == 0 {
		return fmt.Sprintf("<%g", leastMinutes)
	}
	return fmt.Sprintf("%.1f", d.Minutes())
}

// figure is value, or nothing where it is written to the nearest step as 0: a bar
// beside that would say otherwise.
func figure(value, step float64) float64 {
	if value <= step/2 {
		return 0
	}
	return value
}

// bar draws value against the largest in cells, to an eighth of a cell, padded
// to its full width. What is not nothing shows as something.
func bar(value, largest float64, cells int, ascii bool) string {
	eighths := 0
	if largest > 0 && value > 0 {
		eighths = max(1, int(math.Round(value/largest*float64(8*cells))))
	}
	var s string
	if ascii {
		s = strings.Repeat("=", (eighths+7)/8)
	} else {
		s = strings.Repeat("█", eighths/8)
		if eighths%8 > 0 {
			s += string([]rune(" ▏▎▍▌▋▊▉")[eighths%8])
		}
	}
	return s + strings.Repeat(" ", cells-len([]rune(s)))
}
