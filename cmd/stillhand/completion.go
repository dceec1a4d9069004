package main

import (
	"cmp"
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

// recordingNames completes up to most recordings: the takes, and MIDI files and folders,
// one folder at a time.
func recordingNames(most int) cobra.CompletionFunc {
	return func(_ *cobra.Command, given []string, typed string) (names []string, _ cobra.ShellCompDirective) {
		if len(given) >= most {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		folder, begun := filepath.Split(typed)
		if folder == "" {
			takes, _ := takeNames(nil, nil, "")
			names = append(names, takes...)
		}
		found, _ := os.ReadDir(cmp.Or(folder, "."))
		for _, f := range found {
			name, ending := f.Name(), strings.ToLower(filepath.Ext(f.Name()))
			switch hidden := strings.HasPrefix(name, ".") && begun == ""; {
			case hidden:
			case isFolder(filepath.Join(folder, name)):
				names = append(names, folder+name+string(filepath.Separator))
			case slices.Contains(endings, ending):
				names = append(names, folder+name)
			}
		}
		names = slices.DeleteFunc(names, func(name string) bool { return !strings.HasPrefix(name, typed) })
		directive := cobra.ShellCompDirectiveNoFileComp
		if len(names) == 1 && strings.HasSuffix(names[0], string(filepath.Separator)) {
			directive |= cobra.ShellCompDirectiveNoSpace // what is in it comes next
		}
		return names, directive
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

// bindings completes the last of pedal bindings like "cc64=mark,cc66=swap": its
// controller, then its action.
func bindings(_ *cobra.Command, _ []string, typed string) (texts []string, _ cobra.ShellCompDirective) {
	before := typed[:strings.LastIndex(typed, ",")+1]
	if pedal, _, named := strings.Cut(typed[len(before):], "="); named {
		for _, action := range session.ActionNames() {
			texts = append(texts, before+pedal+"="+action)
		}
		return texts, cobra.ShellCompDirectiveNoFileComp
	}
	for pedal := firstPedal; pedal < endPedal; pedal++ {
		texts = append(texts, fmt.Sprintf("%scc%d=", before, pedal))
	}
	return texts, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}
