package main

import (
	"errors"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"stillhand/coach"
	"stillhand/session"
	"stillhand/session/store"
)

// words are the values of settings that have names. The others are numbers.
var words = map[string][]string{
	"neck":    coach.PresetNames(),
	"fingers": systemNames(),
	"strings": {"auto", "pitch"},
	"bell":    {"on", "off"},
}

// addSettings gives a command the shared options. They are text here; Setup
// reads them once, wherever they come from.
func addSettings(c *cobra.Command) {
	f := c.Flags()
	for _, s := range session.Settings {
		if s.Name == "input" {
			continue
		}
		f.String(s.Name, s.Default, s.Usage)
		if s.Name == "foot" {
			offer(c, s.Name, bindings)
		} else {
			offer(c, s.Name, oneOf(words[s.Name]...))
		}
	}
	f.Bool("pickup", false, "the input is a pickup: undo its delay, clean its ghosts")
	f.Bool("keyboard", false, "the input is a keyboard: no delay to undo, no ghosts, no string by its channel")
}

// withoutScreen leaves the options of a screen out of the help of a command
// that has none. They are taken all the same, as from the profile.
func withoutScreen(c *cobra.Command) {
	for _, name := range []string{"foot", "bell"} {
		c.Flag(name).Hidden = true
	}
}

// player is who plays: the values in force and the profile behind them.
type player struct {
	values  session.Values
	profile *session.Profile
	setup   session.Setup
}

// whoPlays resolves the values in force; take gives those that a take of our
// own was recorded with, nil otherwise.
func whoPlays(w *world, c *cobra.Command, take func(string) (string, bool)) (*player, error) {
	pickup, _ := c.Flags().GetBool("pickup")
	keyboard, _ := c.Flags().GetBool("keyboard")
	if pickup && keyboard {
		return nil, usage("--pickup and --keyboard contradict each other: give one")
	}
	folder, err := store.ConfigDir()
	if err != nil {
		return nil, err
	}
	profile, err := session.ReadProfile(filepath.Join(folder, "profile.toml"))
	switch {
	case errors.As(err, new(*session.MiswrittenError)): // as a wrong value there is
		return nil, usageError{err}
	case err != nil:
		return nil, err
	}
	flags := func(name string) (string, bool) {
		if name == "input" {
			switch {
			case pickup:
				return "pickup", true
			case keyboard:
				return "keyboard", true
			}
			return "", false
		}
		if !c.Flags().Changed(name) {
			return "", false
		}
		text, err := c.Flags().GetString(name)
		return text, err == nil
	}
	env, strange := session.Environment(w.environ)
	for _, name := range strange {
		w.remind("%s is no setting and is left out: after %s stands one of %s", name, session.EnvPrefix, strings.ToUpper(session.SettingNames()))
	}
	layers := []session.Layer{{Origin: session.FromFlag, Lookup: flags}, env}
	if take != nil {
		layers = append(layers, session.Layer{Origin: session.FromTake, Lookup: take})
	}
	layers = append(layers, session.Layer{Origin: session.FromProfile, Lookup: profile.Lookup, Path: profile.Path})
	p := &player{values: session.Resolve(layers...), profile: profile}
	if p.setup, err = p.values.Setup(); err != nil {
		return nil, usageError{err}
	}
	if take == nil {
		for _, left := range []error{profile.NoReach(), profile.Stale} {
			if left != nil {
				w.remind("%v", left)
			}
		}
	}
	p.setup.Habits = profile.Habits
	return p, nil
}
