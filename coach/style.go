package coach

import "math"

// manner is what a style believes of the notes that come.
type manner int

const (
	// reacting: the line is given and the hand follows. It stays while the note
	// lies under the window and otherwise moves. Moves are normalised over what
	// reaches the note, so later notes say nothing about earlier positions.
	reacting manner = iota
	// placed: the hand chooses a window and the notes come out of it, so later
	// notes tell where the window was.
	placed
	// planning: the line is given, but the hand goes where the next notes lie:
	// later notes tell where it was, and only the choice of string, not the
	// pitch, speaks for or against this style.
	planning
)

// style is one way of playing: the parameters of one hidden Markov model over
// strings and positions.
type style struct {
	manner manner
	prior  float64 // weight before anything is heard
	move   float64 // probability of a move that the note does not force
	fall   float64 // factor a fret of distance
	cross  float64 // factor a string crossed
	open   float64 // weight of an open string against a fretted place
	extend float64 // weight of a place one fret outside the window against one inside
	force  float64 // reacting: weight of a move that the note forces, against staying
	lead   float64 // reacting: factor a fret by which a move goes further than the nearest finger
}

// cast is a style laid out on one neck for one system, with what was learnt of
// the player. Positions count from 0 here.
type cast struct {
	style
	neck      Neck
	system    System
	width, np int          // of the window in frets; positions
	hold      float64      // weight of staying
	kern      []float64    // weight of moving d frets, d >= 1
	part      [][]float64  // [fret][p] factor of moving away from p for a note at fret
	crossed   []float64    // factor of crossing d strings
	land      [2][]float64 // [down, up][offset of the note in the window + 1] factor of landing so (reacting)
	cover     [][]float64  // [fret][p] weight of playing fret at p
	reach     [][]float64  // [fret][p] weight of every way from p to a position that plays fret
	from, to  []int        // [fret] positions that cover it: from up to but not including to
	ways      [][]float64  // [fret][p*(to-from)+q-from] weight of going from p to q and playing fret there
	room      [][]float64  // [pitch before][p] 1 / weight of every note playable at p (placed)
	learnt    learnt
	melody    *melody
}

// learnt counts what a cast's player did, in expected notes.
type learnt struct {
	free, moved   float64 // notes that forced no move, and moves among them
	fretted, open float64 // notes with a choice, by what was chosen
	landed        [2][]float64
}

func newCast(st style, n Neck, s System, m *melody) *cast {
	c := &cast{style: st, melody: m, neck: n, system: s, width: s.Width()}
	np := n.Positions(c.width)
	c.np, c.kern = np, make([]float64, np+1)
	c.crossed = make([]float64, n.Strings())
	c.cover, c.part, c.reach, c.room = grid(n.Frets+1, np), grid(n.Frets+1, np), grid(n.Frets+1, np), grid(128, np)
	for dir := range c.land {
		c.land[dir] = make([]float64, c.width+2)
		c.learnt.landed[dir] = make([]float64, c.width+2)
	}
	for d := range c.crossed {
		c.crossed[d] = math.Pow(st.cross, float64(d))
	}
	c.lay()
	c.build()
	return c
}

// lay fills the tables that nothing learnt changes.
func (c *cast) lay() {
	st, np := c.style, c.np
	for d := 1; d <= np; d++ {
		c.kern[d] = math.Pow(st.fall, float64(d-1))
	}
	c.from, c.to, c.ways = make([]int, c.neck.Frets+1), make([]int, c.neck.Frets+1), make([][]float64, c.neck.Frets+1)
	for f := range c.cover {
		lo, hi := np, 0
		for p := range np {
			switch off := f - (p + 1); {
			case f == 0:
				c.cover[f][p] = st.open
			case c.system.FingerAt(off) != 0:
				c.cover[f][p] = 1
			case c.system.FingerAt(off-1) != 0 || c.system.FingerAt(off+1) != 0:
				c.cover[f][p] = st.extend
			}
			if c.cover[f][p] > 0 {
				lo, hi = min(lo, p), p+1
			}
		}
		c.from[f], c.to[f] = lo, hi
		c.ways[f] = make([]float64, np*(hi-lo))
	}
}

// furnish fills the rooms of a placed style from the melody in force.
func (c *cast) furnish() {
	m := c.melody
	for before := m.low; before <= m.high; before++ {
		for p := range c.np {
			sum := 0.0
			for _, low := range c.neck.Open {
				sum += c.cover[0][p] * m.weight(before, low)
				for f := max(1, p); f <= min(c.neck.Frets, p+1+c.width); f++ {
					if w := c.cover[f][p]; w > 0 {
						sum += w * m.weight(before, low+f)
					}
				}
			}
			c.room[before][p] = 1 / sum
		}
	}
}

// build lays the style out with what has been learnt.
func (c *cast) build() {
	if c.manner == placed {
		c.furnish()
	}
	st, l := c.style, &c.learnt
	np := c.np
	move := (st.move*movePrior + l.moved) / (movePrior + l.free)
	move = min(max(move, 1e-4), 0.9)
	c.hold = 1 - move
	for dir := range c.land {
		n, sum := 0.0, 0.0
		row := c.land[dir]
		for o := range row {
			further := o - 1 // frets beyond the least move
			if dir == 1 {
				further = c.width - o
			}
			row[o] = math.Pow(st.lead, float64(max(0, further)))
			if c.manner != reacting {
				row[o] = 1
			}
			sum += row[o]
			n += l.landed[dir][o]
		}
		if c.manner == reacting {
			for o := range row {
				row[o] = (row[o]/sum*landPrior + l.landed[dir][o]) / (landPrior + n)
			}
		}
	}
	for f := range c.cover {
		lo, hi := c.from[f], c.to[f]
		for p := range np {
			// Placed and planning hands move with a probability, whatever the
			// note; the sum is over every position they may go to.
			part := move / c.elsewhere(p)
			if c.manner == reacting && f > 0 {
				part = st.force
				if c.cover[f][p] == 1 {
					part = move
				}
			}
			c.part[f][p] = part
			sum := 0.0
			row := c.ways[f][p*(hi-lo) : (p+1)*(hi-lo)]
			for q := lo; q < hi; q++ {
				x := c.hold * c.cover[f][p]
				if q != p {
					x = part * c.kern[abs(q-p)] * c.cover[f][q] * c.landing(f, p, q) * c.liking(q)
				}
				row[q-lo] = x
				sum += x
			}
			c.reach[f][p] = sum
		}
	}
}

// elsewhere is the weight of every move away from p.
func (c *cast) elsewhere(p int) float64 {
	sum := math.SmallestNonzeroFloat64
	for q := range c.np {
		if q != p {
			sum += c.kern[abs(q-p)] * c.liking(q)
		}
	}
	return sum
}

// movePrior and landPrior are the notes that a style's own parameters count for
// against what is learnt.
const (
	movePrior = 30
	landPrior = 12
)

// landing is the factor of moving from p to q for a note at fret.
func (c *cast) landing(fret, p, q int) float64 {
	if fret == 0 {
		return 1
	}
	dir := 0
	if q > p {
		dir = 1
	}
	return c.land[dir][fret-q]
}

// grid returns rows slices of cols zeros, one block of memory.
func grid(rows, cols int) [][]float64 {
	all := make([]float64, rows*cols)
	g := make([][]float64, rows)
	for i := range g {
		g[i] = all[i*cols : (i+1)*cols : (i+1)*cols]
	}
	return g
}

func abs(a int) int {
	if a < 0 {
		return -a
	}
	return a
}

// styles is the bank that every tracker weighs.
var styles = []style{
	{reacting, 0.25, 0.01, 0.6, 0.5, 0.8, 0.01, 0.1, 0.3},
	{placed, 0.2, 0.06, 0.75, 1, 0.5, 0.01, 1, 1},
	{planning, 0.25, 0.1, 0.75, 0.6, 0.8, 0.005, 1, 1},
}

// maxStyles is room for the bank in Habits.
const maxStyles = 8

var lowness = 1.0

// liking is how much the hand likes to be at q.
func (c *cast) liking(q int) float64 { return math.Pow(lowness, float64(q)) }
