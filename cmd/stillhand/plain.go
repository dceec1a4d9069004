package main

import (
	"context"
	"fmt"
	"time"

	"stillhand/session"
	"stillhand/session/dashboard"
)

// plainFace follows a sitting in plain lines, for outputs that are no terminal
// to draw on: each settled shift, what the coach says, and warnings.
type plainFace struct {
	w       *world
	shown   time.Duration // newest trail point said
	spoken  time.Duration // newest coach line said
	warning string
}

func (f *plainFace) run(ctx context.Context, feed dashboard.Feed) {
	f.shown, f.spoken = -1, -1
	for {
		select {
		case <-ctx.Done():
			f.say(feed.Latest())
			return
		case <-feed.Changed():
			f.say(feed.Latest())
		}
	}
}

func (f *plainFace) say(s *session.Snapshot) {
	for _, p := range s.Trail {
		if !p.Settled || p.At <= f.shown {
			continue
		}
		f.shown = p.At
		if p.Moved >= 0.5 {
			fmt.Fprintf(f.w.out, "%s  shift to %d (%.0f%% sure of the shift)\n", session.ClockText(p.At), p.Position, 100*p.Moved)
		}
	}
	for i := len(s.Lines) - 1; i >= 0; i-- {
		if l := s.Lines[i]; l.At > f.spoken {
			f.spoken = l.At
			fmt.Fprintf(f.w.out, "%s  %s\n", session.ClockText(l.At), l.Text)
		}
	}
	if s.Warning != f.warning {
		f.warning = s.Warning
		if s.Warning != "" {
			f.w.notice("%s", s.Warning)
		}
	}
}
