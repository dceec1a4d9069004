package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"stillhand/coach"
	"stillhand/session"
	"stillhand/session/store"
)

// offer has a shell complete what comes after an option of c.
func offer(c *cobra.Command, option string, values cobra.CompletionFunc) {
	if err := c.RegisterFlagCompletionFunc(option, values); err != nil {
		panic(err) // no such option
	}
}

// oneOf are words that a shell may complete, and no files.
func oneOf(words ...string) cobra.CompletionFunc {
	return cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)
}

func systemNames() []string {
	var names []string
	for _, s := range coach.Systems {
		names = append(names, s.Name)
	}
	return names
}

// takeNames are the takes that a shell may complete.
func takeNames(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	folder, err := store.DataDir()
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var names []string
	files, _ := os.ReadDir(store.TakesDir(folder))
	for _, f := range files {
		if name, take := strings.CutSuffix(f.Name(), ".mid"); take {
			names = append(names, name)
		}
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}

// recordingNames completes up to most recordings: the takes that begin so, with the
// MIDI files and folders that lie here; where no take does, files as the shell
// completes them, which alone knows how they are quoted.
func recordingNames(most int) cobra.CompletionFunc {
	return func(_ *cobra.Command, given []string, typed string) (names []string, _ cobra.ShellCompDirective) {
		if len(given) >= most {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		takes, _ := takeNames(nil, nil, "")
		for _, take := range takes {
			if strings.HasPrefix(take, typed) {
				names = append(names, take)
			}
		}
		if len(names) == 0 {
			for _, ending := range endings {
				names = append(names, ending[1:], strings.ToUpper(ending[1:]))
			}
			return names, cobra.ShellCompDirectiveFilterFileExt
		}
		here, _ := os.ReadDir(".")
		for _, f := range here {
			switch name := f.Name(); {
			case strings.HasPrefix(name, ".") || !strings.HasPrefix(name, typed):
			case isFolder(name):
				names = append(names, name+string(filepath.Separator))
			case slices.Contains(endings, strings.ToLower(filepath.Ext(name))):
				names = append(names, name)
			}
		}
		return names, cobra.ShellCompDirectiveNoFileComp
	}
}

// students are the tags of the takes. Where there are no takes no history is made
// to look for them.
func students(c *cobra.Command, _ []string, _ string) (tags []string, _ cobra.ShellCompDirective) {
	if folder, err := store.DataDir(); err == nil && isFolder(store.TakesDir(folder)) {
		_ = withHistory(c.Context(), func(h *store.History) (err error) {
			tags, err = h.Students(c.Context())
			return err
		})
	}
	return tags, cobra.ShellCompDirectiveNoFileComp
}

// Controllers that are pedals (MIDI 1.0: 64 damper, 65 portamento, 66 sostenuto, 67
// soft, 68 legato, 69 hold 2).
const (
	firstPedal = 64
	endPedal   = 70
)

// bindings completes one pedal binding like "cc64=mark", its controller and then its
// action. A second one, behind a comma, is none of its: cobra's script for bash would
// put the first before it once more.
func bindings(_ *cobra.Command, _ []string, typed string) (texts []string, _ cobra.ShellCompDirective) {
	if pedal, _, named := strings.Cut(typed, "="); named {
		for _, action := range session.ActionNames() {
			texts = append(texts, pedal+"="+action)
		}
		return texts, cobra.ShellCompDirectiveNoFileComp
	}
	for pedal := firstPedal; pedal < endPedal; pedal++ {
		texts = append(texts, fmt.Sprintf("cc%d=", pedal))
	}
	return texts, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}
