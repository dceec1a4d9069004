package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
	"stillhand/session"
)

// What is to be tried can help: a hold is no fault of the input, and a file of one
// track has no other.
func TestPlayable_NamesAWayOut(t *testing.T) {
	t.Parallel()
	data := []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00\x0c\x00\x90\x21\x5a\x60\x80\x21\x00\x00\xff\x2f\x00")
	file, err := midiin.ReadFile("x.mid", data, midiin.FileOptions{})
	require.NoError(t, err)
	rec := session.NewRecording(file)
	said := func(oneTrack bool, reasons ...string) string {
		r := &session.Review{Source: "x.mid"}
		r.Input.OneTrack = oneTrack
		for _, reason := range reasons {
			r.Input.Dropped = append(r.Input.Dropped, session.ReviewDropped{Pitch: 33, Reason: reason})
		}
		return playable("x.mid", rec, session.Setup{}, r).Error()
	}
	held, unrelated := string(session.OnHold), string(midiin.Unrelated)
	assert.Equal(t, "x.mid: counting was on hold for the whole take, so there is nothing to say about it: name another one", said(true, held, held))
	assert.Equal(t, "x.mid: all its notes are left out (the first: ghost); try --keyboard, which keeps every note", said(true, held, string(midiin.Ghost)))
	assert.Equal(t, "x.mid: all its notes are left out (the first: other channel); try --strings", said(true, unrelated))
	assert.Equal(t, "x.mid: all its notes are left out (the first: other channel); try --track, or --strings", said(false, unrelated))
	assert.Contains(t, said(true), "name another file")
	assert.Contains(t, said(false), "try --track")
}
