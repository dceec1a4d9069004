package report

import (
	"fmt"
	"html/template"
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
	const height, top, bottom, left, right = 140.0, 8.0, 98.0, 30.0, columnWidth - 46
	last := min(neck.Frets, 15)
	most := 0.0
	for _, sys := range coach.Systems {
		most = max(most, neck.StretchMM(1, sys.Width()))
	}
	if r.ReachMM != nil {
		most = max(most, min(*r.ReachMM, 2*most))
	}
	most = math.Ceil(most/40) * 40
	s := newSVG(id, "half", "Stretches against the reach", describeStretches(r, neck), columnWidth, height)
	x := func(position int) float64 { return left + (right-left)*float64(position-1)/float64(max(1, last-1)) }
	y := func(mm float64) float64 { return bottom - (bottom-top)*mm/most }
	step := 40.0
	for mm := 0.0; mm <= most; mm += step {
		s.line("grid", left, y(mm), right, y(mm))
		s.text("number end", left-4, y(mm)+4, trim(mm, 0))
	}
	used := map[int]int{}
	for _, n := range r.Notes {
		if n.Fret > 0 {
			used[int(n.Position)]++
		}
	}
	for p := 1; p <= last; p++ {
		if p == 1 || p%2 == 1 && p != last-1 || p == last {
			s.text("number", x(p), bottom+24, strconv.Itoa(p))
		}
		if used[p] > 0 {
			s.polygon("shift", x(p), bottom+2, x(p)-3.5, bottom+9, x(p)+3.5, bottom+9)
		}
	}
	s.text("small", left, height-8, "position (▲ used in this take)")
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
		s.text("small", right+4, curve[len(curve)-1]+4, sys.Name)
	}
	if r.ReachMM != nil {
		reach := min(*r.ReachMM, most)
		s.line("reach", left, y(reach), right, y(reach))
		s.text("small accent", right+4, y(reach)+4, "reach")
	}
	return s.done()
}

// stretchLine puts the same into words: from which position up a system's
// window lies within the reach.
func stretchLine(r *session.Review, neck coach.Neck) string {
	if r.ReachMM == nil {
		return "The reach is not known, so nothing is said about what lies within it. It is found at the neck: stillhand reach."
	}
	var parts []string
	for _, sys := range coach.Systems {
		where := "nowhere on this neck"
		switch from := coach.LowestWithin(neck, sys.Width(), *r.ReachMM); {
		case from == 1:
			where = "everywhere"
		case from > 1:
			where = fmt.Sprintf("from position %d up", from)
		}
		parts = append(parts, fmt.Sprintf("%s fingers %s (at most %.0f mm)", sys.Name, where, neck.StretchMM(1, sys.Width())))
	}
	return fmt.Sprintf("Within %s mm: %s.", trim(*r.ReachMM, 0), strings.Join(parts, ", "))
}

func describeStretches(r *session.Review, neck coach.Neck) string {
	text := "For each position, the fret-to-fret distance between the outer fingers. "
	text += stretchLine(r, neck) + " "
	var used []int
	for _, n := range r.Notes {
		if n.Fret > 0 && !slices.Contains(used, int(n.Position)) {
			used = append(used, int(n.Position))
		}
	}
	slices.Sort(used)
	if len(used) > 0 {
		text += fmt.Sprintf("The take used %s from %d to %d.", times(float64(len(used)), "position"), used[0], used[len(used)-1])
	}
	return text
}
