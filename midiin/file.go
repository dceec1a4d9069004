package midiin

import (
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"time"
	"unicode/utf8"
)

// maxFileSize is the size of file that OpenFile takes. A million notes take
// some 8 MiB, so this bounds memory, not music.
const maxFileSize = 64 << 20

// FileOptions says what to read of a file.
type FileOptions struct {
	// Track is "auto" or "" to choose by evidence, a track's number from 1, or
	// a part of a track's name (letter case does not matter).
	Track string
	// Strings says which channels carry the strings. Where it names any that
	// the tracks to choose from have, only these are read.
	Strings StringsOption
}

// File is a Standard MIDI File (RP-001: formats 0, 1 and 2, metrical or SMPTE
// division, bare or inside RIFF) as a Source: the track or channels that carry
// the bass line, with markers and texts of all tracks. Damage is salvaged as
// far as it goes and told by Warnings. A File is read-only after ReadFile; Run
// decodes from the bytes of the file and stores no events.
type File struct {
	name     string
	scan     *scan
	line     line
	clock    clock
	meters   []meter
	metre    bool // the file counts bars
	length   time.Duration
	warnings []string
}

// OpenFile reads the file at path. The error is one line that names the path
// and what to do.
func OpenFile(path string, o FileOptions) (*File, error) {
	info, err := os.Stat(path) // before it is opened: a FIFO waits there for a writer
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s: %w", path, reason(err))
	case info.IsDir():
		return nil, fmt.Errorf("%s: is a directory: name the MIDI files in it", path)
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s: is a pipe or a device: write what comes from it into a file, and name that", path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, reason(err))
	}
	defer f.Close()
	var data []byte
	if info.Size() <= maxFileSize {
		data = make([]byte, 0, info.Size()+1)
		data, err = readAll(io.LimitReader(f, maxFileSize+1), data)
		if err != nil {
			return nil, fmt.Errorf("%s: cannot be read: %w", path, reason(err))
		}
	}
	if max(info.Size(), int64(len(data))) > maxFileSize {
		return nil, fmt.Errorf("%s: larger than %d MiB: a MIDI file of that size is not read", path, maxFileSize>>20)
	}
	return ReadFile(path, data, o)
}

// readAll is io.ReadAll into a buffer that already has the right size.
func readAll(r io.Reader, b []byte) ([]byte, error) {
	for {
		if len(b) == cap(b) {
			b = append(b, 0)[:len(b)]
		}
		n, err := r.Read(b[len(b):cap(b)])
		b = b[:len(b)+n]
		if err == io.EOF {
			return b, nil
		}
		if err != nil {
			return b, err
		}
	}
}

// reason takes the path off an error of the os package, for lines that name
// it already.
func reason(err error) error {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// ReadFile reads a file from memory. name is shown to people; File.Name is its
// base. data is kept, not copied, and must not be changed any more. The error
// names the file, the byte and what to do.
func ReadFile(name string, data []byte, o FileOptions) (*File, error) {
	s, err := scanFile(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	l, err := s.choose(o)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	f := &File{name: filepath.Base(name), scan: s, line: l}
	tempi, meters := s.tempi, s.meters
	if s.format == 2 {
		only := uint16(l.only())
		tempi = slices.DeleteFunc(tempi, func(c tempoChange) bool { return c.track != only })
		meters = slices.DeleteFunc(meters, func(c meterChange) bool { return c.track != only })
	}
	f.clock = newClock(s.division, tempi)
	if s.division&0x8000 == 0 {
		f.metre = len(meters) > 0
		f.meters = newMeters(s.division, meters)
	}
	s.tempi, s.meters = nil, nil
	var last int64
	for _, t := range l.tracks {
		last = max(last, s.tracks[t.index].ticks)
	}
	for _, t := range s.texts {
		if f.hears(t) {
			last = max(last, t.tick)
		}
	}
	f.length = f.clock.at(last, new(int))
	f.warnings = s.warnings.lines()
	switch {
	case l.notes == 0:
		f.warnings = append(f.warnings, "no track has a note")
	case l.drums:
		f.warnings = append(f.warnings, "what is read is drums (channel 10)")
	case l.doubt != "":
		f.warnings = append(f.warnings, l.doubt)
	}
	return f, nil
}

// hears reports whether a text belongs to what is read: any track's, but in
// format 2, whose tracks are pieces of their own, only the chosen one's.
func (f *File) hears(t textMark) bool {
	return f.scan.format != 2 || int(t.track) == f.line.only()
}

// Name is the file's base name.
func (f *File) Name() string { return f.name }

// Track says in one line which track or channels were chosen, and why. Names
// from the file are quoted, so it holds no control characters.
func (f *File) Track() string { return f.line.String() }

// Drums reports whether percussion (channel 10 in General MIDI) is all that is
// read.
func (f *File) Drums() bool { return f.line.drums }

// Strings is o with what the file as a whole tells of the channels that are read:
// where they take turns, they are no strings, channel 10 is drums only if it is
// not read, and tracks that share one are read as channels of their own.
func (f *File) Strings(o StringsOption) StringsOption {
	if !o.told {
		o.pitchOnly = o.pitchOnly || f.line.inTurn
		o.ten = f.line.ten
		for _, t := range f.line.tracks {
			if t.voice > 0 {
				o.track[t.voice-1] = t.index + 1
			}
		}
	}
	return o
}

// Warnings are the things that were wrong with the file, one line each. The
// caller must not change them.
func (f *File) Warnings() []string { return f.warnings }

// Notes is how many note-ons the chosen line has, before any cleaning.
func (f *File) Notes() int { return f.line.notes }

// Tracks is how many tracks have notes, whichever are read.
func (f *File) Tracks() (n int) {
	for _, t := range f.scan.tracks {
		if t.parts > 0 {
			n++
		}
	}
	return n
}

// Length is the time of the end of the chosen tracks or of the last marker.
func (f *File) Length() time.Duration { return f.length }

// Bar is the bar and the beat of a time, both from 1; a beat is what the time
// signature counts. ok is false if the file states no time signature, or
// counts SMPTE frames: then bars would be made up. Before the first signature
// the time is 4/4 (RP-001).
func (f *File) Bar(at time.Duration) (bar int, beat float64, ok bool) {
	if !f.metre || at < 0 {
		return 0, 0, false
	}
	tick := f.clock.tick(at)
	i := sort.Search(len(f.meters), func(i int) bool { return float64(f.meters[i].tick) > tick })
	bar, beat = f.meters[max(0, i-1)].place(tick)
	return bar, beat, true
}

// Quarters is how many quarter notes lie before a time; at 120 a minute where
// the file counts SMPTE frames and knows no quarter notes.
func (f *File) Quarters(at time.Duration) float64 {
	if f.scan.division&0x8000 != 0 {
		return at.Seconds() * 1e6 / defaultTempo
	}
	return f.clock.tick(at) / float64(f.scan.division)
}

// Changes yields the file's tempi, the first at its start, and time signatures as
// meta messages (RP-001), each kind in order, with the quarter notes before it.
func (f *File) Changes() iter.Seq2[float64, []byte] {
	return func(yield func(float64, []byte) bool) {
		tempo := func(at float64, micro uint64) bool {
			return yield(at, []byte{0xFF, 0x51, 3, byte(micro >> 16), byte(micro >> 8), byte(micro)})
		}
		if f.scan.division&0x8000 != 0 {
			tempo(0, defaultTempo)
			return
		}
		quarter := float64(f.scan.division)
		for _, s := range f.clock.segments {
			if !tempo(float64(s.tick)/quarter, s.slope/uint64(time.Microsecond)) {
				return
			}
		}
		if !f.metre {
			return
		}
		for _, m := range f.meters {
			if !yield(float64(m.tick)/quarter, []byte{0xFF, 0x58, 4, byte(m.beats), byte(m.power), 24, 8}) {
				return
			}
		}
	}
}

// ctxEvents is how many events Run emits between two looks at the context:
// well under a millisecond.
const ctxEvents = 1024

// Run emits the chosen line with all markers and texts, as fast as emit takes
// them. It returns nil; damage has been told by Warnings.
func (f *File) Run(ctx context.Context, emit func(Event)) error {
	read := slices.Concat(f.line.tracks, f.line.beside)
	cs := make([]*cursor, 0, len(read))
	type reading struct {
		lineTrack
		strokes *strokes // nil where no release is looked at
	}
	of := make(map[int]reading, len(read))
	for i, t := range read {
		c := f.scan.cursor(t.index)
		c.first = i >= len(f.line.tracks)
		cs = append(cs, c)
		r := reading{lineTrack: t}
		if !c.first && !f.scan.take { // which is read as it was heard
			r.strokes = new(strokes)
		}
		of[t.index] = r
	}
	m := newMerge(cs)
	texts, hint := f.scan.texts, 0
	at := func(tick int64) time.Duration { return f.clock.at(tick, &hint) }
	send := func(at time.Duration, t lineTrack, msg [3]byte) {
		if f.line.voices == 0 {
			emit(Event{At: at, Kind: Message, Data: msg})
			return
		}
		for msg := range f.line.read(t, msg) {
			emit(Event{At: at, Kind: Message, Data: msg})
		}
	}
	later := func(tick int64) time.Duration { from := hint; return f.clock.at(tick, &from) }
	for n := 0; len(m) > 0 || len(texts) > 0; n++ {
		if n%ctxEvents == 0 && ctx.Err() != nil {
			return nil
		}
		if len(texts) > 0 && (len(m) == 0 || texts[0].before(m[0])) {
			t := texts[0]
			texts = texts[1:]
			if f.hears(t) {
				emit(Event{At: at(t.tick), Kind: t.kind, Text: fileText(f.scan.data[t.lo:t.hi])})
			}
			continue
		}
		c := m[0]
		if c.msg[0] != 0 && c.untaken() {
			t := of[c.track]
			channel := uint16(1) << (c.msg[0] & 0x0F)
			if !t.strokes.stale(c) && (t.channels&channel != 0 || t.controls&channel != 0 && c.msg[0] >= 0xA0) {
				now := at(c.tick)
				if !f.scan.take { // which is read as it was heard
					if bend, ok := c.bentAtOnce(now, later); ok {
						send(now, t.lineTrack, bend)
					}
				}
				send(now, t.lineTrack, c.msg)
			}
		}
		m.advance()
	}
	return nil
}

// before reports whether the text comes before the event that c has found: by
// tick, in one track by place, and otherwise first, since a text of another
// track names what begins there.
func (t textMark) before(c *cursor) bool {
	if t.tick != c.tick || int(t.track) != c.track {
		return t.tick <= c.tick
	}
	return int(t.lo) < c.pos
}

// fileText is a text of a file as UTF-8. RP-001 asks for ASCII; programs write
// UTF-8 or, older ones, Latin-1.
func fileText(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	r := make([]rune, len(b))
	for i, c := range b {
		r[i] = rune(c)
	}
	return string(r)
}
