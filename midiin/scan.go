package midiin

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
)

// scan is what one pass over a file finds: where its tracks lie, what parts
// they hold, and tempo, metre and texts. Events are not stored; a cursor finds
// them again.
type scan struct {
	data     []byte
	format   int
	division uint16
	tracks   []track
	parts    []part // in order of track, then channel
	tempi    []tempoChange
	meters   []meterChange
	texts    []textMark // in order of tick
	take     bool       // a recording of this program's own
	told     uint16     // channels that the player says carry strings; 0 for none
	wheels   wheels     // where the tracks read so far left them
	zones    [2]uint16  // channels of both MPE zones with their managers, wherever declared
	sharing  [][]int    // parts on one channel that may be strings, though their names do not say so
	programs [16]int16  // first program of each channel in any track, from 0; -1 if none
	warnings warnings
}

// track is one MTrk chunk.
type track struct {
	start, end       int // bytes of its events
	nameLo, nameHi   int // bytes of its name, or else of its instrument's
	named            bool
	bass             int8 // what its name says, as bassName does
	firstPart, parts int  // its parts within scan.parts
	ticks            int64
}

// part is one channel of one track, if it has notes.
type part struct {
	track     int32
	channel   uint8
	low, high uint8
	program   int16 // from 0: a bass program that notes were played with, else the first; -1 if none
	notes     int32
	sum       int64             // of pitches
	inRange   int32             // notes in the range of basses
	together  int32             // notes that are part of a chord
	bass      int32             // notes under a bass program
	few       [fewPitches]uint8 // the first pitches
	pitches   uint8             // how many there are, up to one more than fewPitches
	strung    bool              // on channel 10, and not drums but a string
	voice     uint8             // the channel as which a string is read: its own, unless tracks share it
}

// textMark is a text or marker, with its place in the file.
type textMark struct {
	tick   int64
	lo, hi uint32
	track  uint16
	kind   EventKind
}

// TakeMark is the text event that opens a recording of this program, with the
// number of its format; takeText is how it begins in every format. Such a file
// is one line by definition: every channel of every track is read, so that a
// review hears what live heard.
const (
	takeText = "stillhand-take"
	TakeMark = takeText + " 1"
)

// maxWarnings bounds what a broken file can say.
const maxWarnings = 20

type warnings struct {
	said []string
	more int
}

func (w *warnings) add(format string, args ...any) {
	if len(w.said) == maxWarnings {
		w.more++
		return
	}
	w.said = append(w.said, fmt.Sprintf(format, args...))
}

func (w *warnings) lines() []string {
	if w.more == 0 {
		return w.said
	}
	return append(slices.Clip(w.said), fmt.Sprintf("and %d more of that kind", w.more))
}

// headerSearch is how far into a file a header is looked for: some programs
// and transfer formats put a block of their own before it.
const headerSearch = 1024

var (
	errEmpty   = errors.New("the file is empty: export the recording again, or name another file")
	errNotMIDI = errors.New("not a Standard MIDI File (no MThd in it): export the recording as a MIDI file")
)

// scanFile finds the tracks of a file and takes stock of them.
func scanFile(data []byte) (*scan, error) {
	if len(data) == 0 {
		return nil, errEmpty
	}
	s := &scan{data: data, wheels: newWheels()}
	for i := range s.programs {
		s.programs[i] = -1
	}
	pos, end := s.unwrap()
	head := bytes.Index(data[pos:min(end, pos+headerSearch)], []byte("MThd"))
	if head < 0 {
		return nil, errNotMIDI
	}
	if head > 0 {
		s.warnings.add("%d bytes before the header skipped", head)
	}
	pos += head
	if end-pos < chunkHead+6 {
		return nil, fmt.Errorf("byte %d: the header is cut off: export the recording again, or name another file", pos)
	}
	length := binary.BigEndian.Uint32(data[pos+4:])
	if length < 6 {
		return nil, fmt.Errorf("byte %d: the header has %d bytes, not 6: export the recording again, or name another file", pos+4, length)
	}
	h := data[pos+chunkHead:]
	s.format = int(binary.BigEndian.Uint16(h))
	promised := int(binary.BigEndian.Uint16(h[2:]))
	s.division = binary.BigEndian.Uint16(h[4:])
	if s.format > 2 {
		s.warnings.add("byte %d: format %d is unknown: read as format 1", pos+chunkHead, s.format)
		s.format = 1
	}
	if !validDivision(s.division) {
		s.warnings.add("byte %d: division %04X is impossible: read as %d ticks a quarter note, times may be wrong", pos+chunkHead+4, s.division, fallbackDivision)
		s.division = fallbackDivision
	}
	next := pos + chunkHead + int(min(int64(length), int64(end-pos-chunkHead)))
	if !isChunk(data[next:end]) { // a wrong length of the header
		if i := bytes.Index(data[pos+chunkHead:end], []byte("MTrk")); i >= 0 && pos+chunkHead+i != next {
			s.warnings.add("byte %d: the header's length is wrong", pos+4)
			next = pos + chunkHead + i
		}
	}
	s.chunks(next, end)
	if len(s.tracks) < promised {
		s.warnings.add("the header promises %d tracks, the file has %d", promised, len(s.tracks))
	}
	if len(s.tracks) == 0 {
		return nil, fmt.Errorf("byte %d: no track behind the header: export the recording again, or name another file", next)
	}
	for i := range s.parts {
		if p := &s.parts[i]; p.program < 0 {
			p.playedWith(s.programs[p.channel], p.notes)
		}
	}
	slices.SortStableFunc(s.texts, func(a, b textMark) int { return cmp.Compare(a.tick, b.tick) })
	return s, nil
}

// fallbackDivision stands in for an impossible one: 480 is what sequencers
// use most (common practice).
const fallbackDivision = 480

func validDivision(d uint16) bool {
	if d&0x8000 == 0 {
		return d > 0
	}
	switch -int8(d >> 8) { // the four SMPTE formats of RP-001
	case 24, 25, 29, 30:
		return d&0xFF > 0
	}
	return false
}

func (s *scan) cursor(i int) *cursor {
	return &cursor{data: s.data, track: i, pos: s.tracks[i].start, end: s.tracks[i].end}
}
