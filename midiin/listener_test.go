package midiin

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// heard is a Listener that keeps everything, and holds the Cleaner to its
// contract while it does.
type heard struct {
	t       testing.TB
	notes   []Note
	offs    map[int]time.Duration
	dropped []Dropped
	found   []StringMap
	log     []any // every call in order
}

func hear(t testing.TB) *heard { return &heard{t: t, offs: map[int]time.Duration{}} }

func (h *heard) Note(n Note) {
	require.Equal(h.t, len(h.notes), n.ID, "IDs count kept notes from 0")
	if n.ID > 0 {
		require.GreaterOrEqual(h.t, n.At, h.notes[n.ID-1].At, "notes come in order of onset")
	}
	h.notes = append(h.notes, n)
	h.log = append(h.log, n)
}

func (h *heard) Release(id int, at time.Duration) {
	require.Less(h.t, id, len(h.notes), "a release comes after its note")
	_, again := h.offs[id]
	require.False(h.t, again, "a note is released once")
	require.GreaterOrEqual(h.t, at, h.notes[id].At, "a release is not before its onset")
	h.offs[id] = at
	h.log = append(h.log, [2]any{id, at})
}

func (h *heard) Drop(d Dropped) {
	h.dropped = append(h.dropped, d)
	h.log = append(h.log, d)
}

func (h *heard) StringsFound(m StringMap) {
	h.found = append(h.found, m)
	h.log = append(h.log, m)
}

// bass4 is the four-string bass: G2 D2 A1 E1 (common practice).
var bass4 = []int{43, 38, 33, 28}

// clean runs events through a Cleaner to the end.
func clean(t testing.TB, o CleanerOptions, es []Event) *heard {
	if o.Open == nil {
		o.Open, o.Frets = bass4, 22
	}
	h := hear(t)
	c := NewCleaner(o, h)
	end := time.Duration(0)
	for _, e := range es {
		c.Event(e)
		end = e.At
	}
	c.End(end)
	require.Len(t, h.offs, len(h.notes), "every note is released")
	return h
}
