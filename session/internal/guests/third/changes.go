package third

import "slices"

// Chord qualities by their tones.
var (
	maj7 = []int{0, 4, 7, 11}
	dom7 = []int{0, 4, 7, 10}
	min7 = []int{0, 3, 7, 10}
	half = []int{0, 3, 6, 10}
)

type chord struct {
	root  int // semitones above the key
	tones []int
}

// forms are changes, one chord a bar.
var forms = [][]chord{
	{{0, dom7}, {5, dom7}, {0, dom7}, {0, dom7}, {5, dom7}, {5, dom7}, {0, dom7}, {9, dom7}, {2, min7}, {7, dom7}, {0, dom7}, {7, dom7}},
	{{2, min7}, {7, dom7}, {0, maj7}, {0, maj7}, {2, half}, {7, dom7}, {0, min7}, {0, min7}},
	{{9, min7}, {2, min7}, {7, dom7}, {0, maj7}, {5, maj7}, {11, half}, {4, dom7}, {9, min7}},
	{{0, min7}, {0, min7}, {5, min7}, {5, min7}, {8, dom7}, {7, dom7}, {0, min7}, {7, dom7}},
}

// walking is a line in quarters over changes: root on one, chord tones and
// steps between, an approach on four; now and then a skipped eighth.
func (p *player) walking(n int) []event {
	form := pick(p.r, forms...)
	low, high := lowest, 47+p.r.IntN(6)
	skips, chromatic, pedal, deep := p.between(0, 0.12), p.between(0.3, 0.9), p.between(0, 0.15), p.between(0.35, 0.9)
	fit := func(pitch, near int) int { // this pitch class, next to near
		for pitch-near > 6 {
			pitch -= 12
		}
		for near-pitch > 6 {
			pitch += 12
		}
		for pitch < low {
			pitch += 12
		}
		for pitch > high {
			pitch -= 12
		}
		return pitch
	}
	var events []event
	at := fit(p.key+24, lowest+p.r.IntN(12))
	for bar := 0; len(events) <= n; bar++ {
		c, d := form[bar%len(form)], form[(bar+1)%len(form)]
		if p.chance(deep) && at > 36 { // roots belong low
			at -= 8
		}
		root := fit(24+p.key+c.root, at)
		goal := fit(24+p.key+d.root, root)
		up := goal >= root
		if p.chance(0.3) {
			up = !up
		}
		line := []int{root}
		for beat := 1; beat < 3; beat++ {
			from := line[len(line)-1]
			if p.chance(pedal) {
				line = append(line, from)
				continue
			}
			// The next tone of the chord in the direction, or a step to it.
			to := from
			for k := 1; k <= 5; k++ {
				q := from + k
				if !up {
					q = from - k
				}
				if q < low || q > high {
					up = !up
					k = 0
					continue
				}
				if t := ((q-root)%12 + 12) % 12; slices.Contains(c.tones, t) || (k == 2 && p.chance(0.35)) {
					to = q
					break
				}
			}
			line = append(line, to)
		}
		approach := goal + pick(p.r, -1, 1)
		if !p.chance(chromatic) {
			approach = goal + pick(p.r, -2, 2, 7, -5)
		}
		line = append(line, max(low, approach))
		for beat, pitch := range line {
			e := event{beat: float64(bar*4 + beat), length: 1, pitch: pitch, bar: bar, phrase: bar / 4}
			if p.chance(skips) {
				e.length = 0.5
				events = append(events, e)
				e.beat += 0.5
				if p.chance(0.3) && pitch-12 >= lowest {
					e.pitch -= 12
				}
			}
			events = append(events, e)
		}
		at = line[3]
	}
	return events
}
