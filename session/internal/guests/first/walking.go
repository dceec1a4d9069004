package first

import (
	"math"

	"stillhand/coach"
)

// chord is a root above the key and its tones.
type chord struct {
	root  int
	tones []int
}

var (
	// Semitones above the root; the last is a tone to pass through.
	maj7 = []int{0, 4, 7, 11, 9}
	min7 = []int{0, 3, 7, 10, 5}
	dom7 = []int{0, 4, 7, 10, 9}
	half = []int{0, 3, 6, 10, 5}
	// forms are changes, a chord a bar.
	forms = [][]chord{
		{{0, dom7}, {5, dom7}, {0, dom7}, {0, dom7}, {5, dom7}, {5, dom7}, {0, dom7}, {9, dom7}, {2, min7}, {7, dom7}, {0, dom7}, {7, dom7}},
		{{2, min7}, {7, dom7}, {0, maj7}, {9, min7}, {2, min7}, {7, dom7}, {0, maj7}, {0, maj7}},
		{{9, min7}, {2, dom7}, {7, maj7}, {0, maj7}, {6, half}, {11, dom7}, {4, min7}, {4, min7}},
		{{0, min7}, {0, min7}, {5, min7}, {5, min7}, {2, half}, {7, dom7}, {0, min7}, {7, dom7}},
		{{0, maj7}, {0, maj7}, {2, dom7}, {2, dom7}, {2, min7}, {7, dom7}, {0, maj7}, {7, dom7}},
		{{0, min7}, {0, min7}, {0, min7}, {0, min7}, {1, min7}, {1, min7}, {0, min7}, {0, min7}},
	}
)

// walk plays quarters over changes. The hand is set for the bar: at its first
// note the player chooses where most of the bar lies, and within it reaches
// for what is left over.
func (p *player) walk(n int) []note {
	p.bpm = p.in(84, 200)
	c := p.newChanges()
	early := p.chance(0.4)   // moves at the leading note, not on the one
	lazy := p.in(0.6, 2)     // cost of a fret of travel against a note missed
	settle := p.in(0.5, 1.6) // cost of any move
	finger := 0              // finger wanted under the root
	if p.chance(0.5) {
		finger = 1 + p.rng.IntN(len(p.sys.Fingers)-1)
	}
	line, quarter := p.overChanges(c, n+8)
	on := 0 // where in a bar the hand is set
	if early {
		on = 3
	}
	notes := make([]note, 0, n)
	pos := p.clamp(p.home)
	last := coach.Place{String: 3, Fret: pos}
	for i := range n {
		var pl coach.Place
		if quarter[i] == on || i == 0 {
			to := p.set(pos, line[i:i+5], lazy, settle, finger, early)
			if open := p.openFor(line[i].pitch); open > 0 && p.chance(p.open) {
				pl = coach.Place{String: open} // and the hand moves when it is needed
			} else if in := p.under(nil, to, line[i].pitch); len(in) > 0 && in[p.closest(in, last)].Fret > 0 {
				pl, pos = in[p.closest(in, last)], to
			} else {
				pl, pos = p.grab(pos, last, line[i].pitch, 0)
			}
		} else {
			pl, pos = p.grab(pos, last, line[i].pitch, 0)
		}
		notes = append(notes, note{pl, pos, line[i].beats, 0})
		last = pl
	}
	return notes
}

// changes are the changes and how the player's line goes over them.
type changes struct {
	form      []chord
	tonic     int
	low, high int
	chromatic float64 // chance of a leading note a semitone off
	skip      float64 // chance of a skipped eighth
}

func (p *player) newChanges() changes {
	c := changes{form: forms[p.rng.IntN(len(forms))], tonic: p.rng.IntN(12)}
	c.low = p.neck.Open[len(p.neck.Open)-1]
	c.high = c.low + 16 + p.rng.IntN(8)
	c.chromatic, c.skip = p.in(0.2, 0.8), p.in(0, 0.12)
	return c
}

// overChanges writes at least n notes, and says for each which quarter of its
// bar it begins; -1 for a skipped eighth.
func (p *player) overChanges(w changes, n int) (line []written, quarter []int) {
	low, high := w.low, w.high
	at := low + 5 + p.rng.IntN(10)
	dir := 1
	for bar := 0; len(line) < n; bar++ {
		c, next := w.form[bar%len(w.form)], w.form[(bar+1)%len(w.form)]
		root := nearest(at, (w.tonic+c.root)%12, low, high)
		if p.chance(0.15) {
			root = nearest(at, (w.tonic+c.root+c.tones[1+p.rng.IntN(2)])%12, low, high)
		}
		at = root
		pitches := []int{at}
		for len(pitches) < 3 {
			if at > high-4 {
				dir = -1
			} else if at < low+4 {
				dir = 1
			} else if p.chance(0.3) {
				dir = -dir
			}
			tone := nearest(at+dir*(2+p.rng.IntN(3)), (w.tonic+c.root+c.tones[p.rng.IntN(len(c.tones))])%12, low, high)
			if tone == at {
				tone = nearest(at+5*dir, (w.tonic+c.root+7)%12, low, high)
			}
			at = tone
			pitches = append(pitches, at)
		}
		at = p.lead(w, at, nearest(at, (w.tonic+next.root)%12, low, high))
		pitches = append(pitches, at)
		for i, pitch := range pitches {
			if i > 0 && p.chance(w.skip) {
				line[len(line)-1].beats = 0.66
				line, quarter = append(line, written{pitches[i-1], 0.34, 0}), append(quarter, -1)
			}
			line, quarter = append(line, written{pitch, 1, 0}), append(quarter, i)
		}
	}
	return line, quarter
}

// lead is the note that leads from at to goal, the next root.
func (p *player) lead(w changes, at, goal int) int {
	lead := goal - 1
	switch {
	case p.chance(w.chromatic):
		if at > goal || lead < w.low {
			lead = goal + 1
		}
	case p.chance(0.5):
		if lead = goal + 7; lead > w.high {
			lead = goal - 5
		}
	default:
		if lead = goal - 2; at > goal {
			lead = goal + 2
		}
	}
	if lead < w.low {
		lead = goal + 1
	}
	return lead
}

// set chooses where to hold the hand for the notes to come.
func (p *player) set(pos int, ahead []written, lazy, settle float64, finger int, early bool) int {
	best, bestCost := pos, math.Inf(1)
	root := ahead[0].pitch
	if early {
		root = ahead[1].pitch
	}
	for q := 1; q <= p.top; q++ {
		cost := lazy * 0.3 * math.Abs(float64(q-pos))
		if q != pos {
			cost += settle
		}
		for j, w := range ahead {
			if len(p.under(nil, q, w.pitch)) == 0 {
				cost++
				if j == 0 {
					cost += 4
				}
			}
		}
		wanted := q + p.sys.Fingers[finger].Offset
		for s := 2; s <= p.neck.Strings(); s++ {
			if f, ok := p.neck.Fret(root, s); ok && f == wanted {
				cost -= 0.5
			}
		}
		if cost < bestCost {
			best, bestCost = q, cost
		}
	}
	return best
}

// nearest is the pitch of class pc that is closest to at within low and high.
func nearest(at, pc, low, high int) int {
	best := -1
	for pitch := low; pitch <= high; pitch++ {
		if pitch%12 == pc && (best < 0 || abs(pitch-at) < abs(best-at)) {
			best = pitch
		}
	}
	return best
}
