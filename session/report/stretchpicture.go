package report

import (
	"cmp"
	"fmt"
	"html/template"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// stretchPicture shows, for each position, what every system's window asks in
// mm, against the reach, and which positions the take used.
func stretchPicture(id string, r *session.Review, neck coach.Neck) template.HTML {
	const height, top, bottom, left, right = 138.0, 8.0, 92.0, 30.0, columnWidth - 46
	used, sure := usedPositions(r)
	last := min(neck.Frets, max(15, slices.Max(append(used, 0))))
	most := 0.0
	for _, sys := range coach.Systems {
		most = max(most, neck.StretchMM(1, sys.Width()))
	}
	if r.ReachMM != nil {
		most = max(most, min(*r.ReachMM, 2*most))
	}
	const step = 40.0
	most = max(step, math.Ceil(most/step)*step)
	s := newSVG(id, "Stretches against the reach", describeStretches(r, neck), columnWidth, height)
	x := func(position int) float64 { return left + (right-left)*float64(position-1)/float64(max(1, last-1)) }
	y := func(mm float64) float64 { return bottom - (bottom-top)*mm/most }
	for mm := 0.0; mm <= most; mm += step {
		s.line("grid", left, y(mm), right, y(mm))
		s.text("number end", left-4, y(mm)+4, trim(mm, 0))
	}
	every := 2 // positions from one number to the next
	for x(every+1)-x(1) < numberGap {
		every++
	}
	for p := 1; p <= last; p++ {
		if p == last || p%every == 1 && last-p >= every {
			s.text("number", x(p), bottom+24, strconv.Itoa(p))
		}
	}
	legend := ""
	for _, p := range used {
		class := "shift"
		if !sure[p] {
			class, legend = "shift maybe", ", △ a guess"
		}
		s.polygon(class, x(p), bottom+2, x(p)-3.5, bottom+9, x(p)+3.5, bottom+9)
	}
	s.text("small", left, height-6, "position (▲ used in this take"+legend+")")
	var names []curveName
	for i, sys := range coach.Systems {
		var curve []float64
		for p := 1; p <= min(last, neck.Positions(sys.Width())); p++ {
			curve = append(curve, x(p), y(neck.StretchMM(p, sys.Width())))
		}
		class := "curve"
		if i > 0 {
			class = "curve dashed"
		}
		s.polyline(class, curve...)
		names = append(names, curveName{curve[len(curve)-1], "small", sys.Name})
	}
	if r.ReachMM != nil {
		reach := min(*r.ReachMM, most)
		s.line("reach", left, y(reach), right, y(reach))
		names = append(names, curveName{y(reach), "small accent", "reach"})
	}
	slices.SortStableFunc(names, func(a, b curveName) int { return cmp.Compare(a.y, b.y) })
	for i, n := range names {
		if i > 0 { // names of lines that end close together stand one under another
			n.y = max(n.y, names[i-1].y+nameLine)
			names[i] = n
		}
		s.text(n.class, right+4, n.y+4, n.text)
	}
	return s.done()
}

// curveName is what stands at the right end of a line.
type curveName struct {
	y           float64
	class, text string
}

// nameLine is the height of a line of names.
const nameLine = 11.0

// stretchLine puts the same into words: from which position up a system's
// window lies within the reach.
func stretchLine(r *session.Review, neck coach.Neck) string {
	if r.ReachMM == nil {
		return "The reach is not known, so nothing is said about what lies within it. It is found at the neck: stillhand reach."
	}
	var parts []string
	for _, sys := range coach.Systems {
		where := "nowhere on this neck"
		switch from := coach.LowestWithin(neck, min(sys.Width(), neck.Frets), *r.ReachMM); {
		case from == 1:
			where = "everywhere"
		case from > 1:
			where = fmt.Sprintf("from position %d up", from)
		}
		parts = append(parts, fmt.Sprintf("%s fingers %s (at most %s)", sys.Name, where, millimetres(neck.StretchMM(1, sys.Width()))))
	}
	return fmt.Sprintf("Within %s: %s.", reachText(r), strings.Join(parts, ", "))
}

func describeStretches(r *session.Review, neck coach.Neck) string {
	text := "For each position, the fret-to-fret distance between the outer fingers. "
	text += stretchLine(r, neck) + " "
	used, sure := usedPositions(r)
	if len(used) > 0 {
		text += fmt.Sprintf("The take used %s from %d to %d", times(float64(len(used)), "position"), used[0], used[len(used)-1])
		if guesses := len(used) - len(sure); guesses > 0 {
			text += fmt.Sprintf(", %d of them a guess", guesses)
		}
		text += "."
	}
	return text
}

// usedPositions are those that fretted notes were played from, in ascending order,
// and which of them for sure: by one note at least.
func usedPositions(r *session.Review) (used []int, sure map[int]bool) {
	sure = map[int]bool{}
	seen := map[int]bool{}
	for _, n := range r.Notes {
		p := int(n.Position)
		if n.Fret == 0 || p < 1 {
			continue
		}
		seen[p] = true
		if !unsure(n) {
			sure[p] = true
		}
	}
	return slices.Sorted(maps.Keys(seen)), sure
}
