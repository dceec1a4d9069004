package third

import "slices"

// lowest is E1, the open lowest string of the neck.
const lowest = 28

var scales = [][]int{
	{0, 2, 4, 5, 7, 9, 11}, // major
	{0, 2, 3, 5, 7, 8, 10}, // minor
	{0, 2, 3, 5, 7, 9, 10}, // dorian
	{0, 2, 4, 5, 7, 9, 10}, // mixolydian
	{0, 3, 5, 7, 10},       // minor pentatonic
	{0, 3, 5, 6, 7, 10},    // blues
	{0, 2, 4, 7, 9},        // major pentatonic
}

// inScale reports whether pitch belongs to the player's key.
func (p *player) inScale(pitch int) bool {
	return slices.Contains(p.scale, ((pitch-p.key)%12+12)%12)
}

// nearest is the pitch of the key next to pitch, upwards first.
func (p *player) nearest(pitch int) int {
	for d := 0; d < 12; d++ {
		if p.inScale(pitch + d) {
			return pitch + d
		}
		if p.inScale(pitch - d) {
			return pitch - d
		}
	}
	return pitch
}

// degree is the pitch k steps of the key away from pitch.
func (p *player) degree(pitch, k int) int {
	for k != 0 {
		d := 1
		if k < 0 {
			d = -1
		}
		pitch += d
		for !p.inScale(pitch) {
			pitch += d
		}
		k -= d
	}
	return pitch
}

// event is one written note: when and how long, in quarter notes, and its
// pitch where the line is written before the hand is known.
type event struct {
	beat, length float64
	pitch        int
	bar, phrase  int
	newPhrase    bool
}

// vocabularies are note values in sixteenths with their tickets: a player
// thinks mostly in one of them.
var vocabularies = [][]int{
	{4, 4, 2, 2, 2, 2, 8},       // quarters and eighths
	{2, 2, 2, 2, 2, 4},          // eighths
	{2, 2, 1, 1, 3, 4},          // syncopated sixteenths
	{1, 1, 1, 1, 1, 1, 2, 2, 4}, // runs
	{3, 1, 2, 2, 4, 6},          // dotted
}

// figure fills one bar of 16 sixteenths: lengths, negative for a rest.
func (p *player) figure() []int {
	var bar []int
	for left := 16; left > 0; {
		v := min(left, pick(p.r, vocabularies[p.touch.density]...))
		if len(bar) > 0 && p.chance(p.touch.rest) {
			bar = append(bar, -v)
		} else {
			bar = append(bar, v)
		}
		left -= v
	}
	return bar
}

// rhythm is at least n events without pitches: a few figures that come back,
// in phrases of two or four bars, mostly ended by a breath.
func (p *player) rhythm(n int) []event {
	figures := make([][]int, 3+p.r.IntN(3))
	for i := range figures {
		figures[i] = p.figure()
	}
	breath := p.between(0.2, 0.8)
	bars := pick(p.r, 2, 2, 4)
	var events []event
	for bar := 0; len(events) <= n; bar++ {
		at := float64(bar) * 4
		fig := figures[p.r.IntN(len(figures))]
		ends := bar%bars == bars-1 && p.chance(breath)
		first := true
		for _, v := range fig {
			length := float64(v) / 4
			if v < 0 {
				at -= length
				continue
			}
			if ends && at >= float64(bar)*4+2.9 && !first {
				break // the breath
			}
			events = append(events, event{beat: at, length: length, bar: bar, phrase: bar / bars, newPhrase: first && bar%bars == 0})
			first = false
			at += length
		}
	}
	return events
}

// written is a line as a composer writes it: cells that come back, moved or
// not, through runs, arpeggios and figures on the root.
func (p *player) written(n int) []event {
	events := p.rhythm(n)
	low, high := lowest+p.r.IntN(3), 47+p.r.IntN(10)
	at := p.nearest((low + high) / 2)
	var cell []int // steps of the scale
	runs := p.between(0.2, 0.6)
	back := p.between(0.3, 0.7)
	registers := p.between(0, 0.2)
	k := 0
	for i := range events {
		if i == 0 || k == len(cell) || events[i].newPhrase {
			if len(cell) == 0 || !p.chance(back) {
				cell = p.cell(runs)
			}
			k = 0
			if events[i].newPhrase && p.chance(registers) {
				at += pick(p.r, -12, 12)
			} else if p.chance(0.25) {
				at = p.degree(at, pick(p.r, -3, -2, -1, 1, 2, 3))
			}
		}
		next := p.degree(at, cell[k])
		if p.chance(0.03) {
			next += pick(p.r, -1, 1)
		}
		for next > high {
			next -= 12
		}
		for next < low {
			next += 12
		}
		at = next
		events[i].pitch = at
		if !p.inScale(at) {
			at = p.nearest(at)
		}
		k++
	}
	return events
}

// cell is a few steps along the scale.
func (p *player) cell(runs float64) []int {
	n := 4 + p.r.IntN(6)
	cell := make([]int, n)
	switch x := p.r.Float64(); {
	case x < runs: // a run, perhaps turning
		d := pick(p.r, -1, 1)
		for i := range cell {
			cell[i] = d
			if p.chance(0.15) {
				d = -d
			}
		}
	case x < runs+0.25: // broken thirds and chords
		for i := range cell {
			cell[i] = pick(p.r, 2, 2, -2, -2, 3, -4)
		}
	default: // a figure around one note, many repeats
		for i := range cell {
			cell[i] = pick(p.r, 0, 0, 0, 1, -1, 2, -2, 4, -4, 7, -7)
		}
	}
	return cell
}
