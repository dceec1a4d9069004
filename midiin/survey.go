package midiin

import (
	"bytes"
	"fmt"
	"slices"
)

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
		case 0xB:
			s.wheels.control(ch, int(c.msg[1]), int(c.msg[2]))
			s.zones[0] |= s.wheels.zone(lowerManager)
			s.zones[1] |= s.wheels.zone(upperManager)
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
				*p = part{track: int32(index), channel: ch, voice: ch, low: pitch, high: pitch, program: -1}
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
	t.bass = bassName(s.trackName(index))
	t.firstPart = len(s.parts)
	for ch := range parts {
		if used&(1<<ch) == 0 {
			continue
		}
		s.parts = append(s.parts, parts[ch])
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
	if p.pitches <= fewPitches && !slices.Contains(p.few[:min(p.pitches, fewPitches)], pitch) {
		if p.pitches < fewPitches {
			p.few[p.pitches] = pitch
		}
		p.pitches++
	}
	p.low, p.high = min(p.low, pitch), max(p.high, pitch)
	if pitch >= lowestBass && pitch <= highestBass {
		p.inRange++
	}
	if together {
		p.together++
	}
	p.playedWith(program, 1)
}

// playedWith counts notes under a program.
func (p *part) playedWith(program int16, notes int32) {
	if isBassProgram(program) {
		p.program = program
		p.bass += notes
	} else if p.program < 0 {
		p.program = program
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
			s.take = s.take || bytes.HasPrefix(body, []byte(takeText))
		}
		s.texts = append(s.texts, textMark{tick: c.tick, lo: uint32(c.lo), hi: uint32(c.hi), track: uint16(c.track), kind: kind})
	case metaTempo:
		if len(body) < 3 {
			return
		}
		micro := uint32(body[0])<<16 | uint32(body[1])<<8 | uint32(body[2])
		if micro > 0 {
			s.tempi = append(s.tempi, tempoChange{c.tick, micro, uint16(c.track)})
		}
	case metaMeter:
		if len(body) < 2 || body[0] == 0 || body[1] > meterLimit {
			return
		}
		s.meters = append(s.meters, meterChange{c.tick, body[0], body[1], uint16(c.track)})
	}
}
