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
	takeExt        = ".mid"
	quartersPerMin = 120 // 500,000 us a quarter
)

// TakeHeader is the profile in force at a take's start, in the order in which
// it is written. Keys hold no "=".
type TakeHeader []session.Field

// quantize rounds a time to the nearest one that a take can keep. Halves round
// away from zero.
func quantize(d time.Duration) time.Duration { return d.Round(session.Tick) }

// takeFile returns the Standard MIDI File of a journal's records and the
// number of channel messages in it. Times that decrease are raised to the
// time before them.
func takeFile(records []record) (data []byte, messages int, err error) {
	var track Track
	track.Add(0, smf.MetaTempo(quartersPerMin))
	track.Add(0, smf.MetaText(midiin.TakeMark))
	last := int64(0)
	add := func(at time.Duration, message []byte) {
		last = max(int64(quantize(at)/session.Tick), last)
		track.Add(last, message)
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
	data, err = track.File()
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
