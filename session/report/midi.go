package report

import (
	"cmp"
	"fmt"
	"iter"
	"math"
	"slices"
	"strconv"
	"time"

	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"stillhand/session"
	"stillhand/session/store"
)

// The written file has a take's ticks: at 120 a minute one for each tenth of a
// millisecond, which is what a review tells times to. At other tempi times are off
// by up to half a tick, 1 ms at 6 a minute.
const (
	// midiEnd is where a line ends whatever comes later: 318 days at 120 a minute,
	// and at most some thousand deltas. Even at the slowest tempo of a file, 16.8
	// seconds a quarter note, times that seconds cannot hold lie behind it.
	midiEnd      = 1 << 38
	midiProgram  = 33 // General MIDI 34, electric bass (finger), counted from 0
	midiVelocity = 80 // where the review does not tell
)

// Order of events on one tick: what holds from there on, releases, what is said of
// the next note, the note.
const (
	orderHead = iota
	orderOff
	orderText
	orderOn
)

type midiEvent struct {
	tick    int64
	order   int
	message []byte
}

// Grid is the measure that a recording gives its times. Quarters is how many
// quarter notes lie before a time; Changes yields the tempi and time signatures
// as meta messages, with the quarter notes before each.
type Grid interface {
	Quarters(at time.Duration) float64
	Changes() iter.Seq2[float64, []byte]
}

// MIDI is the line again as a Standard MIDI File of format 0: its notes, a
// marker at every shift ("shift 3 to 5 sure", "shift 3? to 5? likely 0.62"), the
// take's marks as markers, and a lyric at every note with its finger, 0 for
// an open string. A question mark is that of Text's shifts after a position, and
// after a finger says that the hand or the place is not sure.
//
// Where the input told the strings, string s goes to channel s, so that the
// file can be read back with them; inferred strings all share channel 1, for a
// guess must not come back as a fact. A note still sounding when the same
// pitch is struck on its channel ends there. The file lies on grid, the
// recording's own, so that its bars are those of the recording. What comes after
// midiEnd is left out, and a text at the end says so.
func MIDI(r *session.Review, grid Grid) ([]byte, error) {
	events := []midiEvent{
		{0, orderHead, smf.MetaTrackSequenceName(plain(r.Source))},
	}
	tick := func(s float64) int64 {
		if s > math.MaxInt32 { // no time to seconds
			return midiEnd
		}
		return midiTick(grid.Quarters(seconds(s)))
	}
	late := 0
	channels := map[uint8]bool{}
	lastOff := map[[2]uint8]int{} // channel and key to index in events
	for i, n := range r.Notes {
		if n.Pitch < 0 || !(n.At >= 0) || math.IsInf(n.At, 0) {
			return nil, fmt.Errorf("midi: note %d: pitch %d at %g s cannot be written", i, n.Pitch, n.At)
		}
		on := tick(n.At)
		if on == midiEnd {
			late++
			continue
		}
		channel := uint8(0)
		if r.Input.Strings == "known" && n.String >= 1 && n.String <= 16 {
			channel = uint8(n.String - 1)
		}
		channels[channel] = true
		off := max(on+1, tick(n.Off))
		key := [2]uint8{channel, uint8(n.Pitch)}
		if at, ok := lastOff[key]; ok && events[at].tick > on {
			events[at].tick = on
		}
		velocity := uint8(midiVelocity)
		if n.Velocity > 0 {
			velocity = uint8(n.Velocity)
		}
		events = append(events,
			midiEvent{on, orderText, smf.MetaLyric(fingerLyric(r, n))},
			midiEvent{on, orderOn, midi.NoteOn(channel, uint8(n.Pitch), velocity)},
			midiEvent{off, orderOff, midi.NoteOff(channel, uint8(n.Pitch))})
		lastOff[key] = len(events) - 1
	}
	if r.Input.Strings == "known" {
		// MIDI 1.0, mode 4: omni off, then mono with the number of channels, so
		// that the strings are told to whoever reads this.
		events = append(events,
			midiEvent{0, orderOff, midi.ControlChange(0, midi.OmniModeOff, 0)},
			midiEvent{0, orderOff, midi.ControlChange(0, midi.MonoOperation, uint8(min(16, len(r.Neck.Strings))))})
	}
	for channel := range uint8(16) {
		if channels[channel] {
			events = append(events, midiEvent{0, orderOff, midi.ProgramChange(channel, midiProgram)})
		}
	}
	marker := func(at float64, text string) {
		if on := tick(at); on < midiEnd {
			events = append(events, midiEvent{on, orderText, smf.MetaMarker(text)})
		} else {
			late++
		}
	}
	for _, s := range r.Shifts {
		marker(s.At, shiftMarker(r, s))
	}
	for _, m := range r.Marks {
		marker(m.At, plain("mark "+m.Text))
	}
	last := slices.MaxFunc(events, func(a, b midiEvent) int { return cmp.Compare(a.tick, b.tick) }).tick
	if late > 0 {
		events = append(events, midiEvent{last, orderOn, smf.MetaText(fmt.Sprintf("notes and markers too late for this file, left out: %d", late))})
	}
	for quarters, message := range grid.Changes() {
		if at := midiTick(quarters); at <= last { // a tempo after the last note would only make the file long
			events = append(events, midiEvent{at, orderHead, message})
		}
	}
	slices.SortStableFunc(events, func(a, b midiEvent) int {
		return cmp.Or(cmp.Compare(a.tick, b.tick), cmp.Compare(a.order, b.order))
	})
	return midiFile(events)
}

func midiFile(events []midiEvent) ([]byte, error) {
	var track store.Track
	for _, e := range events {
		track.Add(e.tick, e.message)
	}
	data, err := track.File()
	if err != nil {
		return nil, fmt.Errorf("midi: %w", err)
	}
	return data, nil
}

// midiTick is the tick after so many quarter notes, from 0 to midiEnd.
func midiTick(quarters float64) int64 {
	return int64(math.Round(min(max(0, quarters)*store.TicksPerQuarter, midiEnd)))
}

func fingerLyric(r *session.Review, n session.ReviewNote) string {
	s := strconv.Itoa(int(n.Finger))
	if fingerUnsure(r, n) {
		s += "?"
	}
	return s
}

func shiftMarker(r *session.Review, s session.ReviewShift) string {
	return fmt.Sprintf("shift %s to %s %s", fromText(r, s), toText(r, s), kindText(s))
}
