package midiin

import (
	"fmt"
	"math/bits"
	"slices"
	"strconv"
	"strings"
)

func (s *scan) partsOf(track int) []part {
	t := &s.tracks[track]
	return s.parts[t.firstPart : t.firstPart+t.parts]
}

func channelLabel(channels uint16) string {
	var cs []string
	for ch := 0; ch < 16; ch++ {
		if channels&(1<<ch) != 0 {
			cs = append(cs, strconv.Itoa(ch+1))
		}
	}
	if len(cs) == 1 {
		return "channel " + cs[0]
	}
	return "channels " + strings.Join(cs, ", ")
}

// trackName is the name of a track as the file gives it, or that of its
// instrument; some programs end it with a zero byte.
func (s *scan) trackName(i int) string {
	t := &s.tracks[i]
	name := fileText(s.data[t.nameLo:min(t.nameHi, t.nameLo+longestName)])
	return strings.TrimSpace(strings.TrimRight(name, "\x00"))
}

// maxName is how much of a name a line of text shows, longestName how much of
// it is looked at.
const (
	maxName     = 40
	longestName = 1024
)

// trackLabel is a track's number and name, quoted.
func (s *scan) trackLabel(i int) string {
	name := s.trackName(i)
	if name == "" {
		return fmt.Sprintf("track %d", i+1)
	}
	if r := []rune(name); len(r) > maxName {
		name = string(r[:maxName]) + "…"
	}
	return fmt.Sprintf("track %d %q", i+1, name)
}

// maxListed is how many tracks an error lists.
const maxListed = 16

// list names the tracks that have notes, for errors.
func (s *scan) list() string { return s.listOf(anyTrack) }

// anyTrack is a choice of all tracks.
func anyTrack(int) bool { return true }

// listOf is list of the tracks that in takes.
func (s *scan) listOf(in func(track int) bool) string {
	var of []string
	more := 0
	for i := range s.tracks {
		parts := s.partsOf(i)
		if len(parts) == 0 || !in(i) {
			continue
		}
		if len(of) == maxListed {
			more++
			continue
		}
		var channels uint16
		notes := 0
		for _, p := range parts {
			channels |= 1 << p.channel
			notes += int(p.notes)
		}
		of = append(of, fmt.Sprintf("%s (%s, %s)", s.trackLabel(i), channelLabel(channels), plural(notes, "note")))
	}
	if more > 0 {
		of = append(of, fmt.Sprintf("and %d more", more))
	}
	if len(of) == 0 {
		return "no track has a note"
	}
	return "choose " + strings.Join(of, ", ")
}

// mostNamed is how many of the tracks that are not read a line of text names.
const mostNamed = 4

// unread says in words which notes of the file are not in l.
func (s *scan) unread(l line) string {
	var channels uint16 // of the tracks of l
	notes, others := 0, 0
	var tracks []string
	for t := range s.tracks {
		i := slices.IndexFunc(l.tracks, func(lt lineTrack) bool { return lt.index == t })
		for _, p := range s.partsOf(t) {
			switch {
			case i < 0:
				others += int(p.notes)
			case l.tracks[i].channels&(1<<p.channel) == 0:
				channels |= 1 << p.channel
				notes += int(p.notes)
			}
		}
		if i < 0 && s.tracks[t].parts > 0 {
			tracks = append(tracks, s.trackLabel(t))
		}
	}
	var not []string
	if channels != 0 {
		not = append(not, fmt.Sprintf("%s (%s)", channelLabel(channels), plural(notes, "note")))
	}
	if n := len(tracks); n > 0 {
		told := strings.Join(tracks[:min(n, mostNamed)], ", ")
		if n > mostNamed {
			told += fmt.Sprintf(" and %d more", n-mostNamed)
		}
		not = append(not, fmt.Sprintf("%s: %s (%s)", plural(n, "other track"), told, plural(others, "note")))
	}
	if not == nil {
		return ""
	}
	return "; not read: " + strings.Join(not, ", ")
}

// doubt says what of the track of c, a line on channels, is not read though no
// program tells it apart and all could be one instrument's strings; "" where
// the player chose the channels.
func (s *scan) doubt(c candidate, channels uint16) string {
	track := int(s.parts[c.parts[0]].track)
	program := s.program(c.parts)
	if s.told != 0 || channels == 1<<percussion {
		return ""
	}
	var left uint16
	notes := 0
	for _, p := range s.partsOf(track) {
		same := p.program < 0 || program < 0 || p.program == program
		if channels&(1<<p.channel) == 0 && p.channel != percussion && same {
			left |= 1 << p.channel
			notes += int(p.notes)
		}
	}
	if left == 0 || bits.OnesCount16(left|channels) > mostStrings {
		return ""
	}
	it := "it"
	if left&(left-1) != 0 {
		it = "them"
	}
	return fmt.Sprintf("track %d: %s (%s) not read, though no program tells %s from what is read: if these are strings of one bass, name all its channels with --strings, as channel=string pairs", track+1, channelLabel(left), plural(notes, "note"), it)
}
