package fourth

// quality is the kind of a chord.
type quality int

const (
	major quality = iota
	minor
	dominant
	diminished
)

// Of each quality, the tones of the chord and of the scale that goes with it.
var (
	chordTones  = [...][]int{{0, 4, 7, 11}, {0, 3, 7, 10}, {0, 4, 7, 10}, {0, 3, 6, 10}}
	chordScales = [...][]int{{0, 2, 4, 5, 7, 9, 11}, {0, 2, 3, 5, 7, 9, 10}, {0, 2, 4, 5, 7, 9, 10}, {0, 1, 3, 5, 6, 8, 10}}
)

// harmony is what a note is written over.
type harmony struct {
	root    int // pitch class
	quality quality
}

type chord struct {
	harmony
	beats int
}

// changes are the chords of a form in some key.
func (p *player) changes(form int) []chord {
	tonic := p.IntN(12)
	on := func(degree int, q quality, beats int) chord {
		return chord{harmony{(tonic + degree) % 12, q}, beats}
	}
	return [forms][]chord{
		{ // twelve bars
			on(0, dominant, 4), on(5, dominant, 4), on(0, dominant, 8),
			on(5, dominant, 8), on(0, dominant, 4), on(9, dominant, 4),
			on(2, minor, 4), on(7, dominant, 4), on(0, dominant, 4), on(7, dominant, 4),
		},
		{ // cadences that fall by whole tones
			on(2, minor, 4), on(7, dominant, 4), on(0, major, 8),
			on(0, minor, 4), on(5, dominant, 4), on(10, major, 8),
			on(10, minor, 4), on(3, dominant, 4), on(8, major, 8),
			on(2, diminished, 4), on(7, dominant, 4),
		},
		{ // turnarounds, two chords a bar
			on(0, major, 2), on(9, dominant, 2), on(2, minor, 2), on(7, dominant, 2),
			on(4, minor, 2), on(9, dominant, 2), on(2, minor, 2), on(7, dominant, 2),
			on(0, dominant, 4), on(5, major, 4), on(2, minor, 4), on(7, dominant, 4),
		},
		{ // minor
			on(0, minor, 8), on(5, minor, 8), on(2, diminished, 4), on(7, dominant, 4),
			on(0, minor, 8), on(8, dominant, 4), on(7, dominant, 4),
		},
		{ // the circle of fifths within a key
			on(9, minor, 4), on(2, minor, 4), on(7, dominant, 4), on(0, major, 4),
			on(5, major, 4), on(11, diminished, 4), on(4, dominant, 4), on(9, minor, 4),
		},
	}[form]
}

const forms = 5

// strides is how a walking line goes.
type strides struct {
	*player
	low, high int
	chromatic float64 // weight of approaches by a semitone
	leap      float64 // share of roots an octave away
}

// write is n quarter notes over the changes of form: the root on the first
// beat, an approach to the next on the last, tones and steps between.
func (s strides) write(n, form int) []event {
	last := s.within(s.low+3, s.low+12)
	changes := s.changes(form)
	var line []event
	for i := 0; len(line) < n; i++ {
		c, next := changes[i%len(changes)], changes[(i+1)%len(changes)]
		root := s.root(c, last)
		goal := s.near(next.root, root+s.within(-6, 6))
		last = root
		for beat := range c.beats {
			pitch := root
			switch {
			case beat == 0:
			case beat == c.beats-1:
				pitch = s.approach(goal, next.root)
			case s.chance(0.5):
				tone := pick(s.player, chordTones[c.quality]...)
				pitch = s.near(c.root+tone, last+s.within(-5, 5))
			default:
				ladder := key{c.root, chordScales[c.quality]}.ladder(s.low, s.high)
				step := 1
				if goal < last {
					step = -1
				}
				pitch = ladder[min(max(nearest(ladder, last)+step, 0), len(ladder)-1)]
			}
			last = min(max(pitch, s.low), s.high)
			line = append(line, event{pitch: last, beats: 1, over: c.harmony})
		}
		if abs(last-goal) > 7 {
			last = goal
		}
	}
	return line[:n]
}

// root is a pitch for the root of c: near to where the line is, or an octave from there.
func (s strides) root(c chord, last int) int {
	root := s.near(c.root, last)
	switch {
	case !s.chance(s.leap):
		return root
	case root+12 <= s.high:
		return root + 12
	case root-12 >= s.low:
		return root - 12
	}
	return root
}

// approach leads into goal, by a semitone, a tone, or from the fifth of root.
func (s strides) approach(goal, root int) int {
	switch s.weighed(s.chromatic, s.chromatic, 1, 0.6) {
	case 0:
		return goal - 1
	case 1:
		return goal + 1
	case 2:
		return goal + pick(s.player, -2, 2)
	}
	return s.near(root+7, goal)
}

// near is the pitch of a class that is nearest to pitch.
func (s strides) near(class, pitch int) int {
	ladder := key{class % 12, []int{0}}.ladder(s.low, s.high)
	return ladder[nearest(ladder, pitch)]
}
