package coach

// CellKind tells the two practice cells apart.
type CellKind string

const (
	// WindowCell is every finger of the system once, in one window: 1-2-3-4
	// on four frets, 1-2-4 on three.
	WindowCell CellKind = "window"
	// FiveCell is five frets in a row, all the notes of the chromatic scale
	// that one string of a bass in fourths gives to a region (common
	// practice). One finger per fret plays it 1-2-3-4-4 with one shift of one
	// fret; the three-finger hand plays it 1-1-2-4-4, two frets of travel.
	FiveCell CellKind = "five"
)

// fiveFrets is the width of a FiveCell (common practice: one region of a bass
// tuned in fourths).
const fiveFrets = 5

// Cell is a short exercise on one string: its frets up and down again.
// Position is the lowest fret, String counts from 1, the highest.
type Cell struct {
	Kind     CellKind
	System   System
	Position int
	String   int
}

// Frets is the number of frets from the lowest to the highest of the cell.
func (c Cell) Frets() int {
	if c.Kind == FiveCell {
		return max(fiveFrets, c.System.Width())
	}
	return c.System.Width()
}

// Fits reports whether the neck has every place of the cell.
func (c Cell) Fits(n Neck) bool {
	return c.Position >= 1 && c.Position+c.Frets()-1 <= n.Frets && c.String >= 1 && c.String <= n.Strings()
}

// StretchMM is the widest window that the cell asks for, in mm: the one at its
// lowest position.
func (c Cell) StretchMM(n Neck) float64 { return n.StretchMM(c.Position, c.System.Width()) }

// Steps is the cell played passes times up and down, without a rest and
// without striking a turning note twice: frets 5 6 7 8 7 6 5 for one pass of a
// window cell at 5. Step.Note counts from 0.
func (c Cell) Steps(passes int) []Step {
	up := c.up()
	steps := make([]Step, 0, 2*len(up)*passes)
	for range passes {
		steps = append(steps, up[:len(up)-1]...)
		for i := len(up) - 1; i > 0; i-- {
			steps = append(steps, up[i])
		}
	}
	steps = append(steps, up[0])
	for i := range steps {
		steps[i].Note = i
	}
	return steps
}

// up is the way from the lowest fret to the highest.
//
// Five frets under a hand of width w need 5-w frets of travel. They are taken
// one by one, the last finger repeated at the top first and then the first
// finger at the bottom, which gives 1-2-3-4-4 and 1-1-2-4-4.
func (c Cell) up() []Step {
	s := c.System
	var steps []Step
	if c.Kind != FiveCell || s.Width() >= fiveFrets {
		for _, f := range s.Fingers {
			steps = append(steps, c.step(f.Offset, 0))
		}
		return steps
	}
	bottom := (fiveFrets - s.Width()) / 2
	for i := range fiveFrets {
		shift := min(i, bottom)
		if i-shift >= s.Width() {
			shift = i - s.Width() + 1
		}
		if s.FingerAt(i-shift) == 0 { // a system that leaves a fret out: its first finger always plays
			shift = i
		}
		steps = append(steps, c.step(i, shift))
	}
	return steps
}

func (c Cell) step(offset, shift int) Step {
	return Step{
		Place:    Place{c.String, c.Position + offset},
		Finger:   c.System.FingerAt(offset - shift),
		Position: c.Position + shift,
	}
}

// shiftsIn counts the steps at which the hand changes position.
func shiftsIn(steps []Step) int {
	n := 0
	for i := 1; i < len(steps); i++ {
		if steps[i].Position != steps[i-1].Position {
			n++
		}
	}
	return n
}
