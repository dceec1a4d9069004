package midiin

import (
	"bytes"
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
	tempi    []tempoMark
	meters   []meterMark
	texts    []textMark // in order of tick
	take     bool       // a recording of this program's own
	programs [16]int16  // first program of each channel in any track, from 0; -1 if none
	warnings warnings
}

// track is one MTrk chunk.
type track struct {
	start, end       int // bytes of its events
	nameLo, nameHi   int // bytes of its name, or else of its instrument's
	named            bool
	firstPart, parts int // its parts within scan.parts
	ticks            int64
}

// part is one channel of one track, if it has notes.
type part struct {
	track     int32
	channel   uint8
	low, high uint8
	program   int16 // that most notes were played with, from 0; -1 if none was set
	notes     int32
	sum       int64 // of pitches
	inRange   int32 // notes in the range of basses
	together  int32 // notes that are part of a chord
	bass      int32 // notes under a bass program
	set       int32 // notes under any program
}

type tempoMark struct {
	tempoChange
	track int
}

type meterMark struct {
	meter
	track int
}

type textMark struct {
	tick   int64
	track  int
	lo, hi int
	kind   EventKind
}

// TakeText begins the text event by which a recording of this program is
// known. Such a file is one line by definition: every channel of every track
// is read, so that a review hears what live heard.
const TakeText = "stillhand-take"

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

// maxTracks is as many tracks as a header can promise.
const maxTracks = 1<<16 - 1

// headerSearch is how far into a file a header is looked for: some programs
// and transfer formats put a block of their own before it.
const headerSearch = 1024

const chunkHead = 8 // bytes of a chunk's name and length

var (
	errEmpty   = errors.New("the file is empty: nothing to read")
	errNotMIDI = errors.New("not a Standard MIDI File (no MThd in it): export the recording as a MIDI file")
)

// scanFile finds the tracks of a file and takes stock of them.
func scanFile(data []byte) (*scan, error) {
	if len(data) == 0 {
		return nil, errEmpty
	}
	s := &scan{data: data}
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
		return nil, fmt.Errorf("byte %d: the header is cut off: nothing could be read", pos)
	}
	length := binary.BigEndian.Uint32(data[pos+4:])
	if length < 6 {
		return nil, fmt.Errorf("byte %d: the header has %d bytes, not 6: nothing could be read", pos+4, length)
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
		return nil, fmt.Errorf("byte %d: no track behind the header: nothing could be read", next)
	}
	for i := range s.parts {
		if p := &s.parts[i]; p.program < 0 {
			p.program = s.programs[p.channel]
		}
	}
	slices.SortStableFunc(s.texts, func(a, b textMark) int {
		switch {
		case a.tick < b.tick:
			return -1
		case a.tick > b.tick:
			return 1
		}
		return 0
	})
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

// unwrap returns where the MIDI data lie: the whole file, or the data chunk of
// a RIFF file of form RMID (RP-029).
func (s *scan) unwrap() (pos, end int) {
	data := s.data
	if len(data) < 12 || string(data[:4]) != "RIFF" || string(data[8:12]) != "RMID" {
		return 0, len(data)
	}
	for pos = 12; len(data)-pos >= chunkHead; {
		size := int64(binary.LittleEndian.Uint32(data[pos+4:]))
		left := int64(len(data) - pos - chunkHead)
		if string(data[pos:pos+4]) == "data" {
			if size > left {
				s.warnings.add("byte %d: the RIFF data chunk is cut off: %d of %d bytes are there", pos+4, left, size)
				size = left
			}
			return pos + chunkHead, pos + chunkHead + int(size)
		}
		pos += chunkHead + int(min(size+size%2, left))
	}
	return 0, len(data)
}

// isChunk reports whether b can be the beginning of a chunk: a name of four
// printable ASCII characters and a length, or nothing at all.
func isChunk(b []byte) bool {
	if len(b) == 0 {
		return true
	}
	if len(b) < chunkHead {
		return false
	}
	for _, c := range b[:4] {
		if c < ' ' || c > '~' {
			return false
		}
	}
	return true
}

// chunks walks the chunks from pos: tracks are surveyed, others skipped. Wrong
// lengths of tracks are put right where the events themselves show the end.
func (s *scan) chunks(pos, end int) {
	data := s.data
	sounding := new(sounding)
	for end-pos >= chunkHead {
		name, length := string(data[pos:pos+4]), int64(binary.BigEndian.Uint32(data[pos+4:]))
		body, stop := pos+chunkHead, end
		if length <= int64(end-pos-chunkHead) {
			stop = body + int(length)
		}
		if name != "MTrk" {
			if !isChunk(data[pos:end]) {
				i := bytes.Index(data[pos:end], []byte("MTrk"))
				if i < 0 {
					break
				}
				s.warnings.add("byte %d: %d bytes that are no chunk skipped", pos, i)
				pos += i
				continue
			}
			pos = stop
			continue
		}
		if length > int64(end-body) || !isChunk(data[stop:end]) && !s.endsWithin(body, stop) {
			// The length is wrong. The track goes on to the next one.
			stop = end
			if i := bytes.Index(data[body:end], []byte("MTrk")); i >= 0 {
				stop = body + i
			}
		}
		if len(s.tracks) == maxTracks {
			s.warnings.add("byte %d: the tracks from here on are skipped: a file has at most %d", pos, maxTracks)
			return
		}
		s.tracks = append(s.tracks, track{start: body, end: stop})
		ends := s.survey(len(s.tracks)-1, sounding)
		if stop-body != int(min(length, int64(end-body))) && ends < stop && isChunk(data[ends:end]) {
			stop = ends // a chunk of another kind follows
		}
		s.tracks[len(s.tracks)-1].end = stop
		pos = stop
	}
	if pos < end {
		s.warnings.add("byte %d: %d bytes at the end are no chunk", pos, end-pos)
	}
}

// endsWithin reports whether the events from start come to an End of Track
// before stop.
func (s *scan) endsWithin(start, stop int) bool {
	c := cursor{data: s.data, pos: start, end: stop}
	for c.next() {
	}
	return c.ended
}

func (s *scan) cursor(i int) *cursor {
	return &cursor{data: s.data, track: i, pos: s.tracks[i].start, end: s.tracks[i].end}
}

// The range in which a bass line lies: B0, the low string of a five-string
// bass, to G4, the highest place of the string G2 on 24 frets.
const (
	lowestBass  = 23
	highestBass = 67
)

// sounding is scratch: how many notes of each channel and pitch sound.
type sounding struct {
	pitches [16][128]uint8
	count   [16]int
}

// survey walks one track and takes stock. It returns the byte behind the last
// event read.
func (s *scan) survey(index int, on *sounding) int {
	t := &s.tracks[index]
	c := s.cursor(index)
	var parts [16]part
	var used uint16
	var struck [16]int64 // tick of the channel's last note-on
	var programs [16]int16
	for i := range programs {
		programs[i] = -1
	}
	chord := s.chordTicks()
	kept := 0
	for c.next() {
		if c.msg[0] == 0 {
			s.metaEvent(c, t)
			continue
		}
		ch := c.msg[0] & 0x0F
		switch c.msg[0] >> 4 {
		case 0xC:
			programs[ch] = int16(c.msg[1])
			if s.programs[ch] < 0 {
				s.programs[ch] = int16(c.msg[1])
			}
		case 0x8, 0x9:
			pitch := c.msg[1]
			if !c.noteOn() {
				if on.pitches[ch][pitch] > 0 {
					on.pitches[ch][pitch]--
					on.count[ch]--
				}
				continue
			}
			kept++
			p := &parts[ch]
			if used&(1<<ch) == 0 {
				used |= 1 << ch
				*p = part{track: int32(index), channel: ch, low: pitch, high: pitch}
			}
			others := on.count[ch] - int(on.pitches[ch][pitch])
			p.add(pitch, programs[ch], others > 1 || others == 1 && c.tick-struck[ch] < chord)
			struck[ch] = c.tick
			if on.pitches[ch][pitch] == 0 {
				on.pitches[ch][pitch]++
				on.count[ch]++
			}
		}
	}
	t.ticks = c.tick
	t.firstPart = len(s.parts)
	for ch := range parts {
		if used&(1<<ch) == 0 {
			continue
		}
		p := &parts[ch]
		p.program = programs[ch]
		s.parts = append(s.parts, *p)
		on.pitches[ch], on.count[ch] = [128]uint8{}, 0
	}
	t.parts = len(s.parts) - t.firstPart
	if c.fault != "" {
		s.warnings.add("track %d %s at byte %d: %s kept", index+1, c.fault, c.at, plural(kept, "note"))
	}
	if c.skipped > 0 {
		s.warnings.add("track %d: %s skipped that no file may hold, the first at byte %d", index+1, plural(c.skipped, "event"), c.skippedAt)
	}
	return c.pos
}

// chordTicks is how close two strokes of a chord lie: a thirty-second note, or
// at an SMPTE division a sixteenth of a second. Notes that overlap further apart
// are legato.
func (s *scan) chordTicks() int64 {
	if s.division&0x8000 != 0 {
		return max(1, int64(-int8(s.division>>8))*int64(s.division&0xFF)/16)
	}
	return max(1, int64(s.division)/8)
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func (p *part) add(pitch uint8, program int16, together bool) {
	p.notes++
	p.sum += int64(pitch)
	p.low, p.high = min(p.low, pitch), max(p.high, pitch)
	if pitch >= lowestBass && pitch <= highestBass {
		p.inRange++
	}
	if together {
		p.together++
	}
	if program >= 0 {
		p.set++
		if isBassProgram(program) {
			p.bass++
		}
	}
}

func (s *scan) metaEvent(c *cursor, t *track) {
	body := c.data[c.lo:c.hi]
	switch c.meta {
	case metaTrackName:
		if !t.named && len(body) > 0 {
			t.nameLo, t.nameHi, t.named = c.lo, c.hi, true
		}
	case metaInstrument:
		if t.nameHi == t.nameLo {
			t.nameLo, t.nameHi = c.lo, c.hi
		}
	case metaText, metaMarker, metaCue:
		kind := Marker
		if c.meta == metaText {
			kind = Text
			s.take = s.take || bytes.HasPrefix(body, []byte(TakeText))
		}
		s.texts = append(s.texts, textMark{tick: c.tick, track: c.track, lo: c.lo, hi: c.hi, kind: kind})
	case metaTempo:
		if len(body) < 3 {
			return
		}
		micro := uint32(body[0])<<16 | uint32(body[1])<<8 | uint32(body[2])
		if micro > 0 {
			s.tempi = append(s.tempi, tempoMark{tempoChange{c.tick, micro}, c.track})
		}
	case metaMeter:
		if len(body) < 2 || body[0] == 0 || body[1] > meterLimit {
			return
		}
		s.meters = append(s.meters, meterMark{meter{tick: c.tick, beats: int64(body[0]), power: uint(body[1])}, c.track})
	}
}
