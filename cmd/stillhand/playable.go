package main

import (
	"fmt"
	"slices"
	"strings"

	"stillhand/midiin"
	"stillhand/session"
)

// playable reports that the recording at path has no note to say anything about, and
// what may be the cause.
func playable(path string, rec *session.Recording, setup session.Setup, r *session.Review) error {
	if r.Input.Notes > 0 {
		return nil
	}
	switch n := len(r.Input.Dropped); {
	case rec.File.Notes() == 0 && rec.Owned():
		return fmt.Errorf("%s: nothing was played in this take: name another one", path)
	case rec.File.Notes() == 0: // the warnings say so, and what is broken
		return fmt.Errorf("%s: %s: name another file", path, strings.Join(rec.File.Warnings(), "; "))
	case n == 0 && r.Input.OneTrack:
		return fmt.Errorf("%s: no note to be played in it (%s): name another file", path, r.Input.Track)
	case n == 0:
		return fmt.Errorf("%s: no note to be played in it (%s); try --track", path, r.Input.Track)
	default:
		if off, _ := r.OffNeck(); off > 0 {
			return fmt.Errorf("%s: no note can be played on this neck: %s", path, setup.OffNeckHint(r))
		}
		first := slices.IndexFunc(r.Input.Dropped, func(d session.ReviewDropped) bool { return d.Reason != string(session.OnHold) })
		if first < 0 {
			return fmt.Errorf("%s: counting was on hold for the whole take, so there is nothing to say about it: name another one", path)
		}
		reason := r.Input.Dropped[first].Reason
		var ways []string
		if !r.Input.OneTrack {
			ways = append(ways, "--track")
		}
		switch midiin.DropReason(reason) {
		case midiin.Ghost, midiin.DoubleTrigger:
			ways = []string{"--keyboard, which keeps every note"}
		case midiin.Unrelated:
			ways = append(ways, "--strings")
		}
		if len(ways) == 0 {
			ways = []string{"another file"}
		}
		return fmt.Errorf("%s: all its notes are left out (the first: %s); try %s", path, reason, strings.Join(ways, ", or "))
	}
}
