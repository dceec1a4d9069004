package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"stillhand/coach"
	"stillhand/session"
)

func profileCommand(w *world) *cobra.Command {
	var forget bool
	c := &cobra.Command{
		Use: "profile", Short: "The player's values in force, and where each came from",
		RunE: func(cmd *cobra.Command, _ []string) error {
			who, err := whoPlays(w, cmd, nil)
			if err != nil {
				return err
			}
			if forget {
				who.profile.Habits = coach.Habits{}
				if err := who.profile.Write(); err != nil {
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
				fmt.Fprintf(w.out, "%-8s %-20s %s\n", s.Name, text, origin)
			}
			return nil
		},
	}
	addSettings(c)
	c.Flags().BoolVar(&forget, "forget", false, "forget what the tracker has learnt of your playing")
	return c
}
