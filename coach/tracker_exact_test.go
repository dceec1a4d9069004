package coach

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// paths is the slow, obvious reference: every hidden path of one style over a
// short take on a tiny neck, from the style's definition and none of the
// tracker's tables.
type paths struct {
	style  style
	k      int // which it is
	neck   Neck
	system System
	np     int
	notes  []heardNote
}

// heardNote is a note with what the tracker had learnt when it came.
type heardNote struct {
	Note
	link        link
	aside       bool
	tells       []telling // [style]
	melody, all float64
	tune        melody
}

// state is one hand on one note.
type state struct{ str, fret, pos int } // positions from 0

func (p *paths) cover(fret, pos int) float64 {
	off := fret - pos - 1
	switch {
	case fret == 0:
		return p.style.open
	case p.system.FingerAt(off) != 0:
		return 1
	case p.system.FingerAt(off-1) != 0 || p.system.FingerAt(off+1) != 0:
		return p.style.extend
	}
	return 0
}

func (p *paths) states(i int) (all []state) {
	for s := 1; s <= p.neck.Strings(); s++ {
		f, ok := p.neck.Fret(p.notes[i].Pitch, s)
		if !ok || p.notes[i].String != 0 && p.notes[i].String != s {
			continue
		}
		for q := range p.np {
			if p.cover(f, q) > 0 {
				all = append(all, state{s, f, q})
			}
		}
	}
	return all
}

// land is how readily a hand that leaves a for b's fret lands on it as b does,
// before it is compared with the other ways to land.
func (p *paths) land(a, b state) float64 {
	w := p.system.Width()
	lead := 0
	switch {
	case p.cover(b.fret, a.pos) == 1:
		return 1
	case b.fret-1 > a.pos:
		if lead = p.style.up; lead == 0 {
			lead = w
		}
	default:
		if lead = p.style.down; lead == 0 {
			lead = 1
		}
	}
	finger := min(max(b.fret-b.pos, 1), w)
	return math.Pow(p.style.lead, math.Abs(float64(finger-lead)))
}

// way is the weight of going from a to b, before strings and gaps.
func (p *paths) way(a, b state) float64 {
	st := p.style
	if b.fret == 0 {
		st.move *= openMove
	}
	height := 1.0
	if st.manner == reacting && p.cover(b.fret, a.pos) < 1 && b.fret > 0 {
		height = math.Pow(lower, float64(b.fret))
	}
	if a.pos == b.pos {
		return height * (1 - st.move) * p.cover(b.fret, b.pos)
	}
	if st.manner == reacting && b.fret > 0 {
		x := st.move
		if p.cover(b.fret, a.pos) < 1 {
			least := p.np
			for q := range p.np {
				if p.cover(b.fret, q) == 1 {
					least = min(least, abs(q-a.pos))
				}
			}
			x = st.force * math.Pow(st.fall, float64(least-1))
		}
		inside, outside := 0.0, 0.0 // of the window
		for q := range p.np {
			to := state{b.str, b.fret, q}
			switch c := p.cover(b.fret, q); {
			case q == a.pos || c == 0:
			case c == 1:
				inside += p.land(a, to)
			default:
				outside += p.land(a, to)
			}
		}
		all := inside
		if all == 0 {
			all = outside
		}
		return height * x * p.land(a, b) / all * p.cover(b.fret, b.pos)
	}
	all := 0.0
	for q := range p.np {
		if q != a.pos {
			all += math.Pow(st.fall, math.Abs(float64(q-a.pos))-1) * math.Pow(low, float64(q))
		}
	}
	return st.move / all * math.Pow(st.fall, math.Abs(float64(b.pos-a.pos))-1) * math.Pow(low, float64(b.pos)) * p.cover(b.fret, b.pos)
}

func (p *paths) cross(a, b state) float64 {
	return math.Pow(p.style.cross, math.Abs(float64(a.str-b.str)))
}

// step is the weight of note i coming from a to b, and without its gap.
func (p *paths) step(i int, a, b state) (with, without float64) {
	n := p.notes[i]
	ringing := 0
	if a.fret == 0 {
		ringing = 1
	}
	switch n.link {
	case gripped:
		x := p.way(a, b)
		if a.pos != b.pos {
			x *= gripBreak
		}
		if a.str == b.str {
			return x * gripBreak, x * gripBreak
		}
		return x * p.cross(a, b), x * p.cross(a, b)
	case slid:
		x := p.way(a, b) * slideBreak
		if b.pos-a.pos == n.Slide {
			x = p.cover(b.fret, b.pos)
		}
		if a.str != b.str && !n.aside {
			x *= slideBreak
		}
		return x, x
	}
	x := p.cross(a, b) * p.way(a, b)
	switch p.style.manner {
	case reacting:
		sum := 0.0
		for _, c := range p.states(i) {
			sum += p.cross(a, c) * p.way(a, c)
		}
		x /= sum
	case placed:
		before := p.notes[i-1].Pitch
		sum := 0.0
		for s := 1; s <= p.neck.Strings(); s++ {
			for f := range p.neck.Frets + 1 {
				sum += p.cover(f, b.pos) * n.tune.weight(before, p.neck.Pitch(Place{s, f}))
			}
		}
		x /= sum
	}
	lies := otherString
	switch {
	case a.str == b.str:
		lies = sameString
	case a.fret == 0:
		lies = offOpen
	}
	tells := &n.tells[p.k]
	return x * tells.moves[ringing][class(b.pos-a.pos)] * tells.strings[lies], x
}

// enumeration is what all paths say.
type enumeration struct {
	position map[int]float64 // of note at
	str      map[int]float64
	moved    float64
	total    float64 // of all paths
	bare     float64 // of all paths, the last note's gap left out
}

// ask walks every path over the first n notes and looks at note at.
func (p *paths) ask(n, at int) enumeration {
	ans := enumeration{position: map[int]float64{}, str: map[int]float64{}}
	var walk func(i int, way []state, w, bare float64)
	walk = func(i int, way []state, w, bare float64) {
		if i == n {
			ans.total += w
			ans.bare += bare
			ans.position[way[at].pos] += w
			ans.str[way[at].str] += w
			if at > 0 && way[at].pos != way[at-1].pos {
				ans.moved += w
			}
			return
		}
		for _, b := range p.states(i) {
			if i == 0 {
				x := p.cover(b.fret, b.pos) * math.Exp(-float64(b.pos)/startScale)
				walk(1, append(way, b), x, x)
				continue
			}
			with, without := p.step(i, way[i-1], b)
			walk(i+1, append(way, b), w*with, w*without)
		}
	}
	walk(0, make([]state, 0, n), 0, 0)
	return ans
}

// evidence is the likelihood of note n-1 and its gap.
func (p *paths) evidence(n int) float64 {
	last := p.notes[n-1]
	now, before := p.ask(n, 0), p.ask(n-1, 0)
	switch {
	case last.link != struck:
		return now.total / before.total
	case p.style.manner == placed:
		return now.total / before.total * last.melody
	case p.style.manner == planning:
		return now.total / now.bare * last.melody / last.all
	}
	return now.total / before.total * last.melody / last.all
}

func TestTracker_EqualsEnumerationOfAllPaths(t *testing.T) {
	t.Parallel()
	ms := time.Millisecond
	takes := map[string][]Note{
		"strings known": {
			{At: 0, Gap: Rest, Pitch: 42, String: 2}, {At: 90 * ms, Gap: 5 * ms, Pitch: 47, String: 1},
			{At: 200 * ms, Gap: 50 * ms, Pitch: 46, String: 2}, {At: 300 * ms, Gap: 80 * ms, Pitch: 40, String: 2},
			{At: 400 * ms, Gap: 15 * ms, Pitch: 50, String: 1}, {At: 480 * ms, Gap: 15 * ms, Pitch: 45, String: 1},
		},
		"pitch only": {
			{At: 0, Gap: Rest, Pitch: 45}, {At: 90 * ms, Sounding: true, Pitch: 46},
			{At: 200 * ms, Gap: 50 * ms, Pitch: 41}, {At: 300 * ms, Gap: 180 * ms, Pitch: 45}, {At: 390 * ms, Pitch: 47},
		},
		"a grip, a slide, a rest": {
			{At: 0, Gap: Rest, Pitch: 42}, {At: 10 * ms, Sounding: true, Pitch: 47},
			{At: 200 * ms, Gap: 50 * ms, Pitch: 42, String: 2}, {At: 300 * ms, Pitch: 44, Slide: 2, String: 2}, {At: 900 * ms, Gap: 300 * ms, Pitch: 46},
		},
		"a string that slides under another": {
			{At: 0, Gap: Rest, Pitch: 42, String: 2}, {At: 10 * ms, Sounding: true, Pitch: 47, String: 1},
			{At: 200 * ms, Sounding: true, Pitch: 44, Slide: 2, String: 2}, {At: 300 * ms, Gap: 50 * ms, Pitch: 50},
		},
	}
	for name, take := range takes {
		for _, system := range Systems {
			t.Run(fmt.Sprintf("%s, %s", name, system.Name), func(t *testing.T) {
				t.Parallel()
				exact(t, take, system)
			})
		}
	}
}

// exact holds a tracker that forgets nothing against paths, note for note.
func exact(t *testing.T, take []Note, system System) {
	const tolerance = 1e-9
	neck := Neck{Open: []int{45, 40}, Frets: 6, ScaleMM: 864}
	tr := NewTracker(neck, system, Habits{})
	tr.rivals, tr.negligible, tr.idle, tr.tempers = nil, 0, 0, false
	var heard []heardNote
	var got []Estimate
	var models []*paths
	var priors []float64
	all := 0.0
	for k, st := range styles {
		if w := system.Width(); st.up <= w && st.down <= w { // fingers that there are
			models = append(models, &paths{style: st, k: k, neck: neck, system: system, np: neck.Positions(w)})
			priors = append(priors, st.prior)
			all += st.prior
		}
	}
	for k := range priors {
		priors[k] /= all
	}
	weights := append([]float64{}, priors...)
	at := make([][]float64, len(take)) // weights after each note
	logs := 0.0
	for i, n := range take {
		tr.Note(n)
		f := tr.frame(i)
		heard = append(heard, heardNote{n, f.link, f.aside, slices.Clone(f.tells), f.melody, f.all, *tr.melody})
		given, of := 0.0, 0.0 // likelihood to those that take the line as given
		like := make([]float64, len(models))
		for k, m := range models {
			if m.notes = heard; i > 0 {
				if like[k] = m.evidence(i + 1); m.style.manner != placed {
					given += weights[k] * like[k]
					of += weights[k]
				}
			}
		}
		total, whole, sum := 0.0, 0.0, 0.0
		for k, m := range models {
			if i > 0 {
				whole += weights[k] * like[k]
				if m.style.manner == placed {
					like[k] = math.Sqrt(like[k] * given / of)
				}
				sum += weights[k]
				weights[k] *= like[k]
			}
			total += weights[k]
		}
		for k := range weights {
			if i > 0 {
				weights[k] = (1-share)*weights[k]/total + share*priors[k]
			}
		}
		if i > 0 {
			logs += math.Log(whole / sum)
		}
		at[i] = append([]float64{}, weights...)
		assert.InDelta(t, logs, tr.LogLikelihood(), tolerance, "log-likelihood after note %d", i)
		got = tr.Settled(got)
	}
	tr.End()
	got = tr.Settled(got)
	require.Len(t, got, len(take))
	expected := 0.0
	for i, e := range got {
		last := i
		for j := i + 1; j <= i+settleNotes && j < len(take) && take[j].At < take[i].At+settleAfter; j++ {
			last = j
		}
		var position, str, moved float64
		for k, m := range models {
			a := m.ask(last+1, i)
			position += at[last][k] * a.position[e.Position-1] / a.total
			str += at[last][k] * a.str[e.Place.String] / a.total
			moved += at[last][k] * a.moved / a.total
		}
		assert.InDelta(t, position, e.Probability, tolerance, "position of note %d", i)
		assert.InDelta(t, str, e.PlaceProbability, tolerance, "place of note %d", i)
		assert.InDelta(t, moved, e.Moved, tolerance, "move into note %d", i)
		expected += moved
	}
	assert.InDelta(t, expected, tr.Expected(), tolerance)
}
