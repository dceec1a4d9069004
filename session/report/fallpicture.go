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

// nameWidth is what the longest name of a string takes, F#1, with its margin.
const nameWidth = 28.0

// fallPicture is the whole neck to scale with a disc at every place that was
// played, its area by how often; dashed where it is mostly a guess.
func fallPicture(id string, r *session.Review, neck coach.Neck, width float64) template.HTML {
	counts, guessed := placesOf(r, neck)
	most, highest := 0, 1
	for p, n := range counts {
		most, highest = max(most, n), max(highest, p.Fret)
	}
	gap, largest := 20.0, 9.5
	if width == columnWidth {
		gap, largest = 18, 7.5
	}
	if n := float64(neck.Strings() - 1); n*gap > fallHeight { // many strings share what a page has
		gap = fallHeight / n
		largest = min(largest, gap/2)
	}
	// Discs at neighbouring frets touch at most.
	largest = min(largest, (width-nameWidth-2*largest-8)*(neck.FretMM(highest)-neck.FretMM(highest-1))/neck.FretMM(neck.Frets)/2)
	top := largest + 2
	bottom := top + gap*float64(neck.Strings()-1)
	s := newSVG(id, "Where on the neck the notes fell", describeFall(r, neck, counts, guessed), width, bottom+26)
	left := nameWidth + 2*largest + 2
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
			class, text := "fall", "middle finger reverse tiny"
			if guessed[coach.Place{String: str, Fret: fret}] {
				class, text, radius = "mark maybe", "middle finger tiny", max(3, radius)
			}
			s.circle(class, x, y, radius)
			if label := strconv.Itoa(n); math.Hypot(float64(len(label))*digitWidth, digitHeight)/2 <= radius {
				s.text(text, x, y+3.2, label)
			}
		}
	}
	return s.done()
}

// placesOf counts the notes at each place of the neck, and says which places are
// mostly a guess: half of their notes or more.
func placesOf(r *session.Review, neck coach.Neck) (counts map[coach.Place]int, guessed map[coach.Place]bool) {
	sure := map[coach.Place]int{}
	counts, guessed = map[coach.Place]int{}, map[coach.Place]bool{}
	for _, n := range r.Notes {
		p := n.Place()
		if p.String < 1 || p.String > neck.Strings() || p.Fret > neck.Frets {
			continue
		}
		counts[p]++
		if placeSure(r, n) {
			sure[p]++
		}
	}
	for p, n := range counts {
		if 2*sure[p] <= n {
			guessed[p] = true
		}
	}
	return counts, guessed
}

// A digit of a disc's number, and its margin: 9px of a bold sans serif.
const (
	digitWidth  = 5.8
	digitHeight = 7.5
)

// fallText says what the discs are and how the notes share out over the neck, as a
// guess where most of them are one.
func fallText(r *session.Review, neck coach.Neck) string {
	doubtful := 0
	for _, n := range r.Notes {
		if !placeSure(r, n) {
			doubtful++
		}
	}
	text := "The larger a disc, the more notes; a number in one says how many."
	if _, guessed := placesOf(r, neck); len(guessed) > 0 {
		text += " Dashed: mostly guesses."
	}
	if doubtful > 0 {
		text += fmt.Sprintf(" The place is less than four-fifths sure for %d of %s", doubtful, coach.Many(len(r.Notes), "note"))
		if 2*doubtful > len(r.Notes) {
			text += ", so these shares are a guess too"
		}
		text += "."
	}
	return text + " " + fallShares(r)
}

// fallShares are the parts of the notes that lie open, in the lower and in the
// upper half of the octave below fret 12, and above it.
func fallShares(r *session.Review) string {
	var open, low, middle, high int
	for _, n := range r.Notes {
		switch {
		case n.Fret == 0:
			open++
		case int(n.Fret) <= coach.LowTo:
			low++
		case int(n.Fret) < coach.HighFrom:
			middle++
		default:
			high++
		}
	}
	share := func(n int) string { return percent(float64(n) / float64(max(1, len(r.Notes)))) }
	return fmt.Sprintf("Open strings %s, frets 1 to %d %s, frets %d to %d %s, fret %d and above %s.",
		share(open), coach.LowTo, share(low), coach.LowTo+1, coach.HighFrom-1, share(middle), coach.HighFrom, share(high))
}

func describeFall(r *session.Review, neck coach.Neck, counts map[coach.Place]int, guessed map[coach.Place]bool) string {
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
			doubt := ""
			if guessed[p] {
				doubt = "?"
			}
			text += fmt.Sprintf("string %d fret %d%s (%s)", p.String, p.Fret, doubt, times(float64(counts[p]), "time"))
		}
		text += "."
	}
	return text
}
