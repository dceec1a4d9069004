package dashboard

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"stillhand/session"
)

// onTty runs a dashboard over tcell's own terminal on tty.
func onTty(t testing.TB, tty *fakeTty) *running {
	t.Helper()
	r := &running{desk: newDesk(), ended: make(chan error, 1)}
	r.put(sample())
	ctx, stop := context.WithCancelCause(context.Background())
	t.Cleanup(func() { stop(nil) })
	r.stop = stop
	terminal := real(t, &steadyTty{Tty: tty})
	go func() { r.ended <- Run(ctx, Options{Feed: r.desk, Controls: r.desk, Screen: terminal}) }()
	tty.waitFor(t, func(seen string) bool { return strings.Contains(seen, "keys") })
	return r
}

func TestRun_KeysWorkWhileTheTerminalDoesNotRead(t *testing.T) {
	t.Parallel()
	tty := newFakeTty(80, 24)
	r := onTty(t, tty)
	release := tty.stick()
	r.put(sample(provisionalHand))
	tty.typed("m")
	require.Equal(t, session.Mark, r.action(t).Kind)
	tty.typed("h")
	require.Equal(t, session.Hold, r.action(t).Kind)
	r.put(sample(func(s *session.Snapshot) { s.Warning = "ZZZZZZ" }))
	tty.typed("x")
	require.Equal(t, session.Forget, r.action(t).Kind)
	release()
	tty.waitFor(t, func(seen string) bool { return strings.Contains(seen, "ZZZZZZ") })
	tty.typed("q")
	require.NoError(t, r.end(t))
}

func TestRun_EndsSoonWhenTheTerminalDoesNotRead(t *testing.T) {
	t.Parallel()
	for _, leave := range []string{"key", "context"} {
		tty := newFakeTty(80, 24)
		r := onTty(t, tty)
		release := tty.stick()
		defer release()
		r.put(sample(provisionalHand))
		tty.typed("m") // the frame for it sticks
		r.action(t)
		begin := time.Now()
		if leave == "key" {
			tty.typed("q")
			require.NoError(t, r.end(t))
		} else {
			over := errors.New("over")
			r.stop(over)
			require.ErrorIs(t, r.end(t), over)
		}
		require.Less(t, time.Since(begin), 3*time.Second)
	}
}

// Thousands of keys wait when the player leaves: tcell's Fini alone hangs.
func TestRun_LeavesUnderAFloodOfKeys(t *testing.T) {
	t.Parallel()
	for range 4 {
		tty := newFakeTty(80, 24)
		r := onTty(t, tty)
		go tty.typed(strings.Repeat("?", 3000))
		for range 100 {
			r.put(sample())
		}
		r.stop(nil)
		require.ErrorIs(t, r.end(t), context.Canceled)
	}
}

func TestRun_ReportsATerminalThatWentAway(t *testing.T) {
	t.Parallel()
	tty := newFakeTty(80, 24)
	r := onTty(t, tty)
	close(tty.gone)
	require.ErrorContains(t, r.end(t), "terminal went away")
}
