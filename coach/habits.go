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

// usualGap is the expected share of gaps in each bin before a player is known,
// and usualNotes how many notes it counts for.
var usualGap = [gapBins]float64{0.25, 0.12, 0.10, 0.10, 0.10, 0.09, 0.08, 0.06, 0.05, 0.03, 0.02}

const usualNotes = 10

// gapNeed is how readily a move is made in a gap of each bin, against staying.
var gapNeed = [moveClasses][gapBins]float64{
	{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1},
	{0.15, 0.2, 0.3, 0.5, 0.8, 1, 1, 1, 1, 1, 1},
	{0.06, 0.08, 0.15, 0.3, 0.6, 0.9, 1, 1, 1, 1, 1},
}

// needNotes is how many moves gapNeed counts for against what was learnt.
var needNotes = 40.0

func (h *Habits) gapCounts(class int) *[gapBins]float64 {
	return [...]*[gapBins]float64{&h.StayGap, &h.NearGap, &h.FarGap}[class]
}

// gap returns the likelihood of bin for every class of move.
func (h *Habits) gap(bin int) (g [moveClasses]float64) {
	n := 0.0
	for _, x := range h.StayGap {
		n += x
	}
	var usual [gapBins]float64
	for i := range usual {
		usual[i] = (h.StayGap[i] + usualNotes*usualGap[i]) / (n + usualNotes)
	}
	g[0] = usual[bin]
	for c := 1; c < moveClasses; c++ {
		counts := h.gapCounts(c)
		n, z := 0.0, 0.0
		for i, x := range counts {
			n += x
			z += usual[i] * gapNeed[c][i]
		}
		g[c] = (counts[bin] + needNotes*usual[bin]*gapNeed[c][bin]/z) / (n + needNotes)
	}
	return g
}
