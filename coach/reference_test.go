package coach

import (
	"cmp"
	"math/rand/v2"
	"time"
)

// The reference knows nothing of bit sets or dynamic programming: it asks Neck
// and System where a note lies and whether a hand covers it, and tries every
// hand there is.

// group is one note, or the notes of one grip, with the system declared when
// it was struck.
type group struct {
	system System
	notes  []Note
}

// candidates are the places that the input leaves open for n.
func candidates(n Neck, note Note) []Place {
	var at []Place
	for _, p := range n.Places(nil, note.Pitch) {
		if p.String == note.String {
			return []Place{p}
		}
		at = append(at, p)
	}
	return at
}

// fingered reports whether a hand at position p plays place; position 0 is no
// hand, which plays open strings only.
func fingered(n Neck, s System, p int, place Place) bool {
	if place.Fret == 0 {
		return true
	}
	return p >= 1 && p <= n.Positions(s.Width()) && s.Covers(p, place)
}

// playable reports whether some hand plays the note at all.
func playable(n Neck, s System, note Note) bool {
	for p := 0; p <= n.Frets; p++ {
		for _, place := range candidates(n, note) {
			if fingered(n, s, p, place) {
				return true
			}
		}
	}
	return false
}

// holdsAll reports whether a hand at position p plays all notes at once, each on
// a string of its own, by trying every choice of places; bit s of used stands
// for a string that is taken.
func holdsAll(n Neck, s System, p int, notes []Note, used int) bool {
	if len(notes) == 0 {
		return true
	}
	if !playable(n, s, notes[0]) {
		return holdsAll(n, s, p, notes[1:], used)
	}
	for _, place := range candidates(n, notes[0]) {
		taken := 1 << place.String
		if used&taken == 0 && fingered(n, s, p, place) && holdsAll(n, s, p, notes[1:], used|taken) {
			return true
		}
	}
	return false
}

func (g group) plays(n Neck, p int) bool { return holdsAll(n, g.system, p, g.notes, 0) }

// free reports whether the group needs no finger.
func (g group) free(n Neck) bool { return g.plays(n, 0) }

// groups splits notes into grips: a note joins the grip before it if it was
// struck together with its first note and fits says that the whole can be held.
// system gives the system declared at each note.
func groups(n Neck, notes []Note, system func(i int) System, fits func(group) bool) []group {
	var all []group
	for i, note := range notes {
		if len(all) > 0 {
			last := &all[len(all)-1]
			joined := group{last.system, append(append([]Note{}, last.notes...), note)}
			if note.together(last.notes[0]) && system(i).Name == last.system.Name && fits(joined) {
				*last = joined
				continue
			}
		}
		all = append(all, group{system(i), []Note{note}})
	}
	return all
}

// fitsSomewhere reports whether some hand of the group's system holds it.
func fitsSomewhere(n Neck) func(group) bool {
	return func(g group) bool {
		for p := 0; p <= n.Frets; p++ {
			if g.plays(n, p) {
				return true
			}
		}
		return false
	}
}

// compareCosts orders by shifts, travel, widest window.
func compareCosts(a, b Cost) int {
	return cmp.Or(cmp.Compare(a.Shifts, b.Shifts), cmp.Compare(a.Travel, b.Travel), cmp.Compare(a.WidestMM, b.WidestMM))
}

// hands calls visit for every sequence of positions that plays all groups, one
// position a group, with the first and the last position and the cost.
func hands(n Neck, all []group, visit func(start, end int, c Cost)) {
	can := make([][]bool, len(all))
	free := make([]bool, len(all))
	for i, g := range all {
		free[i] = g.free(n)
		for p := 0; p <= n.Frets; p++ {
			can[i] = append(can[i], g.plays(n, p))
		}
	}
	var try func(i, start, from int, c Cost)
	try = func(i, start, from int, c Cost) {
		if i == len(all) {
			visit(start, from, c)
			return
		}
		for p := 1; p <= n.Frets; p++ {
			if !can[i][p] {
				continue
			}
			next := c
			if i > 0 && p != from {
				next.Shifts++
				next.Travel += max(p-from, from-p)
			}
			if !free[i] {
				next.WidestMM = max(next.WidestMM, n.StretchMM(p, all[i].system.Width()))
			}
			if i == 0 {
				start = p
			}
			try(i+1, start, p, next)
		}
	}
	try(0, 0, 0, Cost{})
}

// exhaust tries all hands and returns the best cost and the least travel.
func exhaust(n Neck, all []group) (best Cost, leastTravel int) {
	best, leastTravel = Cost{Shifts: 1 << 30}, 1<<30
	hands(n, all, func(_, _ int, c Cost) {
		if compareCosts(c, best) < 0 {
			best = c
		}
		leastTravel = min(leastTravel, c.Travel)
	})
	return best, leastTravel
}

// Two systems that the tool does not offer, to show that systems are data:
// one with a gap between its fingers, one of two fingers.
var (
	gapped = System{"gapped", []Finger{{1, 0}, {4, 2}}}
	paired = System{"paired", []Finger{{1, 0}, {2, 1}}}
)

var triedSystems = []System{Four, Three, gapped, paired}

// randomNeck is a small neck of one to four strings, not always in fourths.
func randomNeck(r *rand.Rand, frets int) Neck {
	n := Neck{Frets: 1 + r.IntN(frets), ScaleMM: 600 + 500*r.Float64()}
	open := 40
	for range 1 + r.IntN(4) {
		n.Open = append(n.Open, open)
		open -= r.IntN(8)
	}
	return n
}

// randomLine is a line on n: strings told, not told or told wrongly, some
// notes struck together, a few off the neck.
func randomLine(r *rand.Rand, n Neck, length int) []Note {
	told, grips := r.IntN(3), r.IntN(3) == 0
	notes := make([]Note, length)
	at := time.Duration(0)
	for i := range notes {
		s := 1 + r.IntN(len(n.Open))
		notes[i].Pitch = n.Open[s-1] + r.IntN(n.Frets+1)
		switch {
		case told == 1, told == 2 && r.IntN(2) == 0:
			notes[i].String = s
		case r.IntN(12) == 0:
			notes[i].String = 1 + r.IntN(len(n.Open)+1)
		}
		if r.IntN(25) == 0 {
			notes[i].Pitch = n.Open[0] + n.Frets + 1
		}
		if i > 0 && grips && r.IntN(2) == 0 {
			notes[i].Sounding = true
			at += time.Duration(r.IntN(20)) * time.Millisecond
		} else {
			at += 200 * time.Millisecond
		}
		notes[i].At = at
	}
	return notes
}

// grippedLine is one to three grips of one to three notes, each held by a hand
// of four fingers somewhere, strings told or not.
func grippedLine(r *rand.Rand, n Neck) []Note {
	var notes []Note
	told := r.IntN(2) == 0
	for g := range 1 + r.IntN(3) {
		at := time.Duration(g) * time.Second
		position := 1 + r.IntN(n.Positions(4))
		for i, s := range r.Perm(len(n.Open))[:1+r.IntN(min(3, len(n.Open)))] {
			note := Note{At: at, Pitch: n.Open[s] + min(position+r.IntN(4), n.Frets), Sounding: i > 0}
			if told {
				note.String = s + 1
			}
			notes = append(notes, note)
		}
	}
	return notes
}
