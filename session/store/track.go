package store

import (
	"gitlab.com/gomidi/midi/v2/smf"
)

// TicksPerQuarter makes one tick of a Standard MIDI File 0.1 ms, session.Tick, at
// 120 quarter notes a minute.
const TicksPerQuarter = 5000

// longestDelta is the largest variable-length quantity (RP-001: four bytes).
const longestDelta = 0x0fffffff

// Track is the one track of a Standard MIDI File of format 0 that is written event
// by event.
type Track struct {
	track smf.Track
	now   int64
}

// Add puts a message at a tick, which never precedes the one before.
func (t *Track) Add(tick int64, message []byte) {
	for ; tick-t.now > longestDelta; t.now += longestDelta {
		t.track.Add(longestDelta, smf.MetaText(""))
	}
	t.track.Add(uint32(tick-t.now), message)
	t.now = tick
}

// File ends the track and returns the file.
func (t *Track) File() ([]byte, error) {
	t.track.Close(0)
	file := smf.New()
	file.TimeFormat = smf.MetricTicks(TicksPerQuarter)
	if err := file.Add(t.track); err != nil {
		return nil, err
	}
	return file.Bytes()
}
