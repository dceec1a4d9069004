package fourth

// tune is a line in a key, made of phrases of five kinds. It knows nothing of a
// hand.
type tune struct {
	*player
	key
	low, high int
	kinds     []float64 // weights of run, arpeggio, sequence, riff, wander
	longest   int       // phrase
	rests     float64   // share of phrases that end in one
	long      float64   // share of notes twice as long
	leap      float64
	chromatic float64
	stay      int // notes until the key changes

	ladder []int
	at     int // rung
	line   []event
}

const unending = 1000

func (p *player) newTune() *tune {
	t := &tune{player: p, low: p.within(lowest, 36), stay: p.within(24, 90)}
	if p.chance(0.25) {
		t.stay = unending
	}
	t.key = p.newKey()
	t.high = min(58, t.low+p.within(17, 28))
	t.chromatic = p.between(0, 0.1)
	t.kinds = []float64{p.between(0.5, 1.5), p.between(0.3, 1), p.between(0.2, 1), p.between(0.3, 1.2), p.between(0.3, 1.2)}
	t.longest = p.within(9, 20)
	t.rests = p.between(0.3, 0.9)
	t.long = p.between(0, 0.2)
	t.leap = p.between(0.05, 0.2)
	t.ladder = t.key.ladder(t.low, t.high)
	t.at = p.IntN(len(t.ladder))
	return t
}

// write is n notes of t.
func (t *tune) write(n int) []event {
	changed := 0
	for len(t.line) < n {
		if len(t.line)-changed > t.stay {
			changed = len(t.line)
			t.key = t.modulated(t.key)
			was := t.ladder[t.at]
			t.ladder = t.key.ladder(t.low, t.high)
			t.at = nearest(t.ladder, was)
		}
		phrases := []func(length int){t.run, t.arpeggio, t.sequence, t.riff, t.wander}
		length := t.within(5, t.longest)
		phrases[t.weighed(t.kinds...)](length)
		t.breathe(t.line, t.rests, 0.5)
	}
	return t.line[:n]
}

// add goes to a rung and writes its note.
func (t *tune) add(rung int) {
	t.at = folded(rung, len(t.ladder))
	e := event{beats: 0.5}
	if t.chance(t.long) {
		e.beats = 1
	}
	e.pitch = t.altered(t.ladder[t.at], t.chromatic)
	t.line = append(t.line, e)
}

// run goes along the scale, with turns.
func (t *tune) run(length int) {
	direction := inward(t.at, len(t.ladder))
	for range length {
		t.add(t.at + direction)
		if t.at == 0 || t.at == len(t.ladder)-1 || t.chance(0.06) {
			direction = -direction
		}
	}
}

func (t *tune) arpeggio(length int) {
	from, third := t.at, 2*inward(t.at, len(t.ladder))
	up := []int{0, 1, 2, 3, 2, 1}
	for i := range length {
		t.add(from + third*up[i%len(up)])
	}
}

// sequence carries a figure along the scale.
func (t *tune) sequence(length int) {
	figure := pick(t.player, []int{0, 1, 2}, []int{0, 2}, []int{0, 1, 2, 0}, []int{0, 1, 2, 3}, []int{2, 1, 0})
	from, direction := t.at, inward(t.at, len(t.ladder))
	for i := range length {
		t.add(from + direction*(figure[i%len(figure)]+i/len(figure)))
	}
}

// riff says a few notes again and again, however long the phrase should be.
func (t *tune) riff(int) {
	figure := make([]int, t.within(3, 6))
	for i := 1; i < len(figure); i++ {
		figure[i] = figure[i-1] + t.within(-2, 2)
	}
	from := t.at
	for range t.within(2, 4) {
		for _, step := range figure {
			t.add(from + step)
		}
	}
}

func (t *tune) wander(length int) {
	for range length {
		step := []int{-2, -1, 1, 2, 0}[t.weighed(1, 3, 3, 1, 0.4)]
		if t.chance(t.leap) {
			step = t.within(-5, 5)
		}
		t.add(t.at + step)
	}
}
