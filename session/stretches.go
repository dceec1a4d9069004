package session

import "stillhand/coach"

// stretches are those of the windows that the hand took for fretted notes, each
// with the fingers that were in force for it.
type stretches struct {
	neck    coach.Neck
	reachMM float64
	mm      [coach.MaxFrets + 1]float64 // by position, with the fingers in force
	isWide  [coach.MaxFrets + 1]bool    // likewise, see coach.Wide
	widest  float64                     // mm
	wide    int                         // notes in a wide window
}

func newStretches(s Setup) *stretches {
	x := &stretches{neck: s.Neck, reachMM: s.ReachMM}
	x.use(s.System)
	return x
}

// use says that the notes to come are played with s.
func (x *stretches) use(s coach.System) {
	for p := 1; p < len(x.mm); p++ {
		x.mm[p] = x.neck.StretchMM(p, s.Width())
		x.isWide[p] = coach.Wide(x.neck, s, p, x.reachMM)
	}
}

// take takes a settled note.
func (x *stretches) take(e *coach.Estimate) {
	if e.Place.Fret == 0 || e.Position == 0 {
		return
	}
	mm := x.mm[e.Position]
	x.widest = max(x.widest, mm)
	if x.isWide[e.Position] {
		x.wide++
	}
}
