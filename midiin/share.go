package midiin

import (
	"fmt"
	"iter"
	"math/bits"
	"slices"
	"strconv"
	"strings"
)

// share gives tracks that share a channel, and are named as the strings of one
// instrument, a channel each to be read as, from the first on. Without such names
// they may as well be parts of one line one after the other.
func (s *scan) share() {
	for g := range s.namesakes(s.lone()) {
		on := s.parts[g.parts[0]].channel
		other := func(i int) bool { return s.parts[i].channel != on }
		if on == percussion || len(g.parts) < 2 || len(g.parts) > mostStrings || slices.ContainsFunc(g.parts, other) {
			continue
		}
		for k, i := range g.parts {
			s.parts[i].voice = uint8(k)
		}
		like := s.likeStrings(&ensemble{scan: s, parts: g.parts})
		slices.Sort(g.named)
		if like && g.strings && len(slices.Compact(g.named)) == len(g.parts) {
			continue
		}
		for _, i := range g.parts {
			s.parts[i].voice = on
		}
		if like && len(g.parts) > 2 {
			s.sharing = append(s.sharing, g.parts)
		}
	}
}

// shared reports whether parts are strings whose tracks share a channel.
func (s *scan) shared(parts []int) bool {
	return slices.ContainsFunc(parts, func(i int) bool { return s.parts[i].voice != s.parts[i].channel })
}

// sharers says which tracks share the channel of c and may be strings with it, though
// their names do not say so; "" if none do.
func (s *scan) sharers(c candidate) string {
	for _, parts := range s.sharing {
		if len(c.parts) > 1 || !slices.Contains(parts, c.parts[0]) {
			continue
		}
		var tracks []string
		notes := 0
		for _, i := range parts {
			if i != c.parts[0] {
				tracks = append(tracks, strconv.Itoa(int(s.parts[i].track)+1))
				notes += int(s.parts[i].notes)
			}
		}
		return fmt.Sprintf("tracks %s (%s) share channel %d with track %d and are not read: if these are strings of one bass, name each track after its string, as \"Bass E\" and \"Bass A\"",
			strings.Join(tracks, ", "), plural(notes, "note"), s.parts[c.parts[0]].channel+1, s.parts[c.parts[0]].track+1)
	}
	return ""
}

// read is msg, of t, as it is read where tracks share a channel: what sounds on a
// track with a voice of its own is that voice's, anything else holds for all of them.
func (l *line) read(t lineTrack, msg [3]byte) iter.Seq[[3]byte] {
	return func(yield func([3]byte) bool) {
		on := func(ch int) [3]byte { return [3]byte{msg[0]&0xF0 | byte(ch), msg[1], msg[2]} }
		if kind := msg[0] >> 4; t.voice > 0 && (kind <= 0xA || kind == 0xE) {
			yield(on(int(t.voice) - 1))
			return
		}
		for left := l.voices; left != 0 && yield(on(bits.TrailingZeros16(left))); left &= left - 1 {
		}
	}
}
