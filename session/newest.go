package session

import "slices"

// newest keeps the newest values of a long sitting, and how many there were.
type newest[T any] struct {
	most int // at least so many are kept, and no more than twice as many; 0 keeps all
	gone int
	kept []T // oldest first
}

// newestOf returns an empty newest. What it may come to need it takes at once:
// memory that grows for hours, though within bounds, looks like a leak.
func newestOf[T any](most int) newest[T] {
	return newest[T]{most: most, kept: make([]T, 0, 2*most)}
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
