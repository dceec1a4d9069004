package midiin

// strokes tells whose a release is where a key is struck again while it sounds. MIDI
// 1.0 wants a note-off for every note-on, and one string has one note: the stroke
// before ends there, and the first note-off is the one that it had left. A writer
// that leaves out the note-off of such a stroke has too few to come.
type strokes struct {
	sounding [16][128]bool
	owed     [16][128]uint16 // releases to come of strokes that others ended
	left     *[16][128]int32 // releases less strokes to come; nil until a key is struck again
}

// stale hears the event that c has found and reports whether it is the release of a
// stroke that is over. A nil one takes no release for that.
func (s *strokes) stale(c *cursor) bool {
	ch, key := c.msg[0]&0x0F, c.msg[1]
	kind := c.msg[0] >> 4
	if s == nil || kind != 0x8 && kind != 0x9 {
		return false
	}
	if s.left != nil {
		s.left[ch][key] += release(c)
	}
	owed := &s.owed[ch][key]
	switch {
	case c.noteOn():
		if s.sounding[ch][key] {
			if s.left == nil {
				s.left = toCome(*c)
			}
			if s.left[ch][key] > int32(*owed)+1 { // besides the one of this stroke
				*owed++
			}
		}
		s.sounding[ch][key] = true
	case *owed > 0:
		*owed--
		return true
	default:
		s.sounding[ch][key] = false
	}
	return false
}

// release is what an event of a key that has been found takes from what is to come.
func release(c *cursor) int32 {
	if c.noteOn() {
		return 1
	}
	return -1
}

// toCome is releases less strokes of each key behind where c is.
func toCome(c cursor) *[16][128]int32 {
	left := new([16][128]int32)
	for c.next() {
		if kind := c.msg[0] >> 4; kind == 0x8 || kind == 0x9 {
			left[c.msg[0]&0x0F][c.msg[1]] -= release(&c)
		}
	}
	return left
}
