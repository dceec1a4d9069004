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
	move   float64 // reacting: weight of all moves against 1 for staying; otherwise probability of a move
	fall   float64 // factor a fret of distance
	cross  float64 // factor a string crossed
	open   float64 // weight of an open string against a fretted place
	extend float64 // weight of a place one fret outside the window against one inside
}

// cast is a style laid out on one neck for one system. Its tables depend on
// neither the player nor the notes. Positions count from 0 here.
type cast struct {
	style
	hold    float64     // weight of staying
	kern    []float64   // weight of moving d frets, d >= 1
	source  []float64   // factor of moving away from p
	crossed []float64   // factor of crossing d strings
	cover   [][]float64 // [fret][p] weight of playing fret at p
	reach   [][]float64 // [fret][p] weight of every way from p to a position that plays fret
	room    [][]float64 // [pitch before][p] 1 / weight of every note playable at p (placed)
}

// interval is the weight of d semitones between successive notes of any line:
// steps are commoner than leaps, and nothing is impossible.
func interval(d int) float64 {
	return math.Exp(-math.Abs(float64(d))/intervalScale) + intervalFloor
}

const (
	intervalScale = 4.0  // semitones
	intervalFloor = 0.01 // of the weight of a repeated note
)

func newCast(st style, n Neck, s System) *cast {
	c := &cast{style: st, hold: 1}
	np, ns := n.Positions(s.Width()), n.Strings()
	c.kern = make([]float64, np+1)
	c.source = make([]float64, np)
	for d := 1; d <= np; d++ {
		c.kern[d] = st.move * math.Pow(st.fall, float64(d-1))
	}
	for p := range c.source {
		c.source[p] = 1
	}
	if st.manner != reacting && np > 1 {
		c.hold = 1 - st.move
		for p := range np {
			sum := 0.0
			for q := range np {
				if q != p {
					sum += c.kern[abs(q-p)]
				}
			}
			c.source[p] = st.move / sum
		}
	}
	c.crossed = make([]float64, ns)
	for d := range c.crossed {
		c.crossed[d] = math.Pow(st.cross, float64(d))
	}
	c.cover, c.reach = grid(n.Frets+1, np), grid(n.Frets+1, np)
	for f := range c.cover {
		for p := range np {
			switch off := f - (p + 1); {
			case f == 0:
				c.cover[f][p] = st.open
			case s.FingerAt(off) != 0:
				c.cover[f][p] = 1
			case s.FingerAt(off-1) != 0 || s.FingerAt(off+1) != 0:
				c.cover[f][p] = st.extend
			}
		}
		for p := range np {
			sum := 0.0
			for q := range np {
				if q != p {
					sum += c.kern[abs(q-p)] * c.cover[f][q]
				}
			}
			c.reach[f][p] = c.hold*c.cover[f][p] + c.source[p]*sum
		}
	}
	if st.manner == placed {
		c.room = grid(128, np)
		for before := range c.room {
			for p := range np {
				sum := 0.0
				for str := range ns {
					for f := range n.Frets + 1 {
						if w := c.cover[f][p]; w > 0 {
							sum += w * interval(n.Open[str]+f-before)
						}
					}
				}
				c.room[before][p] = 1 / sum
			}
		}
	}
	return c
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
	{reacting, 0.2, 0.02, 0.45, 0.5, 0.8, 0.001},
	{reacting, 0.2, 0.2, 0.7, 0.3, 0.8, 0.002},
	{placed, 0.2, 0.06, 0.75, 1, 0.5, 0.01},
	{placed, 0.1, 0.25, 0.6, 1, 0.5, 0.01},
	{planning, 0.15, 0.06, 0.75, 0.6, 0.8, 0.005},
	{planning, 0.15, 0.25, 0.6, 0.4, 0.8, 0.005},
}

// maxStyles is room for the bank in Habits.
const maxStyles = 8
