package midiin

import "time"

// Status bytes of Standard MIDI File events that are no channel messages
// (RP-001).
const (
	statusSysEx  = 0xF0
	statusEscape = 0xF7
	statusMeta   = 0xFF
)

// Meta event types that matter here (RP-001).
const (
	metaText       = 0x01
	metaTrackName  = 0x03
	metaInstrument = 0x04
	metaMarker     = 0x06
	metaCue        = 0x07
	metaEnd        = 0x2F
	metaTempo      = 0x51
	metaMeter      = 0x58
)

// cursor walks the events of one track without copying. Every length is
// checked against what is left, so no byte can make it read or reserve more
// than the file holds.
type cursor struct {
	data   []byte // the whole file, so that positions are byte offsets in it
	pos    int
	end    int // first byte behind the track
	track  int
	first  bool // its events come first at one tick
	status byte // running status

	taken [16]int // by channel, the end of a bend that was taken before its turn

	// The event that next found.
	tick   int64
	msg    [3]byte // channel message; msg[0] is 0 for any other event
	meta   byte    // meta type; 0 if none
	lo, hi int     // meta data within data

	// Why next returned false.
	ended bool   // an End of Track was read
	fault string // what is wrong; "" if nothing
	at    int    // byte of the fault

	skipped   int // events that are no part of a file, or with broken data
	skippedAt int // byte of the first
}

// lengths of the data of channel messages by the high half of the status.
var dataLength = [16]uint8{0x8: 2, 0x9: 2, 0xA: 2, 0xB: 2, 0xC: 1, 0xD: 1, 0xE: 2}

// next moves to the next channel message or meta event and reports whether
// there is one.
func (c *cursor) next() bool {
	for {
		if c.pos >= c.end {
			return c.stop("has no End of Track", c.end)
		}
		start := c.pos
		delta := uint32(c.data[c.pos])
		c.pos++
		if delta >= 0x80 {
			c.pos--
			if !c.vlq(&delta) {
				return false
			}
		}
		if c.pos >= c.end {
			return c.stop("ends early", start)
		}
		c.tick += int64(delta)
		b := c.data[c.pos]
		if b < 0x80 {
			if c.status == 0 {
				return c.stop("is broken (data without a status)", c.pos)
			}
			b = c.status
		} else {
			c.pos++
		}
		switch {
		case b < statusSysEx:
			c.status = b
			n := int(dataLength[b>>4])
			if c.end-c.pos < n {
				return c.stop("ends early", start)
			}
			c.msg = [3]byte{b, c.data[c.pos], 0}
			if n == 2 {
				c.msg[2] = c.data[c.pos+1]
			}
			c.pos += n
			if (c.msg[1]|c.msg[2])&0x80 != 0 {
				c.skip(start)
				continue
			}
			c.meta = 0
			return true
		case b == statusMeta:
			if c.pos >= c.end {
				return c.stop("ends early", start)
			}
			kind := c.data[c.pos]
			c.pos++
			if !c.body(start) {
				return false
			}
			if kind == metaEnd {
				c.ended = true
				return false
			}
			c.msg[0], c.meta = 0, kind
			return true
		case b == statusSysEx || b == statusEscape:
			if !c.body(start) {
				return false
			}
		default:
			// System common and real-time messages are no events of a file
			// (RP-001 wants them escaped by F7); some writers leave them in.
			switch b {
			case 0xF1, 0xF3:
				c.pos++
			case 0xF2:
				c.pos += 2
			}
			c.skip(start)
		}
	}
}

// body takes the length and the bytes that follow it.
func (c *cursor) body(start int) bool {
	var n uint32
	if !c.vlq(&n) {
		return false
	}
	if int64(n) > int64(c.end-c.pos) {
		return c.stop("ends early", start)
	}
	c.lo, c.hi = c.pos, c.pos+int(n)
	c.pos = c.hi
	return true
}

// vlq reads a variable-length quantity: seven bits a byte, at most four bytes
// (RP-001).
func (c *cursor) vlq(v *uint32) bool {
	start := c.pos
	var x uint32
	for i := 0; i < 4; i++ {
		if c.pos >= c.end {
			return c.stop("ends early", start)
		}
		b := c.data[c.pos]
		c.pos++
		x = x<<7 | uint32(b&0x7F)
		if b < 0x80 {
			*v = x
			return true
		}
	}
	return c.stop("is broken (a number of more than four bytes)", start)
}

func (c *cursor) skip(at int) {
	if c.skipped == 0 {
		c.skippedAt = at
	}
	c.skipped++
}

func (c *cursor) stop(fault string, at int) bool {
	c.fault, c.at = fault, at
	return false
}

// noteOn reports whether the event is a note-on that sounds. Velocity 0 is a
// note-off (MIDI 1.0).
func (c *cursor) noteOn() bool { return c.msg[0]>>4 == 0x9 && c.msg[2] > 0 }

// A bend so soon after its note-on is how the note begins: programs write the two
// in either order, and converters one right after the other (ours). So many events
// behind the note-on are looked at for it.
const (
	bentSoon  = 5 * time.Millisecond
	bendAhead = 16
)

// bentAtOnce takes the bend with which the note that has been struck begins, if
// the track has one before the next note of the channel. It was struck at now; at is
// the time of a later tick.
func (c *cursor) bentAtOnce(now time.Duration, at func(tick int64) time.Duration) (bend [3]byte, ok bool) {
	if !c.noteOn() {
		return bend, false
	}
	channel := c.msg[0] & 0x0F
	ahead := *c
	for range bendAhead {
		if !ahead.next() {
			break
		}
		switch ahead.msg[0] {
		case 0x80 | channel, 0x90 | channel:
			return bend, false
		case 0xE0 | channel:
			if at(ahead.tick)-now > bentSoon {
				return bend, false
			}
			c.taken[channel] = ahead.pos
			return ahead.msg, true
		}
	}
	return bend, false
}

// untaken reports whether the event has not been taken before its turn.
func (c *cursor) untaken() bool { return c.pos != c.taken[c.msg[0]&0x0F] }

// merge yields the events of several cursors in order of time; at one tick in
// order of track, those that are to be first before, within a track as written. It
// is a binary heap.
type merge []*cursor

func newMerge(cs []*cursor) merge {
	m := merge(cs[:0])
	for _, c := range cs {
		if c.next() {
			m = append(m, c)
		}
	}
	for i := len(m)/2 - 1; i >= 0; i-- {
		m.down(i)
	}
	return m
}

// advance moves the first cursor on and restores the heap.
func (m *merge) advance() {
	h := *m
	if !h[0].next() {
		h[0] = h[len(h)-1]
		h = h[:len(h)-1]
		*m = h
	}
	if len(h) > 1 {
		h.down(0)
	}
}

func (m merge) less(i, j int) bool {
	a, b := m[i], m[j]
	switch {
	case a.tick != b.tick:
		return a.tick < b.tick
	case a.first != b.first:
		return a.first
	}
	return a.track < b.track
}

func (m merge) down(i int) {
	for {
		k := 2*i + 1
		if k >= len(m) {
			return
		}
		if k+1 < len(m) && m.less(k+1, k) {
			k++
		}
		if !m.less(k, i) {
			return
		}
		m[i], m[k] = m[k], m[i]
		i = k
	}
}

const maxTime = time.Duration(1<<63 - 1)
