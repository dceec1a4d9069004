package report

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"

	"stillhand/coach"
	"stillhand/session"
)

// fallHeight is the most that the strings take of a page.
const fallHeight = 70.0

// fallPicture is the whole neck to scale with a disc at every place that was
// played, its area by how often.
func fallPicture(id string, r *session.Review, neck coach.Neck, width float64) template.HTML {
	counts := map[coach.Place]int{}
	most := 0
	for _, n := range r.Notes {
		p := n.Place()
		if p.String < 1 || p.String > neck.Strings() || p.Fret > neck.Frets {
			continue
		}
		counts[p]++
		most = max(most, counts[p])
	}
	gap, largest, class := 20.0, 9.5, "full"
	if width == columnWidth {
		gap, largest, class = 18, 7.5, "half"
	}
	if n := float64(neck.Strings() - 1); n*gap > fallHeight { // many strings share what a page has
		gap = fallHeight / n
		largest = min(largest, gap/2)
	}
	top := largest + 2
	bottom := top + gap*float64(neck.Strings()-1)
	s := newSVG(id, class, "Where on the neck the notes fell", describeFall(r, neck, counts), width, bottom+26)
	left := neckLeft + largest
	c := neckScale{neck, 1, left, (width - left - 6) / neck.FretMM(neck.Frets)}
	drawNeck(s, c, neck.Frets, top, gap)
	for str := 1; str <= neck.Strings(); str++ {
		for fret := 0; fret <= neck.Frets; fret++ {
			n := counts[coach.Place{String: str, Fret: fret}]
			if n == 0 {
				continue
			}
			x := left - largest - 1
			if fret > 0 {
				x = c.place(fret)
			}
			y := top + gap*float64(str-1)
			radius := max(2, largest*math.Sqrt(float64(n)/float64(most)))
			s.circle("fall", x, y, radius)
			if radius >= 6 && n < 10 || radius >= 7 && n < 100 || radius >= 9 {
				s.text("middle finger reverse tiny", x, y+3.2, strconv.Itoa(n))
			}
		}
	}
	return s.done()
}

// fallShares are the parts of the notes that lie open, in the lower and in the
// upper half of the octave below fret 12, and above it.
func fallShares(r *session.Review) string {
	var open, low, middle, high int
	for _, n := range r.Notes {
		switch {
		case n.Fret == 0:
			open++
		case n.Fret < 5:
			low++
		case n.Fret < 12:
			middle++
		default:
			high++
		}
	}
	total := float64(max(1, len(r.Notes)))
	share := func(n int) string { return fmt.Sprintf("%.0f%%", 100*float64(n)/total) }
	return fmt.Sprintf("Open strings %s, frets 1 to 4 %s, frets 5 to 11 %s, fret 12 and above %s.", share(open), share(low), share(middle), share(high))
}

func describeFall(r *session.Review, neck coach.Neck, counts map[coach.Place]int) string {
	places := make([]coach.Place, 0, len(counts))
	for p := range counts {
		places = append(places, p)
	}
	slices.SortFunc(places, func(a, b coach.Place) int {
		return cmp.Or(cmp.Compare(counts[b], counts[a]), cmp.Compare(a.String, b.String), cmp.Compare(a.Fret, b.Fret))
	})
	text := fmt.Sprintf("The neck from the nut to fret %d; the larger a disc, the more notes. %s", neck.Frets, fallShares(r))
	if len(places) > 0 {
		text += " Most often: "
		for i, p := range places[:min(3, len(places))] {
			if i > 0 {
				text += ", "
			}
			text += fmt.Sprintf("string %d fret %d (%s)", p.String, p.Fret, times(float64(counts[p]), "time"))
		}
		text += "."
	}
	return text
}
