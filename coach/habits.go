package coach

// moveClasses counts the classes of moves that gaps tell apart: none, near
// (up to nearFrets) and far.
const moveClasses = 3

// gapEdges are the upper edges of the gap bins in ms; the first bin holds
// notes that overlap the one before, the last everything longer.
var gapEdges = [...]float64{0, 10, 20, 35, 60, 100, 160, 250, 400, 800}

const gapBins = len(gapEdges) + 1

// Habits is what was learnt of a player. The zero value is nothing learnt.
type Habits struct {
	Notes   float64 // notes heard
	Shifts  float64 // expected shifts among them
	Open    float64 // notes on open strings, expected
	StayGap [gapBins]float64
	NearGap [gapBins]float64
	FarGap  [gapBins]float64
	Styles  [maxStyles]float64 // weight of each way of playing
}

// gapBin is the bin of a gap.
func gapBin(ms float64) int {
	for i, e := range gapEdges {
		if ms <= e {
			return i
		}
	}
	return gapBins - 1
}

// gapPrior is the expected share of gaps in each bin, and how many notes it
// counts for.
var gapPrior = [moveClasses][gapBins]float64{
	{0.30, 0.12, 0.10, 0.10, 0.10, 0.08, 0.06, 0.05, 0.04, 0.03, 0.02},
	{0.08, 0.05, 0.07, 0.12, 0.18, 0.18, 0.13, 0.08, 0.06, 0.03, 0.02},
	{0.04, 0.02, 0.04, 0.08, 0.15, 0.22, 0.20, 0.12, 0.07, 0.04, 0.02},
}

const gapPriorNotes = 10

func (h *Habits) gapCounts(class int) *[gapBins]float64 {
	return [...]*[gapBins]float64{&h.StayGap, &h.NearGap, &h.FarGap}[class]
}

// gap returns the likelihood of bin for every class of move.
func (h *Habits) gap(bin int) (g [moveClasses]float64) {
	for c := range g {
		counts := h.gapCounts(c)
		n := 0.0
		for _, x := range counts {
			n += x
		}
		g[c] = (counts[bin] + gapPriorNotes*gapPrior[c][bin]) / (n + gapPriorNotes)
	}
	return g
}
