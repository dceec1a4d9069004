package main

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"stillhand/midiin"
)

// Where the system's MIDI service does not answer, raw devices can be opened all the
// same.
func TestPorts_ListsWhatWasFoundBesideAnError(t *testing.T) {
	t.Parallel()
	var out, errs strings.Builder
	silent := errors.New("no answer")
	device := midiin.Port{Number: 1, Name: "/dev/snd/midiC1D0", Path: "/dev/snd/midiC1D0"}
	assert.Equal(t, silent, (&world{out: &out, err: &errs}).ports([]midiin.Port{device}, silent))
	assert.Equal(t, " 1  /dev/snd/midiC1D0\n", out.String())
	assert.NotContains(t, errs.String(), "no MIDI input found")
}
