package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"stillhand/session/store"
)

// findTake is the path of a recording: name itself where there is such a file, else
// that of the take that takeFile finds; name again where it finds none.
func findTake(ctx context.Context, name string) (string, error) {
	if _, err := os.Stat(name); err == nil {
		return name, nil
	}
	folder, err := store.DataDir()
	if err != nil {
		return name, nil
	}
	take, err := takeFile(ctx, name)
	if err != nil || take == "" {
		return name, err
	}
	return filepath.Join(store.TakesDir(folder), take), nil
}

// takeFile is the name of the file of the take that name means: its file's name, as
// the history shows it, a name that one take was given, or the beginning of one
// file's name; "" where it is none of these, an error where several takes are meant.
func takeFile(ctx context.Context, name string) (string, error) {
	all, _ := takeNames(nil, nil, "")
	begun := strings.TrimSuffix(name, ".mid")
	if len(all) == 0 || begun == "" {
		return "", nil
	}
	if slices.Contains(all, begun) {
		return begun + ".mid", nil
	}
	var takes []string
	// A history that cannot be read has no names to offer; its own command says why.
	_ = withHistory(ctx, func(h *store.History) (err error) {
		takes, err = h.Named(ctx, name)
		return err
	})
	what := "are called so"
	if len(takes) == 0 {
		what = "begin so"
		for _, take := range all {
			if strings.HasPrefix(take, begun) {
				takes = append(takes, take)
			}
		}
	}
	switch len(takes) {
	case 0:
		return "", nil
	case 1:
		return strings.TrimSuffix(takes[0], ".mid") + ".mid", nil
	}
	return "", usage("%s: %d takes %s: name one of them, %s", name, len(takes), what, few(takes))
}

// takesTold is how many of several takes are named.
const takesTold = 3

// few are the first of the takes.
func few(takes []string) string {
	told := make([]string, min(len(takes), takesTold))
	for i := range told {
		told[i] = strings.TrimSuffix(takes[i], ".mid")
	}
	if more := len(takes) - len(told); more > 0 {
		told = append(told, fmt.Sprintf("or %d more", more))
	}
	return strings.Join(told, ", ")
}

// writtenOn is what was written on the take at path with history, nothing if that
// cannot be read; ours is false of a file that does not lie among the takes, which may
// be anybody's.
func writtenOn(ctx context.Context, path string) (label store.Label, ours bool) {
	folder, err := store.DataDir()
	if err != nil {
		return label, false
	}
	file, err := os.Stat(path)
	take, errTake := os.Stat(filepath.Join(store.TakesDir(folder), filepath.Base(path)))
	if err != nil || errTake != nil || !os.SameFile(file, take) {
		return label, false
	}
	_ = withHistory(ctx, func(h *store.History) (err error) {
		label, err = h.Label(ctx, take.Name())
		return err
	})
	return label, true
}
