package store

import (
	"encoding/binary"
	"fmt"
	"time"

	"gitlab.com/gomidi/midi/v2/smf"

	"stillhand/midiin"
	"stillhand/session"
)

const (
	takeExt = ".mid"

	// One tick is 0.1 ms.
	tick            = 100 * time.Microsecond
	ticksPerQuarter = 5000
	quartersPerMin  = 120 // 500,000 us a quarter

	maxDelta = 0x0fffffff // RP-001: the largest variable-length quantity
)

// Field is one value of the profile in force.
type Field struct{ Key, Value string }

// TakeHeader is the profile in force at a take's start, in the order in which
// it is written. Keys hold no "=".
type TakeHeader []Field

// Quantize rounds a time to the nearest 0.1 ms, the resolution of a take.
// Halves round away from zero.
func Quantize(d time.Duration) time.Duration { return d.Round(tick) }

// takeFile returns the Standard MIDI File of a journal's records and the
// number of channel messages in it. Times that decrease are raised to the
// time before them.
func takeFile(records []record) (data []byte, messages int, err error) {
	var track smf.Track
	track.Add(0, smf.MetaTempo(quartersPerMin), smf.MetaText(midiin.TakeMark))
	last := int64(0)
	add := func(at time.Duration, message []byte) {
		ticks := max(int64(Quantize(at)/tick), last)
		for ; ticks-last > maxDelta; last += maxDelta {
			track.Add(maxDelta, smf.MetaText(""))
		}
		track.Add(uint32(ticks-last), message)
		last = ticks
	}
	for _, rec := range records {
		switch rec.kind {
		case startRecord:
			add(0, smf.MetaText("started="+string(rec.payload)))
		case fieldRecord, textRecord:
			add(rec.at, smf.MetaText(string(rec.payload)))
		case markerRecord:
			add(rec.at, smf.MetaMarker(string(rec.payload)))
		case unsavedRecord:
			if len(rec.payload) == 4 {
				add(rec.at, smf.MetaText(fmt.Sprintf("%s%d", session.UnsavedText, binary.LittleEndian.Uint32(rec.payload))))
			}
		case messageRecord:
			if n := messageLength(rec.payload); n > 0 {
				add(rec.at, rec.payload[:n])
				messages++
			}
		}
	}
	track.Close(0)
	file := smf.New()
	file.TimeFormat = smf.MetricTicks(ticksPerQuarter)
	if err := file.Add(track); err != nil {
		return nil, 0, err
	}
	data, err = file.Bytes()
	return data, messages, err
}

// messageLength returns how many bytes of a three-byte event its channel
// message has (MIDI 1.0: program change and channel pressure have one data
// byte, the others two), or 0 if it is none.
func messageLength(data []byte) int {
	if len(data) != 3 || data[0] < 0x80 || data[0] >= 0xf0 || data[1] > 0x7f || data[2] > 0x7f {
		return 0
	}
	if kind := data[0] & 0xf0; kind == 0xc0 || kind == 0xd0 {
		return 2
	}
	return 3
}
