package coach

// Region is what was played from one position of the hand, and what the two
// common systems would have needed there. Regions of the same position add up
// over takes: Notes, Four and Three are sums.
type Region struct {
	Position int
	Notes    int // fretted notes
	Four     int // shifts that four fingers need into these notes
	Three    int // shifts that three fingers need into them
}

// Regions tells where on the neck which system needs how many shifts. Its
// shifts are the growth of each system's fewest: a system is charged for a
// shift at the note at which its optimum over all notes so far grows, so the
// sum over all regions is exactly the optimum, and the sum of Three-Four is
// exactly the difference of the two. Memory does not grow with the notes; Note
// allocates nothing and takes constant time.
type Regions struct {
	four, three         *cover
	fourGrip, threeGrip chord
	fourLine, threeLine fewest
	regions             [MaxFrets + 1]Region
}

// NewRegions returns empty Regions of neck n. It panics on a neck that
// Validate refuses.
func NewRegions(n Neck) *Regions {
	r := &Regions{four: newCover(n, Four), three: newCover(n, Three)}
	r.Reset()
	return r
}

// Reset forgets all notes.
func (r *Regions) Reset() {
	r.fourGrip.size, r.threeGrip.size = 0, 0
	r.fourLine, r.threeLine = newFewest(r.four.all), newFewest(r.three.all)
	for p := range r.regions {
		r.regions[p] = Region{Position: p}
	}
}

// Note adds the next note, played with the hand at position, from 1 to MaxFrets.
func (r *Regions) Note(n Note, position int) {
	at := &r.regions[position]
	if r.four.positions(n.tone()) != anywhere {
		at.Notes++
	}
	at.Four += r.fourLine.take(r.four.hold(&r.fourGrip, &n))
	at.Three += r.threeLine.take(r.three.hold(&r.threeGrip, &n))
}

// All returns the regions in which something was played, lowest first.
func (r *Regions) All() []Region {
	var played []Region
	for _, at := range r.regions {
		if at.Notes > 0 || at.Four > 0 || at.Three > 0 {
			played = append(played, at)
		}
	}
	return played
}

// Crossover is the crossover fret of all notes so far, see the function
// Crossover.
func (r *Regions) Crossover() int { return Crossover(r.regions[:]) }

// Crossover is the position below which three fingers cost nothing and from
// which on four save moves: the highest position such that over everything
// played below it three fingers need no more shifts than four. It is the
// lowest position played if four save moves already there, and 0 if four save
// none over all regions together. The regions are in ascending order of
// Position.
func Crossover(regions []Region) int {
	cost, at := 0, 0
	for _, r := range regions {
		if cost <= 0 {
			at = r.Position
		}
		cost += r.Three - r.Four
	}
	if cost <= 0 {
		return 0
	}
	return at
}
