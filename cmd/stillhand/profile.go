package main

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"github.com/rivo/uniseg"
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
		Long: `The player's values in force, and where each came from: from an option, else from
the environment (STILLHAND_FINGERS=three), else from the head of the take that is
read, else from the profile (fingers = "three"), whose path stands first.

` + strings.TrimSpace(report.Paragraph("", `With --learn ACTION it waits for a pedal or controller of SOURCE (as for live)
to be pressed, and keeps in the profile that pressing it means ACTION: `+strings.Join(session.ActionNames(), ", ")+".")) +
			"\n\nThey do what the keys m, h, s, w, Up, Down, x, f, Enter, e and u do in the\ndashboard; forget restarts the counts.",
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case learn == "" && len(args) > 0:
				return usage("profile takes a SOURCE only with --learn ACTION")
			case learn != "" && forget:
				return usage("--learn and --forget do not go together: give one")
			}
			who, err := whoPlays(w, cmd, nil)
			if err != nil {
				return err
			}
			if learn != "" {
				return w.learn(cmd.Context(), who, learn, strings.Join(args, ""))
			}
			if forget {
				if err := w.forget(who.profile); err != nil {
					return err
				}
			}
			fmt.Fprintf(w.out, "%s\n\n", who.profile.Path)
			fmt.Fprint(w.out, who.inForce()+"\n"+learntText(who.profile.Habits))
			_, _, err = who.controls()
			return err
		},
	}
	addSettings(c)
	c.Flags().StringVar(&learn, "learn", "", "bind an action to the pedal that is pressed next on SOURCE")
	offer(c, "learn", oneOf(session.ActionNames()...))
	c.Flags().BoolVar(&forget, "forget", false, "forget what the tracker has learnt of your playing")
	return c
}

// forget forgets what was learnt of the player, if anything was.
func (w *world) forget(p *session.Profile) error {
	if p.Habits == (coach.Habits{}) && p.Stale == nil {
		w.notice("nothing was learnt of your playing: there is nothing to forget")
		return nil
	}
	if err := p.Learn(coach.Habits{}); err != nil {
		return err
	}
	w.notice("what was learnt of your playing is forgotten")
	return nil
}

// Width of the column of values: a long one is broken between its parts, so that
// the source beside it stays within 80 columns.
const (
	leastValue = 20
	mostValue  = 50
)

// inForce is a table of the values in force and where each came from.
func (p *player) inForce() string {
	values, width := map[string][]string{}, leastValue
	for _, s := range session.Settings {
		text, _ := p.values.Get(s.Name)
		values[s.Name] = parted(cmp.Or(text, "-"), mostValue)
		for _, line := range values[s.Name] {
			width = max(width, uniseg.StringWidth(line))
		}
	}
	var b strings.Builder
	for _, s := range session.Settings {
		_, origin := p.values.Get(s.Name)
		from := string(origin)
		if s.Name == "reach" && origin == session.FromProfile && p.profile.ReachFound != "" {
			from += ", found " + p.profile.ReachFound
		}
		lines := values[s.Name]
		fmt.Fprintf(&b, "%-8s %s%*s %s\n", s.Name, lines[0], width-uniseg.StringWidth(lines[0]), "", from)
		for _, line := range lines[1:] {
			fmt.Fprintf(&b, "%-8s %s\n", "", line)
		}
	}
	return b.String()
}

// parted is text in lines of at most width columns, broken behind commas alone.
func parted(text string, width int) []string {
	lines := []string{""}
	for _, part := range strings.SplitAfter(text, ",") {
		last := &lines[len(lines)-1]
		if *last != "" && uniseg.StringWidth(*last+part) > width {
			lines = append(lines, part)
		} else {
			*last += part
		}
	}
	return lines
}

// tellingShifts is how many it takes to say anything of how a player moves.
const tellingShifts = 10

// shown says in words how many shifts the gaps show of which so many were found
// unseen: the number is too rough to be given.
func shown(unseen float64) string {
	switch {
	case unseen > 0.55:
		return "half of them or fewer, so that much is guessed"
	case unseen > 0.25:
		return "most of them"
	}
	return "nearly all of them"
}

// learntText says what the tracker has learnt of the player.
func learntText(h coach.Habits) string {
	if h.Notes < 1 {
		return "Nothing learnt of your playing yet: stillhand live learns as you play.\n"
	}
	shifts := "too few shifts yet to tell whether you plan ahead"
	if h.Shifts >= tellingShifts {
		shifts = fmt.Sprintf("planning ahead explains them with %.0f per cent", 100*h.Ahead())
	}
	if h.Hidden+h.Shown >= tellingShifts {
		shifts += "; gaps show " + shown(h.Unseen())
	}
	bound, silent := h.Touch()
	return fmt.Sprintf(`Learnt of your playing, from %s:
  shifts     about %.0f in a hundred notes; %s
  open       about %.0f in a hundred notes on open strings
  touch      %.0f in a hundred notes bound to the next; the others silent for %.0f per cent of their time
  overlap    %.0f in a hundred bound notes ring on into one on another string
`, coach.Many(int(math.Round(h.Notes)), "note"), 100*h.ShiftRate(), shifts, 100*h.OpenShare(), 100*bound, 100*silent, 100*h.Overlap())
}
