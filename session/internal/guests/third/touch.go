package third

// Manners in which a phrase is articulated.
const (
	plain = iota
	legato
	staccato
)

// touch is how a player keeps time and lets notes go. Times in seconds.
type touch struct {
	bpm      float64
	wander   float64 // slow change of the tempo, share a beat
	sections float64 // chance of a new tempo at a phrase
	broaden  float64 // how much the end of a phrase slows
	swing    float64 // an off-beat eighth comes so many beats late
	clock    float64 // jitter of the beat felt
	motor    float64 // jitter of the finger
	density  int     // index into the rhythm vocabularies
	rest     float64 // chance that a written note is cut by a rest

	manner [3]float64 // plain, legato, staccato phrases
	hold   float64    // share of its length that a plain note sounds
	short  float64    // the same in staccato
	plant  float64    // plucking finger stops the string before plucking it again
	over   float64    // a finger leaves its string after the next one sounds
	hop    float64    // one finger from string to string at one fret
	barre  float64    // chance to lie flat instead of hopping
	ring   float64    // open strings are left ringing so much longer

	leave   float64 // time to leave and land, whatever the distance
	perRoot float64 // and more by the root of the way in mm
	early   float64 // chance to be off long before the move is due
	late    float64 // share of missing time that delays the next note

	loud, accent float64
}

func (p *player) newTouch(family int) touch {
	r := p.r
	t := touch{
		bpm:      p.between(68, 132),
		wander:   p.between(0.001, 0.008),
		sections: pick(r, 0, 0.03, 0.12),
		broaden:  pick(r, 0, 0, 0.06, 0.15),
		swing:    pick(r, 0, 0, 0.06, 0.16),
		clock:    p.between(0.003, 0.012),
		motor:    p.between(0.002, 0.009),
		density:  r.IntN(len(vocabularies)),
		rest:     p.between(0.02, 0.2),
		hold:     p.between(0.72, 0.99),
		short:    p.between(0.3, 0.6),
		plant:    p.between(0.004, 0.035),
		over:     p.between(0.002, 0.03),
		hop:      p.between(0.02, 0.06),
		barre:    pick(r, 0.1, 0.4, 0.8),
		ring:     pick(r, 0, 0.03, 0.09),
		leave:    p.between(0.03, 0.075),
		perRoot:  p.between(0.004, 0.011),
		early:    pick(r, 0, 0.05, 0.15, 0.35),
		late:     p.between(0.1, 0.6),
		loud:     p.between(62, 100),
		accent:   p.between(2, 14),
	}
	switch r.IntN(4) { // most players mix, one in four plays short notes everywhere
	case 0:
		t.manner = [3]float64{0.2, 0.05, 0.75}
	case 1:
		t.manner = [3]float64{0.3, 0.65, 0.05}
	case 2:
		t.manner = [3]float64{0.75, 0.2, 0.05}
	default:
		t.manner = [3]float64{0.45, 0.35, 0.2}
	}
	if Families[family] == "walking" {
		t.bpm = p.between(92, 210)
		t.swing = p.between(0.06, 0.17)
		t.rest = p.between(0, 0.04)
		t.hold = p.between(0.84, 1)
		if t.manner[staccato] > 0.5 { // the short walker: thumps
			t.short = p.between(0.45, 0.65)
		}
	}
	return t
}

func (p *player) newManner() int {
	x := p.r.Float64()
	for m, w := range p.touch.manner {
		if x -= w; x < 0 {
			return m
		}
	}
	return plain
}
