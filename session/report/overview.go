package report

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/rivo/uniseg"

	"stillhand/coach"
	"stillhand/session"
)

// Overview is a line for each of several recordings. The zero value has none.
type Overview struct{ rows []overviewRow }

// overviewRow is one recording: its figures, or why there are none.
type overviewRow struct {
	name     string
	saves    int  // shifts; -1 without figures
	probably bool // some of them
	cells    []string
	why      string
}

// overviewHead is what stands over saves and cells.
var overviewHead = []string{"saves", "at least", "likely", "fewest", "unsure"}

// Add adds a recording that was reviewed. It keeps nothing of the review.
func (o *Overview) Add(r *session.Review) {
	fewest := r.Systems[r.Fingers].Fewest
	if len(r.Changed) > 1 {
		fewest = r.Count.Fewest
	}
	unsure := float64(unsureNotes(r)) / float64(max(1, len(r.Notes)))
	row := overviewRow{name: plain(r.Source), cells: []string{strconv.Itoa(r.Count.AtLeast), likelyText(r), strconv.Itoa(fewest), percent(unsure)}}
	for _, a := range r.Advice {
		row.saves += saving(a)
		row.probably = row.probably || a.Probably && saving(a) > 0
	}
	o.rows = append(o.rows, row)
}

// AddUnread adds a recording that could not be reviewed, and why.
func (o *Overview) AddUnread(name string, why error) {
	text := plain(why.Error())
	if _, after, named := strings.Cut(text, plain(name)+": "); named {
		text = after
	}
	o.rows = append(o.rows, overviewRow{name: plain(name), saves: -1, why: text})
}

// Text writes the lines, each within 78 columns: first where the advice could save
// most shifts, last what could not be reviewed; else in the order in which they were
// added.
func (o *Overview) Text(w io.Writer) error {
	rows := slices.Clone(o.rows)
	slices.SortStableFunc(rows, func(a, b overviewRow) int { return cmp.Compare(b.saves, a.saves) })
	lines, sign := [][]string{overviewHead}, ""
	if slices.ContainsFunc(rows, func(r overviewRow) bool { return r.probably }) {
		sign = " " // without one, so that the figures stand under each other
	}
	for _, r := range rows {
		var cells []string
		if r.cells != nil {
			saves := strconv.Itoa(r.saves) + sign
			if r.probably {
				saves = strconv.Itoa(r.saves) + "?"
			}
			cells = append([]string{saves}, r.cells...)
		}
		lines = append(lines, cells)
	}
	wide, figures := make([]int, len(overviewHead)), 0
	for i := range wide {
		for _, cells := range lines {
			if cells != nil {
				wide[i] = max(wide[i], len(cells[i]))
			}
		}
		figures += len("  ") + wide[i]
	}
	longest := 0
	for _, r := range rows {
		longest = max(longest, uniseg.StringWidth(r.name))
	}
	longest = min(longest, textWidth-len("  ")-figures)

	var b strings.Builder
	fmt.Fprintf(&b, "%s, first where the advice could save most shifts\n", coach.Many(len(rows), "recording"))
	for i, cells := range lines {
		name, why := "", ""
		if i > 0 {
			name, why = withoutMiddle(rows[i-1].name, longest), rows[i-1].why
		}
		b.WriteString("  " + name + strings.Repeat(" ", longest-uniseg.StringWidth(name)))
		for j, cell := range cells {
			fmt.Fprintf(&b, "%*s", len("  ")+wide[j], cell)
		}
		if cells == nil {
			b.WriteString("  " + withoutEnd("not read: "+why, figures-len("  ")))
		}
		b.WriteByte('\n')
	}
	legend := "Saves: shifts, by what is advised within the reach."
	if sign != "" {
		legend += " With ?: some of them only probably."
	}
	wrapped(&b, "  ", legend+" Fewest: with the fingers in force. Unsure: notes at which the hand is less than four-fifths sure.")
	_, err := io.WriteString(w, b.String())
	return err
}

// withoutEnd is a text of at most so many columns: its beginning.
func withoutEnd(text string, columns int) string {
	if uniseg.StringWidth(text) <= columns {
		return text
	}
	head, _ := broken(text, columns-uniseg.StringWidth("…"))
	return strings.TrimRight(head, " ") + "…"
}

// withoutMiddle is a name of at most so many columns: its beginning and its end.
func withoutMiddle(name string, columns int) string {
	wide := uniseg.StringWidth(name)
	if wide <= columns {
		return name
	}
	head, _ := broken(name, columns/2)
	room := columns - uniseg.StringWidth(head) - uniseg.StringWidth("…")
	tail := name
	for cut := wide - room; uniseg.StringWidth(tail) > room; cut++ {
		_, tail = broken(name, cut)
	}
	return head + "…" + tail
}
