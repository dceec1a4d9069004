package coach

// recent is how the last few notes were parted: players change their touch from
// phrase to phrase, and a run of short notes in a bound line is not a row of
// moves. How far it foretells a gap better than the touch as a whole is learnt.
type recent struct {
	bound, parted float64           // notes, the older the less
	parts         [partBins]float64 // parted ones by the silent part
	right, of     float64           // notes that it foretold rather than the whole, and all
}

// Tuned on simulated players.
const (
	recentFade  = 0.45 // a note: the last two count most
	recentRight = 3.2  // of recentOf notes, before any is heard
	recentOf    = 3.8
)

// recentBlur spreads a note over bins of silence, its own and the next ones to
// either side; it sums to one.
var recentBlur = [...]float64{5.0 / 12, 5.0 / 24, 1.0 / 12}

// weight is how far the recent notes are asked rather than the whole.
func (r *recent) weight() float64 { return (recentRight + r.right) / (recentOf + r.of) }

// read is what the last few notes say of a silent part in bin i: the share of
// notes that are parted, the density there among them, and the share below it.
// What all notes say of the three counts for one note.
func (r *recent) read(i int, share, at, below float64) (lateShare, lateAt, lateBelow float64) {
	lateShare = (r.parted + share) / (r.bound + r.parted + 1)
	near, less := 0.0, r.parts[i]/2
	for d, w := range recentBlur {
		if i+d < partBins {
			near += w * r.parts[i+d]
		}
		if d > 0 && i >= d {
			near += w * r.parts[i-d]
		}
	}
	for _, n := range r.parts[:i] {
		less += n
	}
	return lateShare, (near*partBins + at) / (r.parted + 1), (less + below) / (r.parted + 1)
}

// learn takes a note of silent part in bin i that is bound or parted with these
// probabilities, and how far the recent notes foretold it.
func (r *recent) learn(i int, bound, parted, right float64) {
	for i := range r.parts {
		r.parts[i] *= recentFade
	}
	r.parts[i] += parted
	r.bound = recentFade*r.bound + bound
	r.parted = recentFade*r.parted + parted
	r.right += right * (bound + parted)
	r.of += bound + parted
}

// parting is what one way of parting notes says of a gap that asks for no move:
// the densities of bound and of parted notes, a ms, and the share of gaps below.
type parting struct{ bound, parted, below float64 }

// density is that of any note.
func (p parting) density() float64 { return p.bound + p.parted }

// share is how probable it is that the note is bound.
func (p parting) share() float64 {
	if p.bound == 0 {
		return 0
	}
	return p.bound / (p.bound + p.parted)
}

// mixed is p with a share of q in its place.
func (p parting) mixed(q parting, share float64) parting {
	return parting{
		p.bound + share*(q.bound-p.bound),
		p.parted + share*(q.parted-p.parted),
		p.below + share*(q.below-p.below),
	}
}
