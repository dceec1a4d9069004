package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"sync/atomic"

	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/dashboard"
	"stillhand/session/store"
)

// Main lets scripts run the program inside the test binary.
var Main = main

// Start is Main up to the exit.
func Start() int { return start(system()) }

// Run carries out one command line without a terminal and with nothing but
// home in its environment.
func Run(args ...string) (out, errs string, code int) {
	var o, e bytes.Buffer
	w := &world{out: &o, err: &e, env: func(string) (string, bool) { return "", false }, open: openSource, show: dashboard.Run, figures: takeFigures}
	code = run(context.Background(), args, w)
	return o.String(), e.String(), code
}

// LiveKeep is how many notes a sitting keeps in memory.
const LiveKeep = liveKeep

// AddTake puts a take into the history.
func AddTake(ctx context.Context, path string) error { return system().addTake(ctx, path) }

// CrashingPitch is the note that crashes the programs of Crashing.
const CrashingPitch = 99

// Crashing are programs with one part that panics, by name.
var Crashing = map[string]func(){
	"stillhand-crash-key": func() {
		w := system()
		w.show = func(ctx context.Context, o dashboard.Options) error {
			o.Controls = brokenKeys{}
			return dashboard.Run(ctx, o)
		}
		os.Exit(start(w))
	},
	"stillhand-crash-input":   func() { os.Exit(start(brokenInput(true))) },
	"stillhand-crash-sitting": func() { os.Exit(start(brokenInput(false))) },
	"stillhand-crash-take": func() {
		w := system()
		w.figures = func(context.Context, string) (store.TakeFigures, error) { panic("a take") }
		os.Exit(start(w))
	},
	"stillhand-crash-reading": func() {
		w := system()
		w.open = func(name string) (midiin.Source, error) {
			f, err := os.OpenFile(name, os.O_RDWR, 0) // does not wait for a writer
			return midiin.NewStream("cable", brokenReader{f}), err
		}
		os.Exit(start(w))
	},
}

// Deaf is the program with an input that looks at no context: opening it waits for
// a writer that never comes.
func Deaf() {
	w := system()
	w.open = func(name string) (midiin.Source, error) {
		w.notice("waiting")
		f, err := os.Open(name)
		return midiin.NewStream("cable", f), err
	}
	os.Exit(start(w))
}

// brokenReader panics in the goroutine that reads.
type brokenReader struct{ io.ReadCloser }

func (b brokenReader) Read(p []byte) (int, error) {
	n, err := b.ReadCloser.Read(p)
	if bytes.IndexByte(p[:n], CrashingPitch) >= 0 {
		panic("a read")
	}
	return n, err
}

type brokenKeys struct{}

func (brokenKeys) Do(session.Action) { panic("a key") }

// brokenInput is the world with inputs that panic once CrashingPitch has been
// played: at once, or when the sitting asks for their name.
func brokenInput(atOnce bool) *world {
	w := system()
	w.open = func(name string) (midiin.Source, error) {
		s, err := openSource(name)
		return &brokenSource{Source: s, atOnce: atOnce}, err
	}
	return w
}

type brokenSource struct {
	midiin.Source
	atOnce bool
	met    atomic.Bool
}

func (b *brokenSource) Run(ctx context.Context, emit func(midiin.Event)) error {
	return b.Source.Run(ctx, func(e midiin.Event) {
		if e.Data[1] == CrashingPitch {
			if b.atOnce {
				panic("a note")
			}
			b.met.Store(true)
		}
		emit(e)
	})
}

func (b *brokenSource) Name() string {
	if b.met.Load() {
		panic("a name")
	}
	return b.Source.Name()
}
