package first

// scales are semitones above the root.
var scales = [][]int{
	{0, 2, 4, 5, 7, 9, 11},
	{0, 2, 3, 5, 7, 8, 10},
	{0, 2, 3, 5, 7, 9, 10},
	{0, 2, 4, 5, 7, 9, 10},
	{0, 3, 5, 7, 10},
	{0, 3, 5, 6, 7, 10},
	{0, 2, 4, 7, 9},
}

// key is a root and its scale, as a set of pitch classes.
type key struct {
	root int
	has  [12]bool
}

func (p *player) newKey() key {
	k := key{root: p.rng.IntN(12)}
	for _, d := range scales[p.rng.IntN(len(scales))] {
		k.has[(k.root+d)%12] = true
	}
	return k
}

func (k key) in(pitch int) bool { return k.has[pitch%12] }

// step is the pitch n notes of the scale above pitch; below for n under 0.
func (k key) step(pitch, n int) int {
	d := 1
	if n < 0 {
		d, n = -1, -n
	}
	for n > 0 {
		if pitch += d; k.in(pitch) {
			n--
		}
	}
	return pitch
}

// written is one note on paper.
type written struct {
	pitch       int
	beats, rest float64
}

// rhythms are bars, or halves of one, in beats.
var rhythms = [][]float64{
	{0.5, 0.5, 0.5, 0.5},
	{1, 0.5, 0.5},
	{0.5, 0.5, 1},
	{0.5, 0.25, 0.25, 0.5, 0.5},
	{0.25, 0.25, 0.5, 0.25, 0.25, 0.5},
	{0.75, 0.25, 0.5, 0.5},
	{1, 1},
	{1.5, 0.5},
}

// rhythm draws this player's few usual bars and returns what gives the length,
// in beats, of one note after another.
func (p *player) rhythm() func() float64 {
	usual := make([][]float64, 2+p.rng.IntN(3))
	for i := range usual {
		usual[i] = rhythms[p.rng.IntN(len(rhythms))]
	}
	bar, at := usual[0], 0
	return func() float64 {
		if at == len(bar) {
			bar, at = usual[p.rng.IntN(len(usual))], 0
		}
		at++
		return bar[at-1]
	}
}

// score writes n notes for someone to read: motifs of scale steps and broken
// chords, repeated and set in sequence, with rests between phrases.
func (p *player) score(n int) []written {
	low := p.neck.Open[len(p.neck.Open)-1] + p.rng.IntN(2)
	high := p.neck.Open[0] + 3 + p.rng.IntN(max(1, p.top-4))
	leap := p.in(0.15, 0.45)
	phrase := 10 + p.rng.IntN(16)
	beat := p.rhythm()
	k := p.newKey()
	at := k.step(low+p.rng.IntN(high-low), 1)
	left := phrase
	trend := 1
	var out []written
	for len(out) < n {
		motif := make([]int, 3+p.rng.IntN(5))
		dir := trend
		if p.chance(0.3) {
			dir = -dir
		}
		for i := range motif {
			switch {
			case p.chance(0.12):
				motif[i] = 0
			case p.chance(leap):
				motif[i] = dir * (2 + p.rng.IntN(3))
			default:
				motif[i] = dir
			}
			if p.chance(0.3) {
				dir = -dir
			}
		}
		times := 1 + p.rng.IntN(4)
		again := p.chance(0.5) // the same notes; otherwise a sequence
		start := at
		switch {
		case at > high-5:
			trend = -1
		case at < low+4:
			trend = 1
		}
		for ; times > 0; times-- {
			if again {
				at = start
			}
			for _, m := range motif {
				at = k.step(at, m)
				for at > high {
					at -= 12
				}
				for at < low {
					at += 12
				}
				pitch := at
				if p.chance(0.05) && pitch > low {
					pitch-- // a chromatic neighbour
				}
				w := written{pitch: pitch, beats: beat()}
				if left--; left <= 0 {
					w.rest = float64(1 + p.rng.IntN(2))
					w.beats += w.rest
					left = phrase/2 + p.rng.IntN(phrase)
				}
				out = append(out, w)
			}
		}
		if p.chance(0.05) {
			k = p.newKey()
			at = k.step(at, 1)
		}
	}
	return out[:n]
}
