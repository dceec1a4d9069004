package fourth

import "slices"

// lowest is E1, the open lowest string of the neck.
const lowest = 28

// scales in semitones above the root.
var scales = [][]int{
	{0, 2, 4, 5, 7, 9, 11}, // major
	{0, 2, 3, 5, 7, 8, 10}, // minor
	{0, 2, 3, 5, 7, 9, 10}, // dorian
	{0, 2, 4, 5, 7, 9, 10}, // mixolydian
	{0, 3, 5, 7, 10},       // minor pentatonic
	{0, 2, 4, 7, 9},        // major pentatonic
	{0, 3, 5, 6, 7, 10},    // blues
	{0, 2, 3, 5, 7, 8, 11}, // harmonic minor
}

type key struct {
	root  int // pitch class
	scale []int
}

func (p *player) newKey() key { return key{p.IntN(12), pick(p, scales...)} }

// modulated is k a fourth, a fifth, a tone or a third away.
func (p *player) modulated(k key) key {
	return key{(k.root + pick(p, 5, 7, 2, 10, 3, 9)) % 12, k.scale}
}

func (k key) holds(pitch int) bool { return slices.Contains(k.scale, class(pitch-k.root)) }

// harmony is the tonic chord.
func (k key) harmony() harmony {
	if slices.Contains(k.scale, 4) {
		return harmony{k.root, major}
	}
	return harmony{k.root, minor}
}

// ladder lists the pitches of k from low to high.
func (k key) ladder(low, high int) []int {
	var pitches []int
	for pitch := low; pitch <= high; pitch++ {
		if k.holds(pitch) {
			pitches = append(pitches, pitch)
		}
	}
	return pitches
}

// class is the pitch class of pitch.
func class(pitch int) int { return (pitch%12 + 12) % 12 }

// nearest is the index of the rung of a ladder next to pitch, the lower of two.
func nearest(ladder []int, pitch int) int {
	at := 0
	for i := range ladder {
		if abs(ladder[i]-pitch) < abs(ladder[at]-pitch) {
			at = i
		}
	}
	return at
}

// folded is i thrown back at either end of a ladder of n rungs.
func folded(i, n int) int {
	for i < 0 || i >= n {
		if i < 0 {
			i = -i
		}
		if i >= n {
			i = 2*(n-1) - i
		}
	}
	return i
}

// turned is the rung and the direction to go on with, for who may have left a
// ladder of n rungs at one end.
func turned(at, direction, n int) (int, int) {
	switch {
	case at < 0:
		return 1, 1
	case at >= n:
		return n - 2, -1
	}
	return at, direction
}

// inward is the direction from a rung to the middle of a ladder of n.
func inward(at, n int) int {
	if at > n/2 {
		return -1
	}
	return 1
}

// altered is pitch, or for such a share of notes a semitone beside it.
func (p *player) altered(pitch int, share float64) int {
	if p.chance(share) {
		return max(lowest, pitch+pick(p, -1, 1))
	}
	return pitch
}

// breathe may end a phrase with a rest of so many beats, or twice or four times
// as many.
func (p *player) breathe(line []event, chance, beats float64) {
	if p.chance(chance) {
		line[len(line)-1].rest += beats * pick(p, 1.0, 2, 4)
	}
}
