package session

import (
	"slices"
	"strings"
	"time"

	"stillhand/coach"
)

// counter keeps everything that is counted for the notes since the start, or
// since the counts were last restarted: both systems' exact economies, the
// hand without look-ahead, the mixed plan and the tracker's expectation.
type counter struct {
	own      *coach.Economy // the declared system, which may change on the way
	changed  bool           // it has: own is none of economy
	system   string         // declared now
	declared []string       // for the notes counted, in order; the first mostDeclared
	economy  []*coach.Economy
	asYouGo  []*coach.AsYouGo
	mixed    *coach.Mixed
	sure     int     // shifts that are sure
	base     float64 // tracker's expected shifts that are not of this count
	free     bool    // restarted, and no note that asks for a hand has settled since
	first    int     // the first that does, as the take counts its notes; -1 before
	minute   *minute // nil where no screen shows it
}

func newCounter(s Setup) *counter {
	c := &counter{system: s.System.Name, mixed: coach.NewMixed(s.Neck, s.ReachMM)}
	for i, sys := range coach.Systems {
		c.economy = append(c.economy, coach.NewEconomy(s.Neck, sys))
		if sys.Name == s.System.Name {
			c.own = c.economy[i]
		}
		c.asYouGo = append(c.asYouGo, coach.NewAsYouGo(s.Neck, sys))
	}
	if !s.unseen {
		c.minute = new(minute)
	}
	return c
}

// restart makes a new counter begin after notes that t has settled. Its hand may
// come from anywhere, in every figure alike: a move up to the first note that
// asks for a hand is none of its shifts.
func (c *counter) restart(t *coach.Tracker) {
	c.base, c.free, c.first = t.Expected(), true, -1
}

// note counts n, the take's note of that index.
func (c *counter) note(index int, n coach.Note) {
	if c.changed {
		c.own.Note(n)
	}
	for i := range c.economy {
		c.economy[i].Note(n)
		c.asYouGo[i].Note(n)
	}
	c.mixed.Note(n)
	if c.free && c.first < 0 && c.economy[0].Position() > 0 {
		c.first = index
	}
	if k := len(c.declared); k == 0 || k < mostDeclared && c.declared[k-1] != c.system {
		c.declared = append(c.declared, c.system)
	}
}

// mostDeclared is how many changes of the declared system are told apart: more
// are told as changes by turns.
const mostDeclared = 4

// fingers are the systems declared for the notes counted, in order, and the
// one declared now.
func (c *counter) fingers() []string {
	if k := len(c.declared); k == 0 || c.declared[k-1] != c.system {
		return append(slices.Clone(c.declared), c.system)
	}
	return slices.Clone(c.declared)
}

// FingersText names the systems that were declared one after another: "four",
// "four, then three", "four and three by turns".
func FingersText(declared []string) string {
	if len(declared) < 3 {
		return strings.Join(declared, ", then ")
	}
	names := slices.Compact(slices.Sorted(slices.Values(declared)))
	return strings.Join(names, " and ") + " by turns"
}

// use changes the declared system.
func (c *counter) use(s coach.System) {
	if !c.changed {
		c.own, c.changed = c.own.Clone(), true
	}
	c.own.SetSystem(s)
	c.system = s.Name
}

// atLeast is what the notes force of the declared system, and no less than what
// is sure: a slide is a shift, which the fewest may spare by striking the note.
func (c *counter) atLeast() int { return max(c.own.Fewest().Shifts, c.sure) }

// settle counts what settled of a note.
func (c *counter) settle(e *coach.Estimate) {
	switch {
	case c.free:
		c.base += e.Moved
		c.free = c.first < 0 || e.Note < c.first
	case e.Sure:
		c.sure++
	}
}

// likely is t's expectation, and never falls under what is forced (the model's
// definition).
func (c *counter) likely(t *coach.Tracker) float64 {
	expected := t.Expected() - c.base
	if c.free {
		for _, e := range t.Pending(nil) {
			if c.first < 0 || e.Note <= c.first {
				expected -= e.Moved
			}
		}
	}
	return max(expected, float64(c.atLeast()))
}

func (c *counter) counts(t *coach.Tracker) Counts {
	k := Counts{
		Likely: c.likely(t), AtLeast: c.atLeast(),
		Fewest: make(map[string]int, len(c.economy)), AsYouGo: make(map[string]int, len(c.economy)),
	}
	for i, s := range coach.Systems {
		k.Fewest[s.Name] = c.economy[i].Fewest().Shifts
		k.AsYouGo[s.Name] = c.asYouGo[i].Shifts()
	}
	return k
}

// minuteStep is the grain of the last-minute counts.
const minuteStep = 250 * time.Millisecond

// minute remembers the running counts at every step of the last minute, so
// that what was added since a minute ago is one subtraction: a difference of
// exact running counts.
type minute struct {
	slots       [time.Minute/minuteStep + 1]Counts
	first, next int64 // steps kept: first up to next, next not among them
}

// keep notes the running counts as they are before whatever happens at now;
// counts is called only when a step has gone by.
func (m *minute) keep(now time.Duration, counts func() Counts) {
	if m == nil {
		return
	}
	step := int64(now / minuteStep)
	if m.next > 0 && step < m.next {
		return
	}
	c := counts()
	n := int64(len(m.slots))
	if m.next == 0 {
		m.first, m.next = step, step
	}
	m.next = max(m.next, step+1-n)
	for ; m.next <= step; m.next++ {
		m.slots[m.next%n] = c
	}
	m.first = max(m.first, m.next-n)
}

// since returns what running counts have grown by in the minute before at.
func (m *minute) since(at time.Duration, now Counts) Counts {
	if m == nil {
		return now
	}
	n := int64(len(m.slots))
	step := int64(at/minuteStep) - n + 1
	if m.next-m.first == n { // a minute is kept
		step = max(step, m.first)
	}
	if step < m.first {
		return now // counting began less than a minute ago
	}
	old := now // nothing was counted since
	if step < m.next {
		old = m.slots[step%n]
	}
	d := Counts{
		Likely: max(0, now.Likely-old.Likely), AtLeast: now.AtLeast - old.AtLeast,
		Fewest: make(map[string]int, len(now.Fewest)), AsYouGo: make(map[string]int, len(now.AsYouGo)),
	}
	for name := range now.Fewest {
		d.Fewest[name] = now.Fewest[name] - old.Fewest[name]
		d.AsYouGo[name] = now.AsYouGo[name] - old.AsYouGo[name]
	}
	return d
}

// minuteRedrawn is how often the last minute is shown anew while nothing is
// played (ours: a figure of shifts in a minute need not fall more smoothly).
const minuteRedrawn = time.Second

// deadline is when the last minute is worth showing anew though nothing is
// played, and false once it holds no note.
func (m *minute) deadline(now time.Duration) (time.Duration, bool) {
	if m == nil || int64(now/minuteStep) >= m.next+int64(len(m.slots)) {
		return 0, false
	}
	return now.Truncate(minuteRedrawn) + minuteRedrawn, m.next > 0
}
