package midiin

import (
	"fmt"
	"iter"
	"math/bits"
	"slices"
	"strconv"
	"strings"
)

// line is the bass line of a file: channels of one track or of several.
type line struct {
	tracks []lineTrack
	beside []lineTrack // tracks without notes, for the bends and controls of the line's channels
	notes  int
	drums  bool   // percussion is all that is read
	inTurn bool   // the channels are those of one voice in turn
	ten    bool   // channel 10 is read
	voices uint16 // channels as which tracks that share one are read
	text   string
	doubt  string // what is not read though it may belong to the line; "" if nothing
}

// lineTrack is what is read of one track.
type lineTrack struct {
	index    int
	voice    uint8  // channel, from 1, as which what it plays is read; 0 for its own
	channels uint16 // channels whose every message is read
	controls uint16 // channels of which everything but notes is read
}

func (l line) String() string { return l.text }

// only is the track of a line that has one.
func (l line) only() int {
	if len(l.tracks) == 0 {
		return 0
	}
	return l.tracks[0].index
}

// Limits of a line with one channel a string. Basses have four to six strings
// and some have more (common practice); overlap and range allow for a few
// notes read wrong.
const (
	mostStrings    = 8
	oneVoiceShare  = 0.03 // of notes that may be struck together with another
	inRangeShare   = 0.95
	maxStringParts = 64 // parts of different tracks looked at for a split line
)

// candidate is a line that might be the bass.
type candidate struct {
	parts   []int // within scan.parts
	strings bool  // one channel a string
	inTurn  bool  // one voice whose notes lie on channels in turn
}

// choose picks the line that o asks for.
func (s *scan) choose(o FileOptions) (line, error) {
	want := strings.TrimSpace(o.Track)
	if s.told = o.Strings.channels(); s.told != 0 {
		s.zones = [2]uint16{} // the player says what the channels are
	}
	if !s.take && s.told == 0 {
		s.share()
		s.tenth()
	}
	if want == "" || want == "auto" {
		if s.take {
			return s.everything(), nil
		}
		return s.best(anyTrack, ""), nil
	}
	if n, err := strconv.Atoi(want); err == nil {
		if n < 1 || n > len(s.tracks) {
			return line{}, fmt.Errorf("track %d does not exist: %s", n, s.list())
		}
		if s.tracks[n-1].parts == 0 {
			return line{}, fmt.Errorf("track %d has no notes: %s", n, s.list())
		}
		return s.best(func(t int) bool { return t == n-1 }, asked), nil
	}
	return s.named(want)
}

// asked is the reason for what the player named.
const asked = "asked for"

// named finds the tracks or channels whose name is want, or else has it in it.
func (s *scan) named(want string) (line, error) {
	has := func(name string) bool { return strings.Contains(strings.ToLower(name), strings.ToLower(want)) }
	var tracks []int
	for i := range s.tracks {
		if s.tracks[i].parts > 0 && has(s.trackName(i)) {
			tracks = append(tracks, i)
		}
	}
	other := func(t int) bool { return !strings.EqualFold(s.trackName(t), want) }
	if exact := slices.DeleteFunc(slices.Clone(tracks), other); len(exact) > 0 {
		tracks = exact
	}
	if len(tracks) == 0 { // a channel of a file without names
		for i := range s.parts {
			if fmt.Sprintf("channel %d", s.parts[i].channel+1) == strings.ToLower(want) {
				l := s.line(candidate{parts: []int{i}}, asked)
				l.doubt = ""
				return l, nil
			}
		}
		return line{}, fmt.Errorf("no track with notes is called %q: %s", want, s.list())
	}
	in := func(t int) bool { return slices.Contains(tracks, t) }
	if len(tracks) == 1 {
		return s.best(in, asked), nil
	}
	for c := range s.candidates(in) {
		if c.strings {
			if l := s.line(c, asked); len(l.tracks) == len(tracks) {
				return l, nil
			}
		}
	}
	return line{}, fmt.Errorf("%q is the name of %d tracks, give a number: %s", want, len(tracks), s.listOf(in))
}

// everything is the line of this program's own recordings.
func (s *scan) everything() line {
	l := line{text: "a recording of this program, all of it"}
	for i := range s.tracks {
		l.tracks = append(l.tracks, lineTrack{index: i, channels: 0xFFFF})
	}
	for _, p := range s.parts {
		l.notes += int(p.notes)
	}
	return l
}

// candidates yields the parts of the tracks that in takes, one by one, and
// together where they look like the strings of one instrument. A candidate's
// parts are only good until the next one.
func (s *scan) candidates(in func(track int) bool) iter.Seq[candidate] {
	return func(yield func(candidate) bool) {
		may := ^uint16(1 << percussion)
		for _, p := range s.parts {
			if s.told&(1<<p.channel) != 0 && in(int(p.track)) {
				may = s.told
			}
		}
		var parts []int // of one track
		of := func(t int) []int {
			parts = parts[:0]
			for i := s.tracks[t].firstPart; in(t) && i < s.tracks[t].firstPart+s.tracks[t].parts; i++ {
				if ch := uint16(1) << s.parts[i].channel; may&ch != 0 || s.parts[i].strung || s.tracks[t].parts > 1 && s.inZone(ch) {
					parts = append(parts, i)
				}
			}
			return parts
		}
		var split []int // alone in their track
		for t := range s.tracks {
			if parts := of(t); len(parts) == 1 && len(split) < maxStringParts && s.format != 2 {
				split = append(split, parts[0])
			}
		}
		lines, strung := s.splitLines(split)
		for t := range s.tracks {
			parts := of(t)
			all := ensemble{scan: s, parts: parts}
			zone := s.zone(parts)
			like := !zone && s.likeStrings(&all)
			turns := !zone && !like && s.inTurn(&all)
			together := zone || like || turns
			if together && !yield(candidate{parts: parts, strings: like, inTurn: turns}) {
				return
			}
			for k, i := range parts {
				if !together && !slices.Contains(strung, i) && !yield(candidate{parts: parts[k : k+1]}) {
					return
				}
			}
		}
		for _, c := range lines {
			if !yield(c) {
				return
			}
		}
	}
}

// drums yields the parts on the percussion channel.
func (s *scan) drums(in func(track int) bool) iter.Seq[candidate] {
	return func(yield func(candidate) bool) {
		for i := range s.parts {
			if p := &s.parts[i]; p.channel == percussion && in(int(p.track)) && !yield(candidate{parts: []int{i}}) {
				return
			}
		}
	}
}

// likeStrings reports whether the parts of e look like one instrument with a channel
// a string: few channels near each other, one voice each and together what one hand
// can play, and no two programs; channels without one say nothing, since some
// exporters set it on the first alone. Channels that the player named are strings
// whatever they look like.
func (s *scan) likeStrings(e *ensemble) bool {
	parts := e.parts
	if len(parts) < 2 || len(parts) > mostStrings {
		return false
	}
	var channels uint16
	var notes, inRange int32
	program := s.program(parts)
	for _, i := range parts {
		p := &s.parts[i]
		notes += p.notes
		inRange += p.inRange
		switch {
		case channels&(1<<p.voice) != 0:
			return false
		case s.told&(1<<p.channel) != 0:
		case p.program >= 0 && p.program != program,
			float64(p.together) > oneVoiceShare*float64(p.notes)+1:
			return false
		}
		channels |= 1 << p.voice
	}
	if s.told != 0 && channels&^s.told == 0 {
		return true
	}
	if float64(inRange) < inRangeShare*float64(notes)-1 ||
		16-bits.LeadingZeros16(channels)-bits.TrailingZeros16(channels) > mostStrings {
		return false
	}
	return e.oneHand()
}

// zone reports whether parts share an MPE zone.
func (s *scan) zone(parts []int) bool {
	var channels uint16
	for _, i := range parts {
		channels |= 1 << s.parts[i].channel
	}
	return len(parts) > 1 && s.inZone(channels)
}

// inZone reports whether channels are all of one MPE zone.
func (s *scan) inZone(channels uint16) bool {
	return channels&^s.zones[0] == 0 || channels&^s.zones[1] == 0
}

// leastTurns is how many channels take turns at least: two may be two parts of a
// band that answer each other.
const leastTurns = 3

// inTurn reports whether the parts of e are one voice whose notes lie on channels in
// turn, as MPE gives them out also where the file tells of no zone: no two programs,
// in the range of basses, and hardly a note sounds with another.
func (s *scan) inTurn(e *ensemble) bool {
	parts := e.parts
	if s.told != 0 || len(parts) < leastTurns {
		return false
	}
	program := s.program(parts)
	var notes, inRange int32
	for _, i := range parts {
		p := &s.parts[i]
		if p.program >= 0 && p.program != program {
			return false
		}
		notes += p.notes
		inRange += p.inRange
	}
	return float64(inRange) >= inRangeShare*float64(notes)-1 && e.oneVoice()
}

// program is the first that parts have, from 0; -1 if none.
func (s *scan) program(parts []int) int16 {
	for _, i := range parts {
		if p := s.parts[i].program; p >= 0 {
			return p
		}
	}
	return -1
}

func (p *part) mean() float64 { return float64(p.sum) / float64(p.notes) }

// line turns a candidate into what is read, with the reason in words.
func (s *scan) line(c candidate, why string) line {
	l := line{inTurn: c.inTurn}
	var channels uint16
	for _, i := range c.parts {
		p := &s.parts[i]
		l.notes += int(p.notes)
		channels |= 1 << p.channel
		if n := len(l.tracks); n > 0 && l.tracks[n-1].index == int(p.track) {
			l.tracks[n-1].channels |= 1 << p.channel
		} else {
			l.tracks = append(l.tracks, lineTrack{index: int(p.track), channels: 1 << p.channel})
		}
	}
	global := uint16(0)
	shared := c.strings && s.shared(c.parts)
	switch {
	case shared:
		for k, i := range c.parts {
			l.tracks[k].voice = s.parts[i].voice + 1
			l.voices |= 1 << s.parts[i].voice
		}
	case c.strings:
		// MIDI 1.0, mode 4: what holds for all strings comes on the channel
		// below the first.
		global = uint16(1) << ((bits.TrailingZeros16(channels) + 15) % 16)
	case s.inZone(channels):
		global = s.zones[0] | s.zones[1]
	}
	global &^= channels
	for i := range l.tracks {
		l.tracks[i].controls = global
	}
	for t := range s.tracks {
		if s.tracks[t].parts == 0 && s.format == 1 {
			l.beside = append(l.beside, lineTrack{index: t, controls: channels | global})
		}
	}
	var at []string
	for _, t := range l.tracks {
		at = append(at, s.trackLabel(t.index))
	}
	text := strings.Join(at, ", ")
	if len(l.tracks) > 1 || len(s.partsOf(l.tracks[0].index)) > 1 {
		text += " " + channelLabel(channels)
	}
	l.ten = channels&(1<<percussion) != 0
	if l.drums = channels == 1<<percussion && s.told&channels == 0; l.drums {
		why = "percussion, nothing else has notes"
		if slices.ContainsFunc(s.parts, func(p part) bool { return p.channel != percussion }) {
			why = asked + ", percussion"
		}
	}
	l.text = text + ": " + why + s.unread(l)
	if l.doubt = s.doubt(c, channels); l.doubt == "" && !strings.HasPrefix(why, asked) {
		l.doubt = s.sharers(c)
	}
	return l
}
