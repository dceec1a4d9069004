package midiin

// turns tells channels that take turns from strings. A hand strikes a pitch that
// comes again soon where it was, mostly; where each note has the next channel, as
// without an MPE zone, it comes on another one. Of the notes of simulated players
// (this project's) that come again within eight, at most 0.44 are on another string,
// and mostly more than 0.5 on another of three channels and more in turn. A riff of
// as many notes as channels looks like strings either way.
type turns struct {
	latest [soon]struct{ channel, pitch int }
	notes  int
	again  int // notes of a pitch that was among the latest
	moved  int // of these, on another channel than then
}

const (
	soon       = 8 // notes
	movedShare = 0.5
)

func (t *turns) hear(channel, pitch int) {
	for i := range min(t.notes, soon) {
		x := &t.latest[(t.notes-1-i)%soon]
		if x.pitch != pitch {
			continue
		}
		t.again++
		if x.channel != channel {
			t.moved++
		}
		break
	}
	x := &t.latest[t.notes%soon]
	x.channel, x.pitch = channel, pitch
	t.notes++
}

// taken reports whether the channels take turns, but for some notes read wrong.
func (t *turns) taken(but float64) bool {
	return float64(t.moved) > movedShare*float64(t.again)+but
}
