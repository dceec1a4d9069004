package session

import (
	"time"

	"stillhand/coach"
)

// telling is one thing that the tracker is told, in order of time.
type telling struct {
	kind     tellingKind
	at       time.Duration // until which time has passed before
	note     coach.Note
	system   *coach.System
	position int
	rest     time.Duration // when the silence ended the passage
	settled  int           // how many estimates its batch holds after it
}

type tellingKind uint8

const (
	toldNote    tellingKind = iota
	toldFingers             // the declared system from here on
	toldHand                // where the player says that the hand is
	toldRest                // a passage has ended
	toldEnd                 // nothing that comes tells of what was played
)

func (x *telling) to(t *coach.Tracker) {
	t.Advance(x.at)
	switch x.kind {
	case toldNote:
		t.Note(x.note)
	case toldFingers:
		t.SetSystem(*x.system)
	case toldHand:
		t.Anchor(x.position)
	case toldRest, toldEnd:
		t.End()
	}
}

// Half of the time of a long review goes to the tracker, so there it works in a
// goroutine of its own, on one batch while the rest of the pipeline reads and
// counts the next and takes what was settled of the one before. Nothing but the
// tracker's answers flows back, each in its place in the order told, so the
// answers are the same. A short take is over before that pays (measured).
const (
	apartFrom = earlyMost // notes; by then none is kept to be read again
	batchSize = 512
	batches   = 3
)

// batch is what is told to the tracker at once. One goroutine has it at a time.
type batch struct {
	told    []telling
	settled []coach.Estimate
	crash   error
}

// hear lets t work on the batch.
func (b *batch) hear(t *coach.Tracker) {
	defer Catch("the tracker", &b.crash)
	for i := range b.told {
		x := &b.told[i]
		x.to(t)
		b.settled = t.Settled(b.settled)
		x.settled = len(b.settled)
	}
}

// apart is a tracker in a goroutine of its own, as the hand sees it.
type apart struct {
	filling    *batch
	todo, done chan *batch // in order; room for all batches, so nobody waits to send
}

// part lets the tracker work apart from here on. The hand must be ended, or
// left with stop.
func (h *hand) part() {
	a := &apart{todo: make(chan *batch, batches), done: make(chan *batch, batches)}
	for range batches {
		a.done <- &batch{told: make([]telling, 0, batchSize), settled: make([]coach.Estimate, 0, batchSize)}
	}
	a.filling = <-a.done
	h.apart = a
	tracker := h.tracker
	go func() {
		for b := range a.todo {
			b.hear(tracker)
			a.done <- b
		}
	}()
}

// tell tells the tracker something, and takes what it has settled.
func (h *hand) tell(x telling) {
	if h.apart == nil {
		x.to(h.tracker)
		h.settle(&x)
		return
	}
	b := h.apart.filling
	b.told = append(b.told, x)
	if len(b.told) == batchSize {
		h.apart.todo <- b
		h.apart.filling = h.back()
	}
}

// back takes what was settled of the oldest batch and returns it empty.
func (h *hand) back() *batch {
	b := <-h.apart.done
	if b.crash != nil {
		panic(b.crash)
	}
	from := 0
	for i := range b.told {
		x := &b.told[i]
		h.take(x, b.settled[from:x.settled])
		from = x.settled
	}
	h.drop()
	b.told, b.settled = b.told[:0], b.settled[:0]
	return b
}

// join waits for the tracker, which is the hand's own again.
func (h *hand) join() {
	if h.apart == nil {
		return
	}
	h.apart.todo <- h.apart.filling
	for range batches {
		h.back()
	}
	h.stop()
}

// stop ends the tracker's goroutine, if there is one.
func (h *hand) stop() {
	if h.apart != nil {
		close(h.apart.todo)
		h.apart = nil
	}
}
