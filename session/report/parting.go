package report

import (
	"fmt"
	"slices"
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// part finds the runs of columns where the takes part: other notes, other
// places, and a shift that only one of them makes.
func (c *Comparison) part(columns []column) {
	shiftsA, shiftsB := shiftsByNote(c.reviews[0]), shiftsByNote(c.reviews[1])
	kindOf := func(col column) string {
		if col.a < 0 || col.b < 0 {
			return "note"
		}
		a, b := c.reviews[0].Notes[col.a], c.reviews[1].Notes[col.b]
		_, moved := shiftsA[col.a]
		_, moved2 := shiftsB[col.b]
		switch {
		case a.Pitch != b.Pitch:
			return "note"
		case !samePlace(a, b):
			return "place"
		case moved != moved2:
			return "shift"
		}
		return ""
	}
	for i := 0; i < len(columns); i++ {
		kind := kindOf(columns[i])
		if kind == "" {
			continue
		}
		p := Parting{Kind: kind, From: i, To: i}
		p.FromA, p.FromB = c.at(columns, i)
		reach := 1
		if kind == "shift" {
			reach = shiftsTogether
		}
		for j := i + 1; j < len(columns) && j-p.To <= reach; j++ {
			if next := kindOf(columns[j]); next == kind {
				p.To = j
			} else if next != "" {
				break
			}
		}
		p.Text = c.partingText(p, shiftsA, shiftsB)
		c.Partings = append(c.Partings, p)
		i = p.To
	}
}

// shiftsTogether is how many columns apart two shifts of only one take still
// belong to one parting: half a bar of eighth notes. Ours.
const shiftsTogether = 4

// at is when column i sounds in either take: its own onset, or that of the
// last note before it.
func (c *Comparison) at(columns []column, i int) (a, b float64) {
	for j := i; j >= 0; j-- {
		if columns[j].a >= 0 {
			a = c.reviews[0].Notes[columns[j].a].At
			break
		}
	}
	for j := i; j >= 0; j-- {
		if columns[j].b >= 0 {
			b = c.reviews[1].Notes[columns[j].b].At
			break
		}
	}
	return a, b
}

// mostNamed is how many notes a parting's sentence names.
const mostNamed = 6

func (c *Comparison) partingText(p Parting, shiftsA, shiftsB map[int]session.ReviewShift) string {
	a, b := c.reviews[0], c.reviews[1]
	switch p.Kind {
	case "shift":
		return c.shiftText(p, shiftsA, shiftsB)
	case "place":
		return fmt.Sprintf("%s: A on %s, B on %s.", c.named(p), placeList(a, c.Columns[p.From:p.To+1], true), placeList(b, c.Columns[p.From:p.To+1], false))
	}
	var parts []string
	for _, n := range c.Columns[p.From : p.To+1] {
		switch n.Kind {
		case "wrong":
			parts = append(parts, fmt.Sprintf("plays %s for %s", coach.PitchName(int(b.Notes[*n.B].Pitch)), coach.PitchName(int(a.Notes[*n.A].Pitch))))
		case "missing":
			parts = append(parts, "leaves out "+coach.PitchName(int(a.Notes[*n.A].Pitch)))
		case "extra":
			parts = append(parts, "adds "+coach.PitchName(int(b.Notes[*n.B].Pitch)))
		}
	}
	return "B " + listed(parts) + "."
}

// shiftText tells the shifts that one take makes and the other does not.
func (c *Comparison) shiftText(p Parting, shiftsA, shiftsB map[int]session.ReviewShift) string {
	var ofA, ofB []string
	doubt := [2]bool{}
	for _, n := range c.Columns[p.From : p.To+1] {
		if n.A == nil || n.B == nil {
			continue
		}
		a, inA := shiftsA[*n.A]
		b, inB := shiftsB[*n.B]
		switch {
		case inA && !inB:
			ofA = append(ofA, movedText(c.reviews[0], a))
		case inB && !inA:
			ofB = append(ofB, movedText(c.reviews[1], b))
		}
		doubt[0] = doubt[0] || unsure(c.reviews[0].Notes[*n.A])
		doubt[1] = doubt[1] || unsure(c.reviews[1].Notes[*n.B])
	}
	not := func(take int) string {
		if doubt[take] {
			return "probably does not"
		}
		return "does not"
	}
	switch {
	case len(ofB) == 0:
		return fmt.Sprintf("A shifts %s; B %s.", listed(ofA), not(1))
	case len(ofA) == 0:
		return fmt.Sprintf("B shifts %s; A %s.", listed(ofB), not(0))
	default:
		return fmt.Sprintf("A shifts %s; B shifts %s.", listed(ofA), listed(ofB))
	}
}

// movedText tells one shift, with a ? where it or the window that it led to is
// less than four-fifths sure.
func movedText(r *session.Review, s session.ReviewShift) string {
	to := toText(r, s)
	if s.Probability < coach.Sure {
		to = strings.TrimSuffix(to, "?") + "?"
	}
	return fmt.Sprintf("%s to %s for %s", fromText(r, s), to, coach.PitchName(int(r.Notes[s.Note].Pitch)))
}

// named is the pitches of a parting, as A plays them.
func (c *Comparison) named(p Parting) string {
	var names []string
	for _, n := range c.Columns[p.From : p.To+1] {
		names = append(names, coach.PitchName(int(c.reviews[0].Notes[*n.A].Pitch)))
	}
	return listed(names)
}

func placeList(r *session.Review, columns []ComparedNote, ofA bool) string {
	var names []string
	for _, col := range columns {
		i := col.B
		if ofA {
			i = col.A
		}
		n := r.Notes[*i]
		name := fmt.Sprintf("string %d fret %d", n.String, n.Fret)
		if n.Fret == 0 {
			name = fmt.Sprintf("string %d open", n.String)
		}
		if !placeSure(r, n) {
			name += "?"
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return listed(names)
}

// listed joins at most mostNamed names and counts the rest.
func listed(names []string) string {
	rest := ""
	if n := len(names) - mostNamed; n > 0 {
		names, rest = names[:mostNamed], fmt.Sprintf(" and %d more", n)
	}
	return strings.Join(names, ", ") + rest
}
