package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"gitlab.com/gomidi/midi/v2/smf"
)

const (
	takeFormat = "stillhand-take 1"
	takeExt    = ".mid"

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

// Get returns the value of the first field with this key, "" if there is none.
func (h TakeHeader) Get(key string) string {
	for _, field := range h {
		if field.Key == key {
			return field.Value
		}
	}
	return ""
}

// Quantize rounds a time to the nearest 0.1 ms, the resolution of a take.
// Halves round away from zero.
func Quantize(d time.Duration) time.Duration { return d.Round(tick) }

// takeFile returns the Standard MIDI File of a journal's records and the
// number of channel messages in it. Times that decrease are raised to the
// time before them.
func takeFile(records []record) (data []byte, messages int, err error) {
	var track smf.Track
	track.Add(0, smf.MetaTempo(quartersPerMin), smf.MetaText(takeFormat))
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
				add(rec.at, smf.MetaText(fmt.Sprintf("unsaved=%d", binary.LittleEndian.Uint32(rec.payload))))
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

// ReadHeader returns the start and the profile of a take, as its text events
// hold them. A file that is no take of this program's, or cannot be read, is
// an error.
func ReadHeader(fsys FS, path string) (time.Time, TakeHeader, error) {
	data, err := fsys.ReadFile(path)
	if err != nil {
		return time.Time{}, nil, fmt.Errorf("read take: %w", err)
	}
	fail := func(at int) (time.Time, TakeHeader, error) {
		return time.Time{}, nil, fmt.Errorf("%s: not a take: no profile at byte %d", filepath.Base(path), at)
	}
	// MThd, its length, 6 bytes, MTrk and its length.
	const trackStart = 22
	if len(data) < trackStart || string(data[:4]) != "MThd" || string(data[14:18]) != "MTrk" {
		return fail(0)
	}
	var start time.Time
	var header TakeHeader
	known := false
	rest := data[trackStart:]
	for len(rest) > 3 && rest[0] == 0 && rest[1] == 0xff { // meta events at the very start
		length, n := variableLength(rest[3:])
		if n == 0 || length > len(rest)-3-n {
			break
		}
		kind, text := rest[2], rest[3+n:3+n+length]
		rest = rest[3+n+length:]
		if kind != 1 {
			continue
		}
		key, value, isField := strings.Cut(string(text), "=")
		switch {
		case bytes.Equal(text, []byte(takeFormat)):
			known = true
		case !isField:
		case key == "started":
			if start, err = time.Parse(time.RFC3339Nano, value); err != nil {
				return fail(len(data) - len(rest))
			}
		default:
			header = append(header, Field{key, value})
		}
	}
	if !known || start.IsZero() {
		return fail(len(data) - len(rest))
	}
	return start, header, nil
}

// variableLength reads an RP-001 variable-length quantity of at most four
// bytes and returns its value and length, or 0, 0.
func variableLength(data []byte) (value, n int) {
	for n < 4 && n < len(data) {
		b := data[n]
		value = value<<7 | int(b&0x7f)
		n++
		if b < 0x80 {
			return value, n
		}
	}
	return 0, 0
}
