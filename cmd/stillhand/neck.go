package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"stillhand/coach"
)

func neckCommand(w *world) *cobra.Command {
	c := &cobra.Command{
		Use: "neck", Short: "This neck's frets, windows and stretches, both systems, against the reach",
		RunE: func(cmd *cobra.Command, _ []string) error {
			who, err := whoPlays(w, cmd, nil)
			if err != nil {
				return err
			}
			_, err = fmt.Fprint(w.out, neckTable(who.setup.Neck, who.setup.ReachMM))
			return err
		},
	}
	addSettings(c)
	return c
}

// neckTable lists every position with the stretch that each system asks there.
func neckTable(n coach.Neck, reachMM float64) string {
	var b strings.Builder
	names := make([]string, n.Strings())
	for i, open := range n.Open {
		names[n.Strings()-1-i] = coach.PitchName(open)
	}
	fmt.Fprintf(&b, "Strings %s, %d frets, scale %.1f mm\n", strings.Join(names, " "), n.Frets, n.ScaleMM)
	if reachMM > 0 {
		fmt.Fprintf(&b, "Reach %.0f mm: > marks what lies beyond it\n", reachMM)
	} else {
		fmt.Fprintln(&b, "Reach not known: find it with stillhand reach, or give --reach")
	}
	fmt.Fprintf(&b, "\n%8s %11s", "position", "nut to fret")
	for _, s := range coach.Systems {
		fmt.Fprintf(&b, "  %-20s", s.Name+" fingers")
	}
	fmt.Fprintln(&b)
	for p := 1; p <= n.Frets; p++ {
		fmt.Fprintf(&b, "%8d %8.1f mm", p, n.FretMM(p))
		for _, s := range coach.Systems {
			last := p + s.Width() - 1
			if last > n.Frets {
				fmt.Fprintf(&b, "  %-20s", "")
				continue
			}
			stretch, mark := n.StretchMM(p, s.Width()), " "
			if reachMM > 0 && stretch > reachMM {
				mark = ">"
			}
			fmt.Fprintf(&b, "  %-20s", fmt.Sprintf("%2d to %2d  %s%5.1f mm", p, last, mark, stretch))
		}
		fmt.Fprintln(&b)
	}
	return b.String()
}
