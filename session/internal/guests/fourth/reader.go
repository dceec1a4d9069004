package fourth

// read plays a written tune, fingered ahead.
func (p *player) read(n int) []event {
	line := p.newTune().write(n)
	open := pick(p, -0.4, 0.3, 1.2, 4)
	p.finger(line, plan{
		look: p.within(4, 9), commit: p.within(1, 3),
		move: p.between(2, 4), fret: p.between(0.25, 0.6),
		cross: p.between(0.1, 0.7), skip: p.between(0.2, 0.6),
		open: open, away: p.between(0.01, 0.08), home: p.within(1, 7),
		relief: p.between(0.1, 0.5), little: p.between(0, 0.25), whim: p.between(0, 0.3),
	})
	return line
}

// readFreely reads pieces. Most tie positions to the key, as schooled: its root
// on one of the two low strings lies under the first finger, or in major under
// the second.
func (p *player) readFreely(n int) []event {
	line := p.newPiece().write(n)
	strict := p.between(0.2, 1.5)
	schooled := func(e event, s stance) float64 {
		if s.place.Fret == 0 {
			return 0
		}
		finger := 0
		if e.over.quality == major {
			finger = 1
		}
		for _, open := range p.neck.Open[2:] {
			if class(open+s.position+finger) == e.over.root {
				return 0
			}
		}
		return strict
	}
	if p.chance(0.35) {
		schooled = nil
	}
	p.finger(line, plan{
		look: p.within(3, 12), commit: p.within(1, 4),
		move: p.between(1.5, 5), fret: p.between(0.1, 0.7),
		cross: p.between(0, 0.8), skip: p.between(0.1, 0.8),
		open: pick(p, -1, 0, 0.5, 2, 6), away: p.between(0, 0.06), home: p.within(1, 8),
		relief: p.between(0, 0.8), little: p.between(0, 0.5), whim: p.between(0, 0.6),
		schooled: schooled,
	})
	return line
}
