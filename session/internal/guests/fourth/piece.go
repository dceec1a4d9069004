package fourth

// cells are figures of note values that rhythms are made of, in beats.
var cells = [][]float64{
	{1}, {0.5, 0.5}, {0.75, 0.25}, {0.25, 0.25, 0.5}, {0.5, 0.25, 0.25}, {0.25, 0.25, 0.25, 0.25},
	{1. / 3, 1. / 3, 1. / 3}, {1, 0.5, 0.5}, {1.5, 0.5}, {0.5, 1, 0.5},
}

// newFavourites is how much a player likes each cell.
func (p *player) newFavourites() []float64 {
	weights := make([]float64, len(cells))
	for i := range weights {
		x := p.Float64()
		weights[i] = x * x
	}
	return weights
}

// rhythm fills so many beats with favourite cells.
func (p *player) rhythm(favourites []float64, beats float64) []float64 {
	var rhythm []float64
	for left := beats; left > 0.01; {
		cell := cells[p.weighed(favourites...)]
		if sum(cell) > left+0.01 {
			cell = []float64{min(1, left)}
		}
		rhythm = append(rhythm, cell...)
		left -= sum(cell)
	}
	return rhythm
}

func sum(cell []float64) float64 {
	x := 0.0
	for _, beats := range cell {
		x += beats
	}
	return x
}

// piece is riffs of a bar over four roots, repeated with variation and with
// fills. It knows nothing of a hand.
type piece struct {
	*player
	key
	favourites []float64
	low, high  int
	modulates  float64
	chromatic  float64
	varies     float64
	fills      float64
	octaves    float64

	ladder []int
	line   []event
}

func (p *player) newPiece() *piece {
	c := &piece{player: p, key: p.newKey(), favourites: p.newFavourites(), low: p.within(lowest, 35)}
	c.high = min(59, c.low+p.within(17, 28))
	c.modulates = p.between(0, 0.7)
	c.chromatic = p.between(0, 0.08)
	c.varies = p.between(0.05, 0.3)
	c.fills = p.between(0.15, 0.6)
	c.octaves = p.between(0, 0.2)
	c.ladder = c.key.ladder(c.low, c.high)
	return c
}

// write is n notes of c.
func (c *piece) write(n int) []event {
	for len(c.line) < n {
		if c.chance(c.modulates) {
			c.key = c.modulated(c.key)
			c.ladder = c.key.ladder(c.low, c.high)
		}
		roots := [4]int{}
		for i := range roots {
			roots[i] = c.IntN(len(c.scale))
		}
		roots[0] = 0
		rhythm := c.rhythm(c.favourites, 4)
		riff := c.riff(len(rhythm))
		home := nearest(c.ladder, c.low+c.within(2, 9))
		// Four bars, and at most four more: before each of them it may end.
		for bar := 0; (bar < 4 || bar < 8 && c.chance(0.5)) && len(c.line) < n; bar++ {
			root := home + roots[bar%4]
			if bar%4 == 3 && c.chance(c.fills) {
				c.fill(root)
			} else {
				c.play(riff, rhythm, root)
			}
		}
		c.breathe(c.line, 0.6, 1)
	}
	return c.line[:n]
}

// riff is steps of the scale from the root.
func (c *piece) riff(notes int) []int {
	riff := make([]int, notes)
	for i := 1; i < notes; i++ {
		riff[i] = riff[i-1] + []int{-2, -1, 0, 1, 2, 4, -4}[c.weighed(1, 3, 1.5, 3, 1, 0.4, 0.3)]
		if riff[i] > 7 || riff[i] < -4 {
			riff[i] = 0
		}
		if c.chance(c.octaves) {
			riff[i] = len(c.scale)
		}
	}
	return riff
}

// play is a bar of riff, varied, with a note left out now and then.
func (c *piece) play(riff []int, rhythm []float64, root int) {
	for i, beats := range rhythm {
		step := riff[i]
		if c.chance(c.varies) {
			step += pick(c.player, -1, 1)
		}
		if i > 0 && c.chance(0.05) {
			c.line[len(c.line)-1].rest += beats
			continue
		}
		c.add(root+step, beats)
	}
}

// fillCells are the weights of the cells that a fill is made of.
var fillCells = []float64{0, 2, 0, 1, 1, 2, 1, 0, 0, 0}

// fill is a run of a bar.
func (c *piece) fill(at int) {
	direction := pick(c.player, -1, 1)
	for _, beats := range c.rhythm(fillCells, 4) {
		c.add(at, beats)
		at += direction
		if at >= len(c.ladder)-1 || at <= 0 {
			direction = -direction
		}
	}
}

// add writes the note of a rung, or of its octave that the ladder has.
func (c *piece) add(rung int, beats float64) {
	for rung < 0 {
		rung += len(c.scale)
	}
	for rung >= len(c.ladder) {
		rung -= len(c.scale)
	}
	c.line = append(c.line, event{pitch: c.altered(c.ladder[rung], c.chromatic), beats: beats, over: c.harmony()})
}
