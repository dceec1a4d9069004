package session

import "stillhand/coach"

// What a review lists of the phrases that are not settled, and of the ways of
// one (ours: as many as somebody practises in a week, and as many as one line
// of thought holds).
const (
	mostPhrases = 5
	mostWays    = 3
)

// worthSettling lists the phrases that were played in more ways than one, the
// least settled first. base is the index of the first note.
func worthSettling(notes []ReviewNote, base int) []ReviewPhrase {
	take := make([]coach.Played, len(notes))
	for i := range notes {
		n := &notes[i]
		take[i] = coach.Played{
			Pitch: n.Pitch, String: n.String, Fret: n.Fret, Finger: n.Finger, Doubtful: n.Sureness() < coach.Sure,
			Rest: opens(notes, i),
		}
	}
	var out []ReviewPhrase
	for _, p := range coach.Phrases(take, mostPhrases) {
		if p.Share >= 1 {
			break
		}
		phrase := ReviewPhrase{FirstNote: base + p.First, Notes: len(p.Pitches), Times: p.Times, Doubtful: p.Doubtful, Share: rounded(p.Share)}
		for _, w := range p.Ways[:min(len(p.Ways), mostWays)] {
			way := ReviewWay{Times: w.Times, Path: make([]ReviewPlace, len(w.Places))}
			for i, at := range w.Places {
				way.Path[i] = ReviewPlace{at.String, at.Fret, w.Fingers[i]}
			}
			phrase.Ways = append(phrase.Ways, way)
		}
		out = append(out, phrase)
	}
	return out
}
