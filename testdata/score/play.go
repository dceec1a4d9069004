package score

import (
	"cmp"
	"slices"
)

// event is one channel message at a tick. At one tick releases come first,
// then bends, then strikes.
type event struct {
	tick  int
	order int
	msg   []byte
}

const (
	release = iota
	bend
	strike
)

// sound is one note as played, in ticks.
type sound struct {
	Note
	channel int
	struck  int // when the finger struck it, or the slide arrived
	on, off int // what the file says
	slid    int // semitones slid into it, signed
	held    bool
	dies    bool // the finger slides on: no release of its own
	shift   int  // frets that the hand moved for it, signed
}

// play turns a part into sounds: a human's timing and touch instead of the
// score's, by formula.
func (s *Score) play(p *Part) []sound {
	var line, ghosts []sound
	for _, n := range p.Notes {
		v := sound{Note: n, channel: p.Channel}
		if p.Strings {
			v.channel += n.String - 1
		}
		if n.Kind == Ghost {
			ghosts = append(ghosts, v)
		} else {
			line = append(line, v)
		}
	}
	s.strike(line)
	s.release(line)
	s.slides(line)
	if s.Pickup {
		s.late(line)
	}
	for i := range ghosts {
		g := &ghosts[i]
		g.struck = g.Tick
		g.on = g.Tick
		g.off = g.on + s.ticksFor(16000+spread(i, 12000), g.on)
	}
	line = append(line, ghosts...)
	slices.SortStableFunc(line, func(a, b sound) int { return cmp.Or(a.on-b.on, b.String-a.String) })
	return line
}

// spread is the i-th of a sequence of whole numbers that fills 0..width-1
// evenly and never repeats soon: multiples of 987/1597, two Fibonacci numbers,
// close to the golden section.
func spread(i, width int) int { return i * 987 % 1597 * width / 1597 }

// strike sets the onsets: from 6 ms early to 10 ms late; the strings of one
// grip 6 ms apart, the lowest first. It also finds the hand's shifts.
func (s *Score) strike(line []sound) {
	group, position := -1, 0
	for i := range line {
		n := &line[i]
		if i == 0 || n.Tick != line[i-1].Tick {
			group++
			n.struck = max(0, n.Tick+s.ticksFor(spread(group, 16000)-6000, n.Tick))
		} else {
			n.struck = line[i-1].struck + s.ticksFor(6000, n.Tick)
		}
		n.on = n.struck
		if n.Kind == Missing || n.String == 0 {
			continue
		}
		if position != 0 {
			n.shift = n.Position - position
		}
		position = n.Position
	}
}

// release sets the ends: as written, but 3 to 15 ms before the next onset at
// the latest, and sooner when the hand must shift, 45 ms and 15 ms a fret
// before it (invented, of the order of Fitts' reaches; no note is cut under
// 60 ms by it). Notes without a place end 40 ms early.
func (s *Score) release(line []sound) {
	for i := range line {
		n := &line[i]
		n.off = n.on + n.Length
		if n.String == 0 {
			n.off -= s.ticksFor(40000, n.on)
			continue
		}
		for j := i + 1; j < len(line); j++ {
			next := &line[j]
			if next.Kind == Missing || next.Tick == n.Tick || n.Ring && next.String != n.String {
				continue
			}
			lift := 3000 + spread(i+5, 12000)
			if next.shift != 0 && !next.Slide {
				lift = 45000 + 15000*max(next.shift, -next.shift)
			}
			end := max(next.on-s.ticksFor(lift, next.on), n.on+s.ticksFor(60000, n.on))
			n.off = min(n.off, end)
			break
		}
	}
}

// slides joins every slid note to the note that its finger slides from.
func (s *Score) slides(line []sound) {
	for i := range line {
		if !line[i].Slide {
			continue
		}
		for j := i - 1; j >= 0; j-- {
			if line[j].String == line[i].String {
				line[i].slid = line[i].Pitch - line[j].Pitch
				line[i].held, line[j].dies = true, true
				line[j].off = line[i].on
				break
			}
		}
	}
}

// periodMicros holds the periods of C1 to B1 in microseconds: equal
// temperament, A4 = 440 Hz (ISO 16:1975).
var periodMicros = [12]int{30578, 28862, 27242, 25713, 24270, 22908, 21622, 20408, 19263, 18182, 17161, 16198}

// late delays what a pitch converter delays: it needs a period and a half to
// tell the pitch of a new note, and 5 ms to notice that one has ended. A slide
// is heard as it happens.
func (s *Score) late(line []sound) {
	for i := range line {
		n := &line[i]
		if !n.held {
			period := periodMicros[n.Pitch%12] >> (n.Pitch/12 - 2)
			n.on += s.ticksFor(period*3/2, n.on)
		}
		n.off = max(n.off+s.ticksFor(5000, n.off), n.on+s.ticksFor(30000, n.on))
	}
	for i := range line { // one voice a string
		for j := i + 1; j < len(line); j++ {
			if line[j].String == line[i].String && line[j].Kind != Missing {
				if !line[i].dies {
					line[i].off = min(line[i].off, line[j].on-1)
				}
				break
			}
		}
	}
}

// velocity is the strength of the i-th strike: more on the beat, most on one.
func (s *Score) velocity(i int, n sound) int {
	if n.Kind == Ghost {
		return 9 + spread(i, 7)
	}
	v := 78 + spread(i, 12) + n.Accent
	m := s.metreAt(n.Bar)
	switch into := n.Tick - s.tickOf(n.Bar); {
	case into == 0:
		v += 14
	case into%m.beat() == 0:
		v += 6
	}
	return v
}
