package score

import (
	"slices"

	"gitlab.com/gomidi/midi/v2"
)

const bendCentre = 8192 // 2000H of 14 bits (MIDI 1.0 Detailed Specification)

// messages turns sounds into channel messages, and adds to twice the second
// strikes that the converter invents.
func (s *Score) messages(p *Part, line []sound) (events []event, twice []sound) {
	add := func(tick, order int, msg midi.Message) {
		events = append(events, event{tick, order, msg})
	}
	base := map[int]int{} // channel to the pitch of the note-on that still sounds
	for i, n := range line {
		if n.Kind == Missing {
			continue
		}
		ch := uint8(n.channel)
		if n.held {
			s.glide(n, base[n.channel], add)
		} else {
			base[n.channel] = n.Pitch
			add(n.on, strike, midi.NoteOn(ch, uint8(n.Pitch), uint8(s.velocity(i, n))))
		}
		if n.Double {
			again := n
			again.Kind = Twice
			again.on = n.on + s.ticksFor(24000+spread(i, 8000), n.on)
			twice = append(twice, again)
			add(again.on, release, midi.NoteOff(ch, uint8(n.Pitch)))
			add(again.on, strike, midi.NoteOn(ch, uint8(n.Pitch), uint8(s.velocity(i, n)-25)))
		}
		if n.Vibrato {
			s.shake(n, base[n.channel], add)
		}
		if !n.dies {
			add(n.off, release, midi.NoteOff(ch, uint8(base[n.channel])))
			if n.held || n.Vibrato {
				add(n.off, bend, midi.Pitchbend(ch, 0))
			}
		}
	}
	slices.SortStableFunc(events, func(a, b event) int {
		if a.tick != b.tick {
			return a.tick - b.tick
		}
		return a.order - b.order
	})
	return events, twice
}

// glide bends from the note before to n, arriving at n's onset: 60 ms and 15 ms
// a fret on the way, a bend every 5 ms.
func (s *Score) glide(n sound, from int, add func(int, int, midi.Message)) {
	far := max(n.slid, -n.slid)
	ticks := s.ticksFor(60000+15000*far, n.on)
	steps := 12 + 3*far
	start := (n.Pitch - n.slid - from) * bendCentre
	for k := 1; k <= steps; k++ {
		value := (start + n.slid*bendCentre*k/steps) / s.BendRange
		add(n.on-ticks+ticks*k/steps, bend, midi.Pitchbend(uint8(n.channel), int16(value)))
	}
}

// shake is a vibrato of 20 cents to either side, about five a second, from
// 150 ms after the onset.
func (s *Score) shake(n sound, from int, add func(int, int, midi.Message)) {
	wave := [12]int{7, 14, 18, 20, 18, 14, 7, -4, -12, -16, -12, -4} // cents, sharper than flat as fingers are
	centre := (n.Pitch - from) * 100
	step := s.ticksFor(16000, n.on)
	for k, t := 0, n.on+s.ticksFor(150000, n.on); t < n.off-step; k, t = k+1, t+step {
		value := (centre + wave[k%len(wave)]) * bendCentre / (100 * s.BendRange)
		add(t, bend, midi.Pitchbend(uint8(n.channel), int16(value)))
	}
}

// setUp is what a part sends before its first note: on strings, mode 4 (omni
// off, one voice for each of four channels), the program and the bend range.
func (s *Score) setUp(p *Part) []midi.Message {
	var msgs []midi.Message
	channels := 1
	if p.Strings {
		channels = len(openPitch)
		msgs = append(msgs, midi.ControlChange(uint8(p.Channel), 124, 0),
			midi.ControlChange(uint8(p.Channel), 126, uint8(channels)))
	}
	for ch := uint8(p.Channel); ch < uint8(p.Channel+channels); ch++ {
		if p.Program >= 0 {
			msgs = append(msgs, midi.ProgramChange(ch, uint8(p.Program)))
		}
		if s.BendRange > 0 {
			msgs = append(msgs, midi.ControlChange(ch, 101, 0), midi.ControlChange(ch, 100, 0),
				midi.ControlChange(ch, 6, uint8(s.BendRange)), midi.ControlChange(ch, 38, 0),
				midi.ControlChange(ch, 101, 127), midi.ControlChange(ch, 100, 127))
		}
	}
	return msgs
}
