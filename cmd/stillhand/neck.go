package main

import (
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"stillhand/coach"
	"stillhand/session"
)

// scales are instruments to compare a neck with, by their usual scale length
// in inches (common practice).
var scales = []struct {
	name string
	inch float64
}{{"bass", 34}, {"short", 30}, {"double", 41.5}, {"guitar", 25}}

func neckCommand(w *world) *cobra.Command {
	var against string
	c := &cobra.Command{
		Use: "neck", Short: "This neck's frets, windows and stretches, both systems, against the reach",
		Long: `This neck's frets, windows and stretches, both systems, against the reach:
for every position the stretch in mm of four and of three fingers, and the
fingers drawn to scale.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			who, err := whoPlays(w, cmd, nil)
			if err != nil {
				return err
			}
			n := who.setup.Neck
			text := w.neckHead(n, who.setup.ReachMM)
			if against != "" {
				mm, err := parseScale(against)
				if err != nil {
					return usage("--against: %v", err)
				}
				other := coach.Neck{Open: n.Open, Frets: n.Frets, ScaleMM: mm}
				if err := other.Validate(); err != nil {
					return usage("--against: %v", err)
				}
				text += neckAgainst(n, other, who.setup.ReachMM)
			} else {
				text += w.neckTable(n, who.setup.ReachMM)
			}
			_, err = fmt.Fprint(w.out, text)
			return err
		},
	}
	addSettings(c)
	withoutScreen(c)
	c.Flags().StringVar(&against, "against", "", "compare with another scale: bass, short, double, guitar, or a length like 32in")
	names := make([]string, len(scales))
	for i, s := range scales {
		names[i] = s.name
	}
	offer(c, "against", oneOf(names...))
	return c
}

// parseScale reads the name of an instrument or a length, in mm.
func parseScale(text string) (float64, error) {
	for _, s := range scales {
		if s.name == text {
			return s.inch * coach.MillimetresPerInch, nil
		}
	}
	mm, err := session.ParseLength(text)
	if err != nil {
		return 0, fmt.Errorf("%q is neither bass, short, double or guitar nor a length like 32in or 813mm", text)
	}
	return mm, nil
}

func (w *world) neckHead(n coach.Neck, reachMM float64) string {
	names := make([]string, n.Strings())
	for i, open := range n.Open {
		names[n.Strings()-1-i] = coach.PitchName(open)
	}
	head := w.paragraph("", fmt.Sprintf("Strings %s, %s, scale %.1f mm", strings.Join(names, " "), coach.Many(n.Frets, "fret"), n.ScaleMM))
	reach := "Reach not known: find it with stillhand reach, or give --reach"
	if reachMM > 0 {
		reach = fmt.Sprintf("Reach %.0f mm: > marks what lies beyond it", reachMM)
	}
	return head + w.paragraph("", reach) + "\n"
}

// neckTable lists every position with the stretch that each system asks there,
// in mm, and draws the hand that each asks for, all to one scale as wide as the
// terminal has room for.
func (w *world) neckTable(n coach.Neck, reachMM float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%3s %7s", "pos", "nut mm")
	for _, s := range coach.Systems {
		fmt.Fprintf(&b, " %7s", s.Name)
	}
	columns := usualColumns
	if narrow := w.columns(); narrow > 0 {
		columns = min(columns, narrow)
	}
	r := newRuler(n, reachMM, max(leastRuler, columns-b.Len()-len("  ")))
	fmt.Fprintln(&b, strings.TrimRight("  "+r.head(), " "))
	for p := 1; p <= n.Frets; p++ {
		row := fmt.Sprintf("%3d %7.1f", p, n.FretMM(p))
		for _, s := range coach.Systems {
			row += stretchCell(n, p, s, reachMM)
		}
		fmt.Fprintln(&b, strings.TrimRight(row+"  "+r.hand(n, p), " "))
	}
	b.WriteString("\n" + w.paragraph("", "The fingers to scale, in mm: four stand at 1 to 4; three reach as far as =."))
	if reachMM > 0 {
		b.WriteString("The reach is the line |.\n")
	}
	return b.String()
}

// stretchCell is a stretch in eight columns, blank where the neck ends.
func stretchCell(n coach.Neck, p int, s coach.System, reachMM float64) string {
	if p+s.Width()-1 > n.Frets {
		return fmt.Sprintf(" %7s", "")
	}
	stretch, mark := n.StretchMM(p, s.Width()), ""
	if !coach.WithinReach(stretch, reachMM) {
		mark = ">"
	}
	return fmt.Sprintf(" %7s", fmt.Sprintf("%s%.1f", mark, stretch))
}

// neckAgainst puts the same windows of two scale lengths side by side.
func neckAgainst(n, other coach.Neck, reachMM float64) string {
	var b strings.Builder
	// A stretch is L 2^(-p/12) times what depends on the width alone, so that
	// equal stretches lie 12 log2(L/M) frets apart, at every position.
	frets := 12 * math.Log2(n.ScaleMM/other.ScaleMM)
	direction := "higher"
	if frets > 0 {
		direction = "lower"
	}
	fmt.Fprintf(&b, "Against a scale of %.1f mm: every stretch here lies %.1f frets %s there.\n\n", other.ScaleMM, math.Abs(frets), direction)
	fmt.Fprintf(&b, "%3s", "pos")
	for _, s := range coach.Systems {
		fmt.Fprintf(&b, "  %6s: %7s %7s %7s", s.Name, "here", "there", "change")
	}
	fmt.Fprintln(&b)
	for p := 1; p <= n.Frets; p++ {
		row := fmt.Sprintf("%3d", p)
		for _, s := range coach.Systems {
			row += fmt.Sprintf("  %7s%s%s", "", stretchCell(n, p, s, reachMM), stretchCell(other, p, s, reachMM))
			if p+s.Width()-1 <= n.Frets {
				row += fmt.Sprintf(" %+7.1f", other.StretchMM(p, s.Width())-n.StretchMM(p, s.Width()))
			} else {
				row += fmt.Sprintf(" %7s", "")
			}
		}
		fmt.Fprintln(&b, strings.TrimRight(row, " "))
	}
	return b.String()
}
