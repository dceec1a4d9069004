package report

import (
	"fmt"
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// overreach is where the hand probably lay wider than the player reaches with
// ease.
type overreach struct {
	neck   coach.Neck
	system coach.System
	width  int // frets of a window: the system's, or all of a shorter neck
	reach  float64
	notes  int // fretted ones that were likelier than not played from such a window
	of     int // notes of the take
	lowest int // position among these, the widest
	unsure bool
}

// overreachOf finds it; ok is false where the reach is not known or holds all
// windows. Where the fingers changed, the narrowest of those declared are taken:
// which held for a note the review does not tell.
func overreachOf(r *session.Review) (o overreach, ok bool) {
	neck, err := neckOf(r)
	if err != nil || r.ReachMM == nil {
		return overreach{}, false
	}
	o = overreach{neck: neck, reach: *r.ReachMM, of: len(r.Notes)}
	for _, name := range append([]string{r.Fingers}, r.Changed...) {
		if s, err := coach.ParseSystem(name); err == nil && (o.system.Name == "" || s.Width() < o.system.Width()) {
			o.system = s
		}
	}
	if o.system.Name == "" {
		return overreach{}, false
	}
	o.width = min(o.system.Width(), neck.Frets)
	first := coach.LowestWithin(neck, o.width, o.reach) // windows only get narrower from there
	for _, n := range r.Notes {
		position := int(n.Position)
		if n.Fret == 0 || position == 0 || n.Probability < coach.Likely || first > 0 && position >= first {
			continue
		}
		o.notes++
		o.unsure = o.unsure || unsure(n)
		if o.lowest == 0 || position < o.lowest {
			o.lowest = position
		}
	}
	return o, o.notes > 0
}

// widest says what was asked of the hand at most.
func (o overreach) widest() string {
	return fmt.Sprintf("%s at frets %s", millimetres(o.neck.StretchMM(o.lowest, o.width)), o.neck.Window(o.system, o.lowest, " to "))
}

// ways are what lies within the reach instead, the own fingers first: from a
// position on, or anywhere with narrower ones. None where no window does.
func (o overreach) ways() []string {
	var out []string
	for _, s := range coach.Systems {
		switch from := coach.LowestWithin(o.neck, min(s.Width(), o.neck.Frets), o.reach); {
		case from == 0 || s.Width() > o.system.Width():
		case s.Name == o.system.Name:
			out = append(out, fmt.Sprintf("higher up, from position %d on", from))
		case from == 1:
			out = append(out, "with "+s.Name+" fingers")
		default:
			out = append(out, fmt.Sprintf("with %s fingers from position %d on", s.Name, from))
		}
	}
	return out
}

// nowhere is said where no window of the neck lies within the reach.
const nowhere = "no window of this neck lies within it, and stillhand reach finds the reach anew"

// said is the overreach beside what else there is to say of the take. What was
// asked at most stands with the practice.
func (o overreach) said() string {
	lay := "lay"
	if o.unsure {
		lay = "probably lay"
	}
	where, them := "windows", "them"
	if o.notes == 1 {
		where, them = "a window", "it"
	}
	text := fmt.Sprintf("%d of %s %s in %s beyond your reach of %s: ", o.notes, coach.Many(o.of, "note"), lay, where, millimetres(o.reach))
	if ways := o.ways(); len(ways) > 0 {
		return text + "try " + them + " " + strings.Join(ways, ", or ") + "."
	}
	return text + nowhere + "."
}

// practice is what to do about it.
func (o overreach) practice() string {
	text := fmt.Sprintf("%s is beyond the reach of %s: ", capital(o.widest()), millimetres(o.reach))
	ways := o.ways()
	if len(ways) == 0 {
		return text + nowhere + "."
	}
	return text + "play it " + strings.Join(ways, ", or ") + "; come down when it lies at ease."
}
