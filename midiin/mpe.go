package midiin

// MIDI Polyphonic Expression (MPE, version 1.0): every note has a channel of its
// own, one of those next to its zone's manager channel. That is channel 1 with
// those above it, or 16 with those below it; registered parameter 6, sent on it,
// tells how many. A bend of the manager adds to that of each.
const (
	mpeParameter    = 6
	mpeManagerRange = 2 // semitones, until told otherwise
	mpeRange        = 48
	lowerManager    = 0
	upperManager    = 15
)

// wheels are those of all channels.
type wheels [16]wheel

func newWheels() (ws wheels) {
	for i := range ws {
		ws[i] = wheel{semitones: defaultRange, parameter: noParameter}
	}
	return ws
}

// control hears a control change of a channel. What is said of a zone, or of the
// range of one of its channels, holds for them all.
func (ws *wheels) control(ch uint8, number, value int) {
	w := &ws[ch]
	w.control(number, value)
	manager, member := ws.manager(ch)
	switch {
	case number == ccDataMSB && w.parameter == mpeParameter && (ch == lowerManager || ch == upperManager):
		other := &ws[upperManager-ch]
		other.members = min(other.members, max(0, 14-w.members)) // the later one has the channels
		w.semitones, w.cents, w.set = mpeManagerRange, 0, true
		ws.setRange(ch, &wheel{semitones: mpeRange})
	case (number == ccDataMSB || number == ccDataLSB) && w.parameter == 0 && member:
		ws.setRange(manager, w)
	}
}

// setRange gives the channels of a manager's zone the range of w.
func (ws *wheels) setRange(manager uint8, w *wheel) {
	for ch := range uint8(16) {
		if m, ok := ws.manager(ch); ok && m == manager {
			ws[ch].semitones, ws[ch].cents, ws[ch].set = w.semitones, w.cents, true
		}
	}
}

// manager is that of the zone in which a channel carries notes; ok is false if
// it is in none.
func (ws *wheels) manager(ch uint8) (manager uint8, ok bool) {
	switch {
	case ch > lowerManager && int(ch) <= ws[lowerManager].members:
		return lowerManager, true
	case ch < upperManager && int(upperManager-ch) <= ws[upperManager].members:
		return upperManager, true
	}
	return 0, false
}

// zone are the channels of the zone that a channel manages, itself among them; 0 if
// it manages none.
func (ws *wheels) zone(manager uint8) (channels uint16) {
	if ws[manager].members == 0 {
		return 0
	}
	for ch := range uint8(16) {
		if m, ok := ws.manager(ch); ok && m == manager {
			channels |= 1<<ch | 1<<manager
		}
	}
	return channels
}
