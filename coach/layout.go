package coach

import "math"

// cast is a style laid out on one neck for one system, with what was learnt of
// the player in that role. Positions count from 0 here.
type cast struct {
	style
	*ground
	neck   Neck
	system System
	width  int
	np     int // positions
	layout
	learnt learnt
	stale  bool // laid before what was last learnt
}

// ground is the part of the tables that nothing changes. Styles that differ only
// in what leads them share it.
type ground struct {
	kern     []float64   // factor of moving d frets, d >= 1
	liking   []float64   // factor of arriving at p
	lower    []float64   // reacting: [fret] factor of leaving the window for it
	crossed  []float64   // factor of crossing d strings
	from, to []int       // [fret] positions that cover it: from up to, not including, to
	cover    [][]float64 // [fret][p] weight of playing fret at p
	landing  [][]landing // [fret][p] how a hand at p that plays fret elsewhere has come there
}

// layout is the part of the tables that what was learnt changes.
type layout struct {
	goal  []float64           // factor of arriving at p
	hold  float64             // weight of staying
	land  [landings][]float64 // [down, up, free][fret-p] factor of landing so
	ways  [][]float64         // [fret][p*(to-from)+q-from] weight of going from p to q and playing fret there
	reach [][]float64         // [fret][p] sum of ways
	room  [][]float64         // placed: [pitch before][p] 1 / weight of every note playable at p
}

// learnt counts what the player did in one role, in expected notes.
type learnt struct {
	free, moved float64             // notes that forced no move, and moves among them
	landed      [landings][]float64 // [down, up, free][fret-p] where the hand landed
}

// What a style's own parameters count for against what was learnt, and how
// much that may come to: older notes fade.
const (
	movePrior   = 15.0 // notes
	landPrior   = 3.0  // moves
	learntNotes = 500.0
	learntMoves = 300.0 // of each way to land
)

// openMove is how ready a hand is to move for an open string, which asks nothing
// of it, against any other note that forces no move.
const openMove = 0.045

// newCast lays nothing out yet. Before is a cast on the same neck for the same
// system whose ground may do, or nil.
func newCast(st style, n Neck, s System, before *cast) *cast {
	c := &cast{style: st, neck: n, system: s, width: s.Width()}
	if c.manner == reacting && c.up == 0 {
		c.up, c.down = c.width, 1 // the least move
	}
	c.np = n.Positions(c.width)
	if before != nil && st.sharesGround(before.style) {
		c.ground = before.ground
	} else {
		c.ground = new(ground)
		c.survey()
	}
	c.reach = grid[float64](n.Frets+1, c.np)
	c.ways = make([][]float64, n.Frets+1)
	for f := range c.ways {
		c.ways[f] = make([]float64, c.np*(c.to[f]-c.from[f]))
	}
	if st.manner == placed {
		c.room = grid[float64](128, c.np)
		c.goal = make([]float64, c.np)
	}
	for way := range c.land {
		c.land[way] = make([]float64, c.width+1)
	}
	for dir := range c.learnt.landed {
		c.learnt.landed[dir] = make([]float64, c.width+1)
	}
	return c
}

// sharesGround reports whether the ground of b is that of a too.
func (a style) sharesGround(b style) bool {
	return a.fall == b.fall && a.cross == b.cross && a.open == b.open && a.extend == b.extend
}

// survey fills the ground.
func (c *cast) survey() {
	c.kern, c.liking, c.crossed = make([]float64, c.np+1), make([]float64, c.np), make([]float64, c.neck.Strings())
	for d := range c.kern {
		c.kern[d] = math.Pow(c.fall, float64(d-1))
	}
	c.lower = make([]float64, c.neck.Frets+1)
	for f := range c.lower {
		c.lower[f] = math.Pow(lower, float64(f))
	}
	for p := range c.liking {
		c.liking[p] = math.Pow(low, float64(p))
	}
	for d := range c.crossed {
		c.crossed[d] = math.Pow(c.style.cross, float64(d))
	}
	frets := c.neck.Frets + 1
	c.from, c.to, c.cover = make([]int, frets), make([]int, frets), grid[float64](frets, c.np)
	for f := range c.cover {
		c.span(f)
	}
	c.landing = grid[landing](frets, c.np)
	for f, row := range c.landing {
		for p := range row {
			switch {
			case c.cover[f][p] == 1:
				row[p] = unforced
			case f > p:
				row[p] = upward
			}
		}
	}
}

// span fills the cover of one fret.
func (c *cast) span(f int) {
	lo, hi := c.np, 0
	for p := range c.np {
		w := c.open
		if f > 0 {
			switch off := f - (p + 1); {
			case c.system.FingerAt(off) != 0:
				w = 1
			case c.system.FingerAt(off-1) != 0 || c.system.FingerAt(off+1) != 0:
				w = c.extend
			default:
				w = 0
			}
		}
		if c.cover[f][p] = w; w > 0 {
			lo, hi = min(lo, p), p+1
		}
	}
	if lo > hi { // a system with holes on a short neck
		lo, hi = 0, c.np
		for p := range c.np {
			c.cover[f][p] = c.extend
		}
	}
	c.from[f], c.to[f] = lo, hi
}

// lay fills the layout from what has been learnt.
func (c *cast) lay(m *melody) {
	move := (c.move*movePrior + c.learnt.moved) / (movePrior + c.learnt.free)
	move = min(max(move, 1e-4), 0.9)
	c.hold = 1 - move
	c.layGoals(m)
	c.layLanding()
	for p := range c.np {
		all := math.SmallestNonzeroFloat32
		for q := range c.np {
			if q != p {
				all += c.kern[abs(q-p)] * c.goal[q]
			}
		}
		for f := range c.cover {
			lo, hi := c.from[f], c.to[f]
			row := c.ways[f][p*(hi-lo) : (p+1)*(hi-lo)]
			if c.manner == reacting && f > 0 {
				c.layReaction(f, p, move, row)
			} else {
				move := move
				if f == 0 {
					move *= openMove
				}
				each := move / all
				for q := lo; q < hi; q++ {
					if row[q-lo] = (1 - move) * c.cover[f][p]; q != p {
						row[q-lo] = each * c.kern[abs(q-p)] * c.goal[q] * c.cover[f][q] * c.landed(f, p, q)
					}
				}
			}
			sum := 0.0
			for _, x := range row {
				sum += x
			}
			c.reach[f][p] = sum
		}
	}
	if c.manner == placed {
		c.layRoom(m)
	}
	if c.learnt.free > learntNotes {
		c.learnt.moved *= learntNotes / c.learnt.free
		c.learnt.free = learntNotes
	}
}

// Who chooses a window takes one with notes of the key under both outer fingers:
// scales are taught as patterns that fill their window (common practice). How
// much that counts, and what a window without any counts for, are tuned.
const (
	keyPower = 0.96
	keyFloor = 0.075
)

// layGoals fills where a hand likes to go: lower, and one that chooses its window
// to where the key fills it.
func (c *cast) layGoals(m *melody) {
	if c.manner != placed {
		c.goal = c.liking
		return
	}
	n := float64(c.neck.Strings())
	for p := range c.goal {
		first, last := 0.0, 0.0 // under the outer fingers, a string
		for _, open := range c.neck.Open {
			first += m.key[(open+p+1)%12] / n
			last += m.key[(open+p+c.width)%12] / n
		}
		c.goal[p] = c.liking[p] * math.Pow((first+keyFloor)*(last+keyFloor), c.key)
	}
}

// layReaction fills row with where a hand at p goes to play fret: a note in the
// window leaves it there but for a free move, any other forces it as far as it
// must and on to where it likes to land.
func (c *cast) layReaction(fret, p int, move float64, row []float64) {
	lo, cover := c.from[fret], c.cover[fret]
	land := c.land[c.landing[fret][p]]
	forced := cover[p] < 1
	part := move
	if forced {
		least := max(1, p-(fret-1), fret-c.width-p) // frets; a system with holes may go just one
		part = c.force * c.kern[least]
	}
	inside, outside := 0.0, 0.0 // of the window
	for j := range row {
		q := lo + j
		row[j] = land[min(max(1, fret-q), c.width)]
		switch {
		case q == p || cover[q] == 0:
		case cover[q] == 1:
			inside += row[j]
		default:
			outside += row[j]
		}
	}
	if inside == 0 {
		inside = max(outside, math.SmallestNonzeroFloat32)
	}
	each := part / inside
	for j := range row {
		q := lo + j
		if row[j] *= each * cover[q]; q == p {
			row[j] = c.hold * cover[p]
		}
		if forced {
			row[j] *= c.lower[fret]
		}
	}
}

// landed is the factor of a hand that plans or is placed for landing at q, coming
// from p, one where no finger is likelier than another. It is sought by no note, so
// what it lands on tells of the player's habit alone.
func (c *cast) landed(fret, p, q int) float64 {
	if fret == 0 {
		return 1
	}
	return float64(c.width) * c.land[c.landing[fret][p]][min(max(1, fret-q), c.width)]
}

// layLanding fills the landing factors: they sum to one over the fingers. What
// a style takes for granted is that the leading finger lands on the note, and
// any other the less the further from it; without one, all alike.
func (c *cast) layLanding() {
	for way, row := range c.land {
		lead := [...]int{downward: c.down, upward: c.up, unforced: 0}[way]
		n, sum := 0.0, 0.0
		for o := 1; o <= c.width; o++ {
			if row[o] = 1; lead > 0 {
				row[o] = math.Pow(c.lead, float64(abs(o-lead)))
			}
			sum += row[o]
			n += c.learnt.landed[way][o]
		}
		if n > learntMoves {
			for o := range c.learnt.landed[way] {
				c.learnt.landed[way][o] *= learntMoves / n
			}
			n = learntMoves
		}
		for o := 1; o <= c.width; o++ {
			row[o] = (row[o]/sum*landPrior + c.learnt.landed[way][o]) / (landPrior + n)
		}
	}
}

// layRoom fills the rooms of a placed style from the melody in force.
func (c *cast) layRoom(m *melody) {
	for before := m.low; before <= m.high; before++ {
		for p := range c.np {
			sum := 0.0
			for _, open := range c.neck.Open {
				sum += c.cover[0][p] * m.weight(before, open)
				for f := max(1, p); f <= min(c.neck.Frets, p+1+c.width); f++ {
					sum += c.cover[f][p] * m.weight(before, open+f)
				}
			}
			c.room[before][p] = 1 / sum
		}
	}
}

// landing is how a hand lands: going down, going up, or of its own will.
type landing uint8

const (
	downward landing = iota
	upward
	unforced
	landings
)

// grid returns rows slices of cols zeros, one block of memory.
func grid[T any](rows, cols int) [][]T {
	all := make([]T, rows*cols)
	g := make([][]T, rows)
	for i := range g {
		g[i] = all[i*cols : (i+1)*cols : (i+1)*cols]
	}
	return g
}

func abs(a int) int { return max(a, -a) }
