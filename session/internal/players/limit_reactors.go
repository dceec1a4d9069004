package players

import "math"

// reactorModel is a hand that decides each note by itself. Its chances are
// exact but for the sum that stands for an integral over the noise.
type reactorModel struct {
	begin  []state
	pitch  []int // [note]
	ask    func(i int) question
	decide func(q question, c *chances)
	known  map[question][]step
}

// question is all that a decision hangs on.
type question struct {
	stance
	pitch int
	beat  int // walking: note of the bar
	next  int // walking: the root that a bar's last note leads to
}

func newReactorModel(h *habits, take Take, starts int) *reactorModel {
	m := &reactorModel{pitch: take.pitches(), known: map[question][]step{}}
	m.ask = func(i int) question { return question{pitch: m.pitch[i]} }
	for d := range starts {
		for s := range h.neck.Strings() {
			m.begin = append(m.begin, state{cell: cell{place(s+1, 0), h.low + d}})
		}
	}
	return m
}

func newImproviserModel(h *habits, take Take, _ int) model {
	h.newImproviser()
	m := newReactorModel(h, take, improviserStarts)
	m.decide = h.improviseChances
	return m
}

func newAlongModel(h *habits, take Take, _ int) model {
	a, _ := h.newAlong()
	m := newReactorModel(h, take, alongStarts)
	m.decide = func(q question, c *chances) { h.singChances(a, q, c) }
	return m
}

func newWalkingModel(h *habits, take Take, _ int) model {
	_, at, shape := h.newWalk()
	m := newReactorModel(h, take, 0)
	for d := range walkStarts {
		m.begin = append(m.begin, state{cell: cell{place(at.str, 0), h.low + d}})
	}
	m.ask = func(i int) question {
		q := question{pitch: m.pitch[i], beat: i % 4}
		if q.beat == 3 {
			// A root that the take does not reach is reckoned to be at hand.
			q.next = m.pitch[min(i+1, len(m.pitch)-1)]
		}
		return q
	}
	m.decide = func(q question, c *chances) { h.walkChances(shape, q, c) }
	return m
}

func (t Take) pitches() []int {
	all := make([]int, len(t.Hits))
	for i, h := range t.Hits {
		all[i] = t.Neck.Pitch(h.Place)
	}
	return all
}

func (m *reactorModel) starts() []state { return m.begin }

func (m *reactorModel) block(int) int { return 1 }

func (m *reactorModel) steps(i int, from state) []step {
	q := m.ask(i)
	q.stance = stance{from.position, from.place.String}
	all, ok := m.known[q]
	if !ok {
		c := chances{index: map[cell]int{}}
		m.decide(q, &c)
		all = c.steps
		m.known[q] = all
	}
	return all
}

// chances gathers what may be done with one note.
type chances struct {
	steps []step
	index map[cell]int
}

func (c *chances) add(at cell, p float64) {
	if p <= 0 {
		return
	}
	j, ok := c.index[at]
	if !ok {
		j = len(c.steps)
		c.index[at] = j
		c.steps = append(c.steps, step{[]cell{at}, state{cell: at}, 0})
	}
	c.steps[j].p += p
}

// chosen is the chance that choose takes each option: the integral, over the
// noise of its judgement, of all others seeming dearer.
func (h *habits) chosen(options []option, scale float64) []float64 {
	const reach, fine = 7.0, 0.1 // of the sum, in standard deviations
	p := make([]float64, len(options))
	noise := scale * h.noise
	for i, o := range options {
		for z := -reach; z <= reach; z += fine {
			x := fine * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
			for j, other := range options {
				if j != i && x > 0 {
					x *= normal((other.cost-o.cost)/noise - z)
				}
			}
			p[i] += x
		}
	}
	return p
}

// improviseChances follows improvise.
func (h *habits) improviseChances(q question, c *chances) {
	options := h.ideas(q.stance, q.pitch)
	for i, p := range h.chosen(options, improviserNoise) {
		o := options[i]
		d := o.to - q.position
		if d == 1 || d == -1 {
			c.add(cell{o.place, q.position}, p*h.extends)
			p *= 1 - h.extends
		}
		if d != 0 {
			for k := 1; k <= 2; k++ {
				further := h.clamp(o.to + k*sign(d))
				if !h.covers(further, o.place) {
					further = o.to
				}
				c.add(cell{o.place, further}, p*h.overshot/2)
			}
			p *= 1 - h.overshot
		}
		c.add(cell{o.place, o.to}, p)
	}
}

// walkChances follows walk.
func (h *habits) walkChances(shape int, q question, c *chances) {
	options := h.footings(q.stance, shape, q.beat, q.pitch, q.next)
	for i, p := range h.chosen(options, walkNoise) {
		o := options[i]
		if d := o.to - q.position; d == 1 || d == -1 {
			c.add(cell{o.place, q.position}, p*h.extends)
			p *= 1 - h.extends
		}
		c.add(cell{o.place, o.to}, p)
	}
}

// singChances follows sing.
func (h *habits) singChances(a along, q question, c *chances) {
	keeps := 1 - a.stray
	fret, ok := h.neck.Fret(q.pitch, q.str)
	switch {
	case !ok || fret > h.high+4:
		keeps = 0
	case fret == 0:
		keeps *= min(1, h.open+0.3)
	}
	h.leadChances(a, q, q.str, keeps, c)
	options := h.strays(q.stance, q.pitch)
	for shuns, p := range []float64{h.open, 1 - h.open} {
		for i := range options {
			if shuns == 1 && options[i].place.Fret == 0 {
				options[i].cost += shunned
			}
		}
		for i, share := range h.chosen(options, 1) {
			h.leadChances(a, q, options[i].place.String, (1-keeps)*p*share, c)
		}
	}
}

// leadChances follows sing once the string is chosen, which has chance p.
func (h *habits) leadChances(a along, q question, str int, p float64, c *chances) {
	if p == 0 {
		return
	}
	fret, _ := h.neck.Fret(q.pitch, str)
	at := place(str, fret)
	if h.covers(q.position, at) {
		c.add(cell{at, q.position}, p)
		return
	}
	land := func(lead int, p float64) {
		to := h.clamp(fret - lead)
		if !h.covers(to, at) {
			to = h.nearest(q.position, at)
		}
		c.add(cell{at, to}, p)
	}
	for lead := range h.width {
		land(lead, p*a.slip/float64(h.width))
	}
	if fret < q.position {
		land(a.down, p*(1-a.slip))
	} else {
		land(a.up, p*(1-a.slip))
	}
}
