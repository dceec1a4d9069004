package dashboard

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"sync/atomic"
	"syscall"

	"stillhand/session"
)

// sceneVariable makes the test's own binary play a scene on its controlling
// terminal instead of running tests.
const sceneVariable = "DASHBOARD_TEST_SCENE"

// actor is the session's part in a scene: a mark makes a snapshot with one
// mark more.
type actor struct {
	*desk
	panicIn string
	marks   int
	armed   atomic.Bool
}

func (a *actor) Do(action session.Action) {
	if action.Kind != session.Mark {
		return
	}
	if a.panicIn == "handler" {
		panic("scene: " + a.panicIn)
	}
	a.armed.Store(true)
	a.marks++
	a.put(sample(func(s *session.Snapshot) {
		s.Marks = a.marks
		s.Source = fmt.Sprintf("process %d mark %d", os.Getpid(), a.marks)
	}))
}

func (a *actor) Latest() *session.Snapshot {
	if a.panicIn == "drawing" && a.armed.Load() {
		panic("scene: " + a.panicIn)
	}
	return a.desk.Latest()
}

func (a *actor) Changed() <-chan struct{} {
	if a.panicIn == "painter" {
		panic("scene: " + a.panicIn)
	}
	return a.desk.Changed()
}

// playScene runs a dashboard and exits as the program would: 0 after quitting,
// 130 when interrupted, 1 on failure; it says on the terminal why it ended.
func playScene(scene string) {
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	a := &actor{desk: newDesk(), panicIn: scene}
	a.put(sample())
	err := Run(ctx, Options{Feed: a, Controls: a, Pedals: []string{"cc64 = mark"}})
	fmt.Printf("scene ended: %v\n", err)
	switch {
	case err == nil:
		os.Exit(0)
	case errors.Is(err, ErrInterrupted), ctx.Err() != nil:
		os.Exit(130)
	}
	os.Exit(1)
}
