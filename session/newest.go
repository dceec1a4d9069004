package session

import "slices"

// newest keeps the newest values of a long sitting, and how many there were.
type newest[T any] struct {
	most int // at least so many are kept; 0 keeps all
	gone int
	kept []T // oldest first
}

func (n *newest[T]) add(v T) {
	if n.most > 0 && len(n.kept) >= 2*n.most {
		old := len(n.kept) - n.most
		n.kept = slices.Delete(n.kept, 0, old)
		n.gone += old
	}
	n.kept = append(n.kept, v)
}

// len is the number of values ever added.
func (n *newest[T]) len() int { return n.gone + len(n.kept) }
