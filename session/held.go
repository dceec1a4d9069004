package session

import (
	"fmt"

	"stillhand/coach"
)

// heldOn is how many later notes a note must sound to be held on, and not merely
// bound to the next (ours).
const heldOn = 2

// cut counts the notes of path that were held on and that it would end early: it
// takes their string, or moves the hand that holds them.
func (h *hand) cut(path []coach.Step) int {
	n := 0
	for i, x := range path {
		gone := false
		for k, y := range path[i+1:] {
			if !h.sounds(x.Note, y.Note) {
				break
			}
			gone = gone || y.Place.String == x.Place.String || x.Place.Fret > 0 && y.Position != x.Position
			if gone && k+1 >= heldOn {
				n++
				break
			}
		}
	}
	return n
}

// sounds reports whether note i of the record still sounds when note j begins.
func (h *hand) sounds(i, j int) bool {
	for _, p := range h.playing {
		if p.index == i {
			return true
		}
	}
	a, b := h.record.get(i), h.record.get(j)
	return a != nil && b != nil && a.Off > b.At
}

// cutText says that n held notes cannot be played so.
func cutText(n int) string {
	if n == 1 {
		return "The note held on is then cut short."
	}
	return fmt.Sprintf("The %d notes held on are then cut short.", n)
}
