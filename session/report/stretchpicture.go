package report

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"

	"stillhand/coach"
	"stillhand/session"
)

// stretchPicture shows, for each position, what every system's window asks in
// mm, against the reach, and which positions the take used.
func stretchPicture(id string, r *session.Review, neck coach.Neck) template.HTML {
	const height, top, bottom, left, right = 152.0, 8.0, 110.0, 30.0, columnWidth - 46
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
			used[n.Position]++
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

// stretchLines put the same into words: from which fret on a system's window
// lies within the reach.
func stretchLines(r *session.Review, neck coach.Neck) []string {
	if r.ReachMM == nil {
		return []string{"The reach is not known, so nothing is said about what lies within it. It is found at the neck: stillhand reach."}
	}
	var lines []string
	for _, sys := range coach.Systems {
		from := comfortFrom(neck, sys, *r.ReachMM)
		name := capital(sys.Name) + " fingers"
		switch {
		case from == 1:
			lines = append(lines, fmt.Sprintf("%s lie within %s mm everywhere (%.0f mm at most).", name, trim(*r.ReachMM, 0), neck.StretchMM(1, sys.Width())))
		case from == 0:
			lines = append(lines, fmt.Sprintf("%s lie within %s mm nowhere on this neck.", name, trim(*r.ReachMM, 0)))
		default:
			lines = append(lines, fmt.Sprintf("%s lie within %s mm from position %d up; below it they ask up to %.0f mm.",
				name, trim(*r.ReachMM, 0), from, neck.StretchMM(1, sys.Width())))
		}
	}
	return lines
}

// comfortFrom is the lowest position whose window lies within the reach, 0 if
// none does: windows only get narrower up the neck.
func comfortFrom(neck coach.Neck, sys coach.System, reach float64) int {
	for p := 1; p <= neck.Positions(sys.Width()); p++ {
		if neck.StretchMM(p, sys.Width()) <= reach {
			return p
		}
	}
	return 0
}

func describeStretches(r *session.Review, neck coach.Neck) string {
	text := "For each position, the fret-to-fret distance between the outer fingers. "
	for _, line := range stretchLines(r, neck) {
		text += line + " "
	}
	var used []int
	for _, n := range r.Notes {
		if n.Fret > 0 && !slices.Contains(used, n.Position) {
			used = append(used, n.Position)
		}
	}
	slices.Sort(used)
	if len(used) > 0 {
		text += fmt.Sprintf("The take used %s from %d to %d.", times(float64(len(used)), "position"), used[0], used[len(used)-1])
	}
	return text
}
