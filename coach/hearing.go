package coach

import (
	"math"
	"slices"
)

// share is the part of the styles' weights that returns to the prior with each
// note: players change their way of playing within a take.
const share = 0.0036

// hear runs the styles over f and weighs them anew. To a placed style the notes are
// drawn from its window, one as if it knew nothing of the other; but a line comes back
// to its notes, and what one tells of the window was mostly told before. So each speaks
// for such a style, against those that take the line as given, with half the logarithm
// of its likelihood. The half is tuned. What all make of the note together counts in
// full, so that it is measured alike whoever is awake.
func (t *Tracker) hear(f *frame) {
	t.rouse(f)
	switch f.link {
	case first:
		t.begin(f)
		return
	case placeless:
		f.silence()
		for k := range t.casts {
			if f.from != nil {
				f.copyCells(k, f.from.cells[k])
			}
			if len(f.cells[k]) > 0 {
				f.hears(k)
			}
		}
		return
	}
	if f.link == struck && !f.noise() && t.known(f.note) != 0 {
		f.all /= t.told(f)
	}
	f.lie()
	given, of := 0.0, 0.0 // likelihood to the styles that take the line as given, and their weight
	f.silence()
	up := t.awake[:0]
	for _, k := range t.awake {
		if len(f.from.cells[k]) == 0 {
			up = append(up, k)
			continue
		}
		t.tell(k, f)
		x := t.forward(k, f.from, f)
		if x > 0 && f.noise() {
			x = 1 // it tells no style from another
		}
		if x == 0 { // it has lost the hand, and sleeps
			f.cells[k] = f.cells[k][:0]
			continue
		}
		up = append(up, k)
		f.hears(k)
		if t.like[k] = x; t.casts[k].manner != placed {
			given += t.weights[k] * x
			of += t.weights[k]
		}
	}
	t.awake = up
	total, whole, before, prior := 0.0, 0.0, 0.0, 0.0
	for _, k := range f.ears {
		x := t.like[k]
		whole += t.weights[k] * x
		if t.casts[k].manner == placed && given > 0 {
			x = math.Sqrt(x * given / of)
		}
		before += t.weights[k]
		prior += t.prior[k]
		t.weights[k] *= x
		total += t.weights[k]
	}
	if total == 0 {
		f.link, f.from = first, nil
		t.hear(f)
		return
	}
	t.explain(whole / before)
	for _, k := range f.ears {
		t.weights[k] = before * ((1-share)*t.weights[k]/total + share*t.prior[k]/prior)
	}
}

// tell fills what f's gap says to style k.
func (t *Tracker) tell(k int, f *frame) {
	to := &f.tells[k]
	if f.link != struck {
		*to = nothing
		return
	}
	t.touches[k].read(&to.reading, f.gap, f.steady, t.habits.Notes)
	to.moves.read(to.reading.moves())
	if to.strings = nothing.strings; f.from.link != placeless {
		to.strings = t.sustain.read(f.note.Sounding, to.reading.share())
	}
}

// explain takes the newest note's likelihood into that of the whole. A product
// of several is cheaper than the logarithm of each.
func (t *Tracker) explain(x float64) {
	t.newest = x
	if t.odds *= x; t.odds < 1e-100 || t.odds > 1e100 {
		t.log += math.Log(t.odds)
		t.odds = 1
	}
}

// begin is f with nothing known before: every style that is awake hears it, and
// all do if none is.
func (t *Tracker) begin(f *frame) {
	if len(t.awake) == 0 {
		t.awake = append(t.awake, t.everyone...)
	}
	f.silence()
	for _, k := range t.awake {
		f.hears(k)
		f.start(k, t.casts[k])
	}
	if t.said != 0 {
		t.mask(f, t.said-1)
	}
}

// told is the probability of the string that the input told, given the pitch.
// It stands for every style that takes the line as given: a style is chosen
// among them by the gaps alone, for which string a player takes tells more of
// taste than of looking ahead. Against placed styles, to which a string is part
// of the note, strings must count, so those styles are mixed by how well they
// foretell strings, and what the mixture says counts for all.
func (t *Tracker) told(f *frame) float64 {
	p, sum := 0.0, 0.0
	for _, k := range t.awake {
		if t.casts[k].manner == placed || len(f.from.cells[k]) == 0 {
			continue
		}
		x := max(t.string(k, f.from, f), toldLeast)
		sum += t.tastes[k]
		t.tastes[k] *= x
		p += t.tastes[k]
	}
	if sum == 0 {
		return 1
	}
	n := 0.0
	for _, k := range t.awake {
		t.tastes[k] = max(t.tastes[k], tasteLeast*t.taste(k)*sum)
		n += t.tastes[k]
	}
	for _, k := range t.awake {
		t.tastes[k] *= sum / n
	}
	return p / sum
}

// taste is what style k counts for as a teller of strings before any is told:
// nothing where the string is part of the note.
func (t *Tracker) taste(k int) float64 {
	if t.casts[k].manner == placed {
		return 0
	}
	return styles[k].prior
}

// toldLeast bounds what one odd string can say, tasteLeast what all of them can.
const (
	toldLeast  = 5.9e-05
	tasteLeast = 0.00052
)

// Styles that explain little sleep: after the first napEvery notes they hear only
// the first napBurst of each so many more, starting from what the heaviest style
// believes. It can take hundreds of notes until short gaps tell which finger leads,
// and a style that sleeps by then is missed for most of a take. Of those that stay
// awake, who has come to explain next to nothing sleeps at the next look. Which
// fingers lead hardly changes within a take, nor does what a hand thinks of strings,
// so the styles that differ in these are roused ever more rarely, down to once in
// leadersEvery.
const (
	napBurst     = 48
	napEvery     = 1024
	napLook      = 2 * napBurst
	napWeight    = 0.15
	lookWeight   = 0.05
	napTaste     = 0.5 // by far the best teller of strings stays awake
	leadersEvery = 8 * napEvery
	leadersTried = 32   // until napEvery, those sleep each so many notes
	leadersLost  = 0.03 // whose weight has fallen so far
)

// rouse decides which styles hear f.
func (t *Tracker) rouse(f *frame) {
	switch i := t.notes; {
	case f.noise():
	case i < napEvery:
		if i > 0 && i%leadersTried == 0 {
			t.awake = slices.DeleteFunc(t.awake, func(k int) bool {
				return k >= commonStyles && t.weights[k] < leadersLost*t.prior[k]
			})
		}
	case i%napEvery == 0:
		n := commonStyles
		if i%leadersEvery == 0 || i&(i-1) == 0 {
			n = len(styles)
		}
		t.wake(f, n)
	case i%napEvery == napBurst:
		t.nap(napWeight)
	case i%napEvery%napLook == napBurst:
		t.nap(lookWeight)
	}
}

// nap lets styles sleep that weigh less than least. The heaviest stays, or nobody
// might know where the hand is. If strings are a part of the note to it, it asks no
// other what they tell.
func (t *Tracker) nap(least float64) {
	lead := t.heaviest(t.awake)
	t.awake = slices.DeleteFunc(t.awake, func(k int) bool {
		return k != lead && t.weights[k] < least && (t.tastes[k] < napTaste || t.casts[lead].manner == placed)
	})
}

// leading is the style that weighs most of all.
func (t *Tracker) leading() int { return t.heaviest(t.everyone) }

// heaviest is the first of some styles with the greatest weight, -1 of none.
func (t *Tracker) heaviest(among []int) int {
	lead := -1
	for _, k := range among {
		if lead < 0 || t.weights[k] > t.weights[lead] {
			lead = k
		}
	}
	return lead
}

// wake rouses the first n styles. They take up what the heaviest of those that
// know the hand believes; if none does they sleep on. Where nothing is known before f
// they begin with it, as all do.
func (t *Tracker) wake(f *frame, n int) {
	lead := -1
	for _, k := range t.awake {
		if (f.from == nil || len(f.from.cells[k]) > 0) && (lead < 0 || t.weights[k] > t.weights[lead]) {
			lead = k
		}
	}
	if lead < 0 {
		return
	}
	for _, k := range t.everyone {
		if k >= n || slices.Contains(t.awake, k) {
			continue
		}
		t.awake = append(t.awake, k)
		t.touches[k] = t.touches[lead]
		if f.from != nil {
			f.from.copyCells(k, f.from.cells[lead])
		}
		if c := t.casts[k]; c.stale {
			c.lay(t.melody)
			c.stale = false
		}
	}
	slices.Sort(t.awake)
}
