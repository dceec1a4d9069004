package coach

import (
	"math/bits"
	"time"
)

// anywhere is the set of positions of a note that asks nothing of the hand:
// every bit is set, which no fretted note's set has.
const anywhere = ^uint64(0)

// cover is one system on one neck: for every pitch and string, the set of
// positions from which a finger plays it, bit p standing for position p
// (MaxFrets is below 64). It is read-only once built, 13 KB.
type cover struct {
	neck   Neck
	system System
	all    uint64                      // every position that the neck allows
	on     [128][MaxStrings + 1]uint64 // [pitch][string]; string 0 is any string
	places [128]uint16                 // by pitch: bit s is set if string s has it
	mm     [MaxFrets + 1]float64       // stretch of the window at each position
}

// newCover builds the table of s on n. It panics on a neck that Validate
// refuses or a system without fingers: both are the programmer's mistake.
func newCover(n Neck, s System) *cover {
	if err := n.Validate(); err != nil {
		panic("coach: " + err.Error())
	}
	if len(s.Fingers) == 0 || s.Fingers[0].Offset != 0 {
		panic("coach: system " + s.Name + " needs a first finger at offset 0")
	}
	c := &cover{neck: n, system: s}
	width := s.Width()
	last := n.Positions(width)
	for p := 1; p <= last; p++ {
		c.all |= 1 << p
		c.mm[p] = n.StretchMM(p, width)
	}
	for str, open := range n.Open {
		c.on[open][str+1] = anywhere
		c.places[open] |= 1 << (str + 1)
		for fret := 1; fret <= n.Frets; fret++ {
			c.places[open+fret] |= 1 << (str + 1)
			for _, f := range s.Fingers {
				if p := fret - f.Offset; p >= 1 && p <= last {
					c.on[open+fret][str+1] |= 1 << p
				}
			}
		}
	}
	for pitch := range c.on {
		for _, m := range c.on[pitch][1:] {
			c.on[pitch][0] |= m
		}
	}
	return c
}

// tone is what of a note decides where it can be played: its pitch, and the
// string if the input tells it, else 0.
type tone struct{ pitch, str int }

func (n *Note) tone() tone { return tone{n.Pitch, n.String} }

// find returns the positions that play t and the strings, first to last, among
// which the input leaves the choice: the told string if the pitch lies on it,
// else all. No positions stands for a note that nothing plays.
func (c *cover) find(t tone) (m uint64, first, last int) {
	if uint(t.pitch) >= uint(len(c.on)) {
		return 0, 1, 0
	}
	if uint(t.str) <= MaxStrings && c.places[t.pitch]>>t.str&1 == 1 {
		return c.on[t.pitch][t.str], t.str, t.str
	}
	return c.on[t.pitch][0], 1, MaxStrings
}

// positions is the set of positions that play t: anywhere for an open string
// and for a note that nothing plays.
func (c *cover) positions(t tone) uint64 {
	m, _, _ := c.find(t)
	if m == 0 {
		return anywhere
	}
	return m
}

// chord is the notes of one grip so far; the zero value holds none.
type chord struct {
	at    time.Duration // onset of its first note
	tones [MaxStrings]tone
	size  int
}

// add puts n into the grip if it was struck together with its first note,
// else starts a new grip with n. It reports whether n joined.
func (g *chord) add(n *Note) bool {
	if !n.Sounding || g.size == 0 || g.size == len(g.tones) || !n.together(Note{At: g.at}) {
		g.start(n)
		return false
	}
	g.tones[g.size] = n.tone()
	g.size++
	return true
}

// start makes n the first note of a new grip.
func (g *chord) start(n *Note) {
	g.at, g.tones[0], g.size = n.At, n.tone(), 1
}

// hold adds n to g and returns the positions that play it: those that hold the
// whole grip if n joined one that fits somewhere, else those of n alone, which
// then starts a new grip.
func (c *cover) hold(g *chord, n *Note) uint64 {
	if g.add(n) {
		if m := c.fits(g); m != 0 {
			return m
		}
		g.start(n)
	}
	return c.positions(g.tones[0])
}

// fits is the set of positions at which the grip lies under the hand, each
// note on a string of its own; anywhere if open strings alone play it, 0 if
// nothing does. Bit 0, which only open strings set, stands for no hand at all.
func (c *cover) fits(g *chord) uint64 {
	shared := anywhere
	for _, t := range g.tones[:g.size] {
		shared &= c.positions(t)
	}
	if g.size == 1 {
		return shared
	}
	held := uint64(0)
	for m := shared & (c.all | 1); m != 0; m &= m - 1 {
		p := bits.TrailingZeros64(m)
		if _, ok := c.seats(g, p); ok {
			held |= 1 << p
		}
	}
	if held&1 == 1 {
		return anywhere
	}
	return held
}

// seats gives every note of the grip a string of its own at position p: a
// bipartite matching by augmenting paths (Kuhn 1955), at most MaxStrings^3
// steps. The answer is by note; a note that nothing plays gets string 0.
func (c *cover) seats(g *chord, p int) (str [MaxStrings]int, ok bool) {
	m := matching{cover: c, grip: g, position: p}
	for i, t := range g.tones[:g.size] {
		if found, _, _ := c.find(t); found == 0 {
			continue
		}
		m.tried = 0
		if !m.seat(i) {
			return str, false
		}
	}
	for s, i := range m.owner {
		if i > 0 {
			str[i-1] = s
		}
	}
	return str, true
}

// matching is the work of seats.
type matching struct {
	cover    *cover
	grip     *chord
	position int
	owner    [MaxStrings + 1]int // by string: note index + 1
	tried    uint64              // strings looked at for the note in hand
}

// seat finds a string for note i, moving notes seated before where it must.
func (m *matching) seat(i int) bool {
	t := m.grip.tones[i]
	_, first, last := m.cover.find(t)
	for s := first; s <= last; s++ {
		if m.cover.on[t.pitch][s]>>m.position&1 == 0 || m.tried>>s&1 == 1 {
			continue
		}
		m.tried |= 1 << s
		if m.owner[s] == 0 || m.seat(m.owner[s]-1) {
			m.owner[s] = i + 1
			return true
		}
	}
	return false
}
