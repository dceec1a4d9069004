package score

import (
	"bytes"
	"fmt"
	"slices"

	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"
)

// Write plays the score. It returns the Standard MIDI File and the truth about
// the hand of the first part that has places, as CSV; truth is nil when no
// part has any.
func (s *Score) Write() (file, truth []byte, err error) {
	conductor := s.conductor()
	tracks := [][]event{conductor}
	for _, p := range s.Parts {
		line := s.play(p)
		events, twice := s.messages(p, line)
		var setUp []event
		if s.Format == 1 {
			setUp = append(setUp, event{msg: smf.MetaTrackSequenceName(p.Name)})
		}
		for _, m := range s.setUp(p) {
			setUp = append(setUp, event{msg: m})
		}
		tracks = append(tracks, append(setUp, events...))
		if truth == nil && slices.ContainsFunc(line, func(n sound) bool { return n.String != 0 }) {
			truth = s.truth(append(line, twice...))
		}
	}
	out := smf.NewSMF1()
	if s.Format == 0 {
		out = smf.New()
		all := slices.Concat(tracks...)
		slices.SortStableFunc(all, func(a, b event) int { return a.tick - b.tick })
		tracks = [][]event{all}
	}
	out.TimeFormat = smf.MetricTicks(TicksPerQuarter)
	for _, events := range tracks {
		if err := out.Add(track(events)); err != nil {
			return nil, nil, fmt.Errorf("%s: %w", s.Title, err)
		}
	}
	file, err = out.Bytes()
	return file, truth, err
}

func (s *Score) conductor() []event {
	events := []event{{msg: smf.MetaTrackSequenceName(s.Title)}}
	for _, m := range s.Metres {
		events = append(events, event{tick: m.Tick, msg: smf.MetaTimeSig(uint8(m.Numerator), uint8(m.Denominator), 24, 8)})
	}
	for _, t := range s.Tempi {
		us := t.Micros // written out: a whole number of microseconds, with no float on the way
		events = append(events, event{tick: t.Tick, msg: []byte{0xFF, 0x51, 3, byte(us >> 16), byte(us >> 8), byte(us)}})
	}
	for _, m := range s.Marks {
		events = append(events, event{tick: m.Tick, msg: smf.MetaMarker(m.Text)})
	}
	slices.SortStableFunc(events, func(a, b event) int { return a.tick - b.tick })
	return events
}

func track(events []event) smf.Track {
	var t smf.Track
	at := 0
	for _, e := range events {
		t.Add(uint32(e.tick-at), midi.Message(e.msg))
		at = e.tick
	}
	t.Close(TicksPerQuarter) // a quarter of silence, so that the last release is not the end
	return t
}

// truth writes one row for each sound, in the order of the file. The columns
// stand in testdata/README.md.
func (s *Score) truth(line []sound) []byte {
	slices.SortStableFunc(line, func(a, b sound) int { return a.on - b.on })
	var b bytes.Buffer
	b.WriteString("note,at_ms,heard_ms,off_ms,pitch,string,fret,finger,position,shift,slide,kind\n")
	index := 0
	for _, n := range line {
		number, shift := -1, 0
		if n.Kind == Played || n.Kind == Wrong || n.Kind == Extra {
			number, index = index, index+1
			if n.shift != 0 {
				shift = 1
			}
		}
		fmt.Fprintf(&b, "%d,%s,%s,%s,%d,%d,%d,%d,%d,%d,%d,%s\n", number,
			ms(s.microsAt(n.struck)), ms(s.microsAt(n.on)), ms(s.microsAt(n.off)),
			n.Pitch, n.String, n.Fret, n.Finger, n.Position, shift, n.slid, n.Kind)
	}
	return b.Bytes()
}

func ms(micros int) string { return fmt.Sprintf("%d.%03d", micros/1000, micros%1000) }
