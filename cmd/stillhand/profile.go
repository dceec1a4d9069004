package main

import (
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"stillhand/coach"
	"stillhand/session"
	"stillhand/session/report"
)

func profileCommand(w *world) *cobra.Command {
	var forget bool
	var learn string
	c := &cobra.Command{
		Use: "profile [SOURCE]", Short: "The player's values in force, and where each came from",
		Long: "The player's values in force, and where each came from.\n\n" +
			strings.TrimSpace(report.Paragraph("", `With --learn ACTION it waits for a pedal or controller of SOURCE (as for live)
to be pressed, and keeps in the profile that pressing it means ACTION: `+strings.Join(session.ActionNames(), ", ")+".")),
		RunE: func(cmd *cobra.Command, args []string) error {
			if learn == "" && len(args) > 0 {
				return usage("profile takes a SOURCE only with --learn ACTION")
			}
			who, err := whoPlays(w, cmd, nil)
			if err != nil {
				return err
			}
			if learn != "" {
				return w.learn(cmd.Context(), who, learn, strings.Join(args, ""))
			}
			if forget {
				if err := who.profile.Learn(coach.Habits{}); err != nil {
					return err
				}
				w.notice("what was learnt of your playing is forgotten")
			}
			fmt.Fprintf(w.out, "%s\n\n", who.profile.Path)
			for _, s := range session.Settings {
				text, origin := who.values.Get(s.Name)
				if text == "" {
					text = "-"
				}
				from := string(origin)
				if s.Name == "reach" && origin == session.FromProfile && who.profile.ReachFound != "" {
					from += ", found " + who.profile.ReachFound
				}
				fmt.Fprintf(w.out, "%-8s %-20s %s\n", s.Name, text, from)
			}
			fmt.Fprint(w.out, "\n"+learntText(who.profile.Habits))
			_, _, err = who.controls()
			return err
		},
	}
	addSettings(c)
	c.Flags().StringVar(&learn, "learn", "", "bind an action to the pedal that is pressed next on SOURCE")
	c.Flags().BoolVar(&forget, "forget", false, "forget what the tracker has learnt of your playing")
	return c
}

// tellingShifts is how many it takes to say anything of how a player moves.
const tellingShifts = 10

// learntText says what the tracker has learnt of the player.
func learntText(h coach.Habits) string {
	if h.Notes < 1 {
		return "Nothing learnt of your playing yet: stillhand live learns as you play.\n"
	}
	ahead := "too few shifts yet to tell whether you plan ahead"
	if h.Shifts >= tellingShifts {
		ahead = fmt.Sprintf("planning ahead explains them with %.0f per cent", 100*h.Ahead())
	}
	bound, silent := h.Touch()
	return fmt.Sprintf(`Learnt of your playing, from %s:
  shifts     about %.0f in a hundred notes; %s
  open       about %.0f in a hundred notes on open strings
  touch      %.0f in a hundred notes bound to the next; the others silent for %.0f per cent of their time
  overlap    %.0f in a hundred bound notes ring on into one on another string
`, coach.Many(int(math.Round(h.Notes)), "note"), 100*h.ShiftRate(), ahead, 100*h.OpenShare(), 100*bound, 100*silent, 100*h.Overlap())
}
