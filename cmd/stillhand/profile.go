package main

import (
	"fmt"
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
				err := who.profile.Update(func(p *session.Profile) { p.Habits = coach.Habits{} })
				if err != nil {
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
			return nil
		},
	}
	addSettings(c)
	c.Flags().StringVar(&learn, "learn", "", "bind an action to the pedal that is pressed next on SOURCE")
	c.Flags().BoolVar(&forget, "forget", false, "forget what the tracker has learnt of your playing")
	return c
}

// learntText says what the tracker has learnt of the player.
func learntText(h coach.Habits) string {
	if h.Notes < 1 {
		return "Nothing learnt of your playing yet: stillhand live learns as you play.\n"
	}
	bound, silent := h.Touch()
	same, other := h.Overlaps()
	return fmt.Sprintf(`Learnt of your playing, from %.0f notes:
  shifts     %.0f in a hundred notes
  open       %.0f in a hundred notes that could be
  ahead      %.0f per cent sure that you plan ahead
  touch      %.0f in a hundred notes bound to the next; the others usually silent for %.0f per cent of the time to it
  overlap    %.0f in a hundred notes still sound when the next is struck on another string, %.0f on the same
`, h.Notes, 100*h.ShiftRate(), 100*h.OpenShare(), 100*h.Ahead(), 100*bound, 100*silent, 100*other, 100*same)
}
