package session

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"stillhand/coach"
	"stillhand/midiin"
)

// Recording is a file ready to be reviewed or played back.
type Recording struct {
	File   *midiin.File
	header map[string]string // of a take of our own; nil for any other file
}

// OpenRecording reads the file at path.
func OpenRecording(path string, o midiin.FileOptions) (*Recording, error) {
	f, err := midiin.OpenFile(path, o)
	if err != nil {
		return nil, err
	}
	return NewRecording(f), nil
}

// NewRecording returns f with what stands in its head.
func NewRecording(f *midiin.File) *Recording {
	r := &Recording{File: f}
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	// The head of a take is its text events before the first message.
	_ = f.Run(ctx, func(e midiin.Event) {
		switch {
		case e.Kind == midiin.Message || e.At > 0:
			stop()
		case e.Kind == midiin.Text && e.Text == midiin.TakeMark:
			r.header = map[string]string{}
		case e.Kind == midiin.Text && r.header != nil:
			if key, value, ok := strings.Cut(e.Text, "="); ok {
				r.header[key] = value
			}
		}
	})
	return r
}

// Lookup gives the settings that a take of our own was recorded with, but for a
// reach that is no hand's.
func (r *Recording) Lookup(name string) (string, bool) {
	text, ok := r.header[name]
	if name == "reach" && noHands(text) != nil {
		text = ""
	}
	return text, ok
}

// Warnings are the file's, and what in the head is left out: what was learnt if no
// player can have left it, and a reach that is no hand's where setup has none instead.
func (r *Recording) Warnings(setup Setup) []string {
	warnings := r.File.Warnings()
	if err := noHands(r.header["reach"]); err != nil && setup.ReachMM == 0 {
		warnings = append(slices.Clone(warnings), fmt.Sprintf("reach in the head of the take: %v; it is left out", err))
	}
	if _, told := r.header[habitsKey]; told {
		if _, ok := r.Habits(); !ok {
			warnings = append(slices.Clone(warnings), "what was learnt of the player, in the head of the take, is damaged or another version's; it is left out")
		}
	}
	return warnings
}

// Owned reports whether the file is a take of our own.
func (r *Recording) Owned() bool { return r.header != nil }

// Started is when the take was begun; an error for any file but a take of our
// own.
func (r *Recording) Started() (time.Time, error) {
	at, err := time.Parse(time.RFC3339Nano, r.header["started"])
	if err != nil {
		return time.Time{}, fmt.Errorf("%s: not a take of this program: no start in its head: move it to another folder", r.File.Name())
	}
	return at, nil
}

// Habits are what the tracker knew of the player when the take was begun, so
// that reviewing it gives the sitting's own numbers.
func (r *Recording) Habits() (coach.Habits, bool) {
	var h coach.Habits
	var shape struct{ Weight []float64 }
	text, ok := r.header[habitsKey]
	if !ok || json.Unmarshal([]byte(text), &h) != nil || json.Unmarshal([]byte(text), &shape) != nil || !h.Valid() ||
		shape.Weight != nil && len(shape.Weight) != len(h.Weight) { // another version's, of other styles
		return coach.Habits{}, false
	}
	return h, true
}

const habitsKey = "habits"

// Field is one line of a take's head.
type Field struct{ Key, Value string }

// Head is what stands at the head of a take: every value in force and what the
// tracker had learnt. source names the input.
func Head(v Values, h coach.Habits, source string) []Field {
	fields := []Field{{"source", source}}
	for _, s := range Settings {
		text, _ := v.Get(s.Name)
		fields = append(fields, Field{s.Name, text})
	}
	habits, err := json.Marshal(h)
	if err != nil {
		panic(fmt.Sprintf("habits are plain numbers: %v", err))
	}
	return append(fields, Field{habitsKey, string(habits)})
}

// Events are all events of the recording.
func (r *Recording) Events(ctx context.Context) ([]midiin.Event, error) {
	var events []midiin.Event
	err := r.File.Run(ctx, func(e midiin.Event) { events = append(events, e) })
	return events, err
}

// Hearing is setup with what the file as a whole tells of its channels, for whoever
// plays its Events.
func (r *Recording) Hearing(setup Setup) Setup {
	setup.Strings = r.File.Strings(setup.Strings)
	return setup
}

// Review reads the whole recording with setup.
func (r *Recording) Review(ctx context.Context, setup Setup) (*Review, error) {
	setup = r.Hearing(setup)
	setup.unseen, setup.oneTrack = true, r.File.Tracks() == 1
	p := NewPipeline(setup)
	defer p.stop()
	p.record.notes = make([]ReviewNote, 0, r.File.Notes())
	var last time.Duration
	err := r.File.Run(ctx, func(e midiin.Event) {
		p.Event(e)
		last = e.At
	})
	if err != nil {
		return nil, err
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	p.End(max(last, r.File.Length()))
	return p.Review(r.File.Name(), r.File.Track(), r.Warnings(setup)), nil
}
