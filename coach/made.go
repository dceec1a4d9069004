package coach

// made is what the hand did in a passage: its moves there, up to its first fretted
// note, and inside, after it; and what its own system needs at least.
type made struct {
	there, inside int // at least confidentMove probable
	sure, likely  int // inside, that are certain, and as likely as not
	fewest        int
	now           int // ShiftsNow
}

// made is what the hand did in the open passage.
func (a *Adviser) made() made {
	m := made{fewest: a.own.fewest(a.notes, a.own.all).shifts}
	started := false
	for i := range a.estimates {
		e := &a.estimates[i]
		moved := func(least float64) bool { return e.Sure || e.Moved >= least }
		switch confident := moved(confidentMove); {
		case started:
			m.inside += one(confident)
			m.sure += one(moved(certain))
			m.likely += one(moved(Likely))
		case confident:
			m.there++
		}
		started = started || e.Place.Fret > 0 || e.Place.String == 0
	}
	m.now = max(m.inside, m.fewest)
	return m
}

// one counts what is so.
func one(so bool) int {
	if so {
		return 1
	}
	return 0
}
