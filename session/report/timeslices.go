package report

import (
	"cmp"
	"slices"
)

// mostBands is how many stays are drawn one by one: more run into each other. Ours.
const mostBands = 120

// sliceWidth is how much of the axis is drawn as one, in a picture's units.
const sliceWidth = 8.0

// What a strip's bands are, and what they are in slices.
const (
	bandsMean  = "Each band is the frets under the hand, low frets at the bottom; ▲ a shift, △ one that is only likely."
	slicesMean = "Too many places and shifts to draw each: dark, the frets under the hand for the middle half of the time, pale for nine tenths."
)

// stripsMean says what the strips show.
func stripsMean(strips []timeStrip) string {
	sliced := 0
	for _, s := range strips {
		if len(s.stays) > mostBands {
			sliced++
		}
	}
	switch sliced {
	case 0:
		return bandsMean
	case len(strips):
		return slicesMean
	}
	return bandsMean + " A strip without marks: t" + slicesMean[1:]
}

// weighed is a position and how long the hand lay there, in a picture's units.
type weighed struct {
	position int
	width    float64
}

// drawSlices draws for each slice of the axis where the hand lay: pale over the
// middle nine tenths of the time by position, darker over the middle half. reach is
// from where to where a stay lies on the axis, which ends at right.
func drawSlices(s *svg, strip timeStrip, reach func(i int) (from, to float64), y func(int) float64, right float64) {
	i := 0
	start, _ := reach(0)
	for left := start; left < right; left += sliceWidth {
		edge := min(left+sliceWidth, right)
		var lay []weighed
		unsure, all := 0.0, 0.0
		for ; i < len(strip.stays); i++ {
			from, to := reach(i)
			if wide := min(to, edge) - max(from, left); wide > 0 {
				lay = append(lay, weighed{strip.stays[i].position, wide})
				all += wide
				if strip.stays[i].unsure {
					unsure += wide
				}
			}
			if to > edge { // goes on in the next slice
				break
			}
		}
		if all == 0 {
			continue
		}
		slices.SortFunc(lay, func(a, b weighed) int { return cmp.Compare(a.position, b.position) })
		band := func(class string, share float64) {
			low, high := shareAt(lay, all*(1-share)/2), shareAt(lay, all*(1+share)/2)
			s.rect(class, left, y(high+strip.width-1), edge-left, y(low-1)-y(high+strip.width-1), 0)
		}
		band("haze", 0.9)
		if 2*unsure > all {
			band("band maybe", 0.5)
		} else {
			band("band", 0.5)
		}
	}
}

// shareAt is the position at which so much of what lay there is passed.
func shareAt(lay []weighed, much float64) int {
	for _, w := range lay {
		if much -= w.width; much <= 0 {
			return w.position
		}
	}
	return lay[len(lay)-1].position
}
