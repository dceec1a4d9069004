package main

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
	"stillhand/session"
	"stillhand/testdata"
)

func TestCrashed_PrintsAStackThatCannotBeKeptLineByLine(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	for _, name := range []string{"HOME", "XDG_DATA_HOME", "LocalAppData"} {
		t.Setenv(name, file)
	}
	var errs strings.Builder
	stack := "goroutine 1 [running]:\nmain.main()\n\t/src/main.go:3 +0x1\n"
	err := crashed(&world{err: &errs}, &session.CrashError{Stack: []byte(stack + "\x1b")})
	require.ErrorContains(t, err, "with the stack above")
	assert.Equal(t, stack+"\ufffd\n", errs.String())
}

// brokenOnce is a context that panics when it is asked for the first time, as the
// first recording does while it is read.
type brokenOnce struct {
	context.Context
	asked atomic.Bool
}

func (b *brokenOnce) Err() error {
	if b.asked.CompareAndSwap(false, true) {
		panic("a recording")
	}
	return b.Context.Err()
}

func TestReviewing_KeepsTheStackOfOneOfSeveralThatCrashes(t *testing.T) {
	home := t.TempDir()
	for _, name := range []string{"HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "LocalAppData", "AppData"} {
		t.Setenv(name, home)
	}
	paths := []string{filepath.Join(home, "one.mid"), filepath.Join(home, "two.mid")}
	for _, path := range paths {
		require.NoError(t, os.WriteFile(path, testdata.Demo, 0o600))
	}
	var out, errs strings.Builder
	w := &world{out: &out, err: &errs, env: func(string) (string, bool) { return "", false }, open: func(string) (midiin.Source, error) { return nil, nil }}
	assert.Equal(t, exitFailed, run(&brokenOnce{Context: t.Context()}, append([]string{"review", "--json"}, paths...), w))
	assert.Contains(t, errs.String(), "1 of 2 recordings could not be reviewed")
	found := regexp.MustCompile(`the review crashed: a recording; please report it with (\S+)\n`).FindStringSubmatch(errs.String())
	require.NotNil(t, found, errs.String())
	report, err := os.ReadFile(found[1])
	require.NoError(t, err)
	assert.Contains(t, string(report), "brokenOnce")
	assert.Contains(t, out.String(), `"source": "`)
}

// Whoever says the last words in a goroutine of their own hands on its crash, or it
// would end the program on the spot.
func TestParting_HandsOnACrash(t *testing.T) {
	t.Parallel()
	err := func() (err error) {
		defer session.Catch("the program", &err)
		(&world{}).parting(t.Context(), func() { panic("last words") })
		return nil
	}()
	assert.EqualError(t, err, "the summary crashed: last words")
}
