package main

import (
	"fmt"
	"strings"

	"stillhand/midiin"
	"stillhand/session"
)

// playable reports a recording with no note to say anything about, and what may
// be the cause.
func playable(rec *session.Recording, setup session.Setup, r *session.Review) error {
	if r.Input.Notes > 0 {
		return nil
	}
	switch n := len(r.Input.Dropped); {
	case rec.File.Notes() == 0 && rec.Owned():
		return fmt.Errorf("%s: nothing was played in this take: name another one", r.Source)
	case rec.File.Notes() == 0: // the warnings say so, and what is broken
		return fmt.Errorf("%s: %s: name another file", r.Source, strings.Join(rec.File.Warnings(), "; "))
	case n == 0:
		return fmt.Errorf("%s: no note to be played in it (%s); try --track", r.Source, r.Input.Track)
	default:
		if off, _ := r.OffNeck(); off > 0 {
			return fmt.Errorf("%s: no note can be played on this neck: %s", r.Source, setup.OffNeckHint(r))
		}
		try := "--track"
		switch first := r.Input.Dropped[0]; midiin.DropReason(first.Reason) {
		case midiin.Ghost, midiin.DoubleTrigger:
			try = "--keyboard, which keeps every note"
		case midiin.Unrelated:
			try = "--track, or --strings"
		}
		return fmt.Errorf("%s: all its notes are left out (the first: %s); try %s", r.Source, r.Input.Dropped[0].Reason, try)
	}
}
