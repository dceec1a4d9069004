package report

import (
	"stillhand/coach"
	"stillhand/session"
)

// Comparison is two takes of one phrase side by side; its JSON is the document
// of `compare --json`. Field names are a promise within Version.
//
// Notes are aligned by pitch: a note of B that stands for another pitch of A
// is wrong, one of A without a partner is missing, one of B without is extra.
// Make it with Compare; it keeps both reviews.
type Comparison struct {
	Format   string         `json:"format"` // "stillhand-comparison"
	Version  int            `json:"version"`
	Said     []string       `json:"said"` // what differs, in plain sentences, the weightiest first
	A        ComparedTake   `json:"a"`
	B        ComparedTake   `json:"b"`
	Notes    ComparedNotes  `json:"notes"`
	Partings []Parting      `json:"partings"`
	Columns  []ComparedNote `json:"columns"`
	reviews  [2]*session.Review
}

// ComparedTake is one of the two takes as a whole.
type ComparedTake struct {
	Source     string   `json:"source"`
	Fingers    string   `json:"fingers"`
	Changed    []string `json:"fingers_changed,omitempty"` // as in a review: where they did
	Strings    string   `json:"strings"`                   // "known" or "inferred"
	Notes      int      `json:"notes"`
	Compared   int      `json:"compared"` // the first of them, as far as the alignment goes
	Unsure     int      `json:"unsure"`   // of them, with the hand less than coach.Sure
	LengthS    float64  `json:"length_s"` // first onset to last release
	AtLeast    int      `json:"at_least"`
	Likely     float64  `json:"likely"`
	Fewest     int      `json:"fewest"`     // of the take's own system, or of those declared for each note
	Positions  int      `json:"positions"`  // different ones that fretted notes were played from
	Places     int      `json:"places"`     // different ones
	Evenness   float64  `json:"evenness"`   // see evenness; null without enough notes
	Connection float64  `json:"connection"` // share of connected pairs; null without pairs
	Pairs      int      `json:"pairs"`      // that connection is taken over

	PositionsSure int `json:"positions_sure"` // of Positions, by one note at least
	PlacesSure    int `json:"places_sure"`    // of Places, likewise
}

// ComparedNotes counts the columns of the alignment.
type ComparedNotes struct {
	Same             int  `json:"same"`
	Wrong            int  `json:"wrong"`
	Missing          int  `json:"missing"`
	Extra            int  `json:"extra"`
	OtherPlace       int  `json:"other_place"`        // of the same notes, played in another place
	OtherPlaceUnsure int  `json:"other_place_unsure"` // of these, where either place is less than coach.Sure
	OtherHand        int  `json:"other_hand"`         // of the same notes in the same place, from another position
	OtherHandUnsure  int  `json:"other_hand_unsure"`  // of these, where either position is less than coach.Sure
	Complete         bool `json:"complete"`           // false where the takes have too little in common to go on
}

// ComparedNote is one column: a note of each take, null where one has none.
type ComparedNote struct {
	A    *int   `json:"a"`
	B    *int   `json:"b"`
	Kind string `json:"kind"` // "same", "wrong", "missing" or "extra"
}

// Parting is a run of columns where the takes part.
type Parting struct {
	Kind  string  `json:"kind"` // "note", "place" or "shift"
	From  int     `json:"from"` // columns
	To    int     `json:"to"`
	FromA float64 `json:"a_from_s"` // when, in either take: of the column itself or the last before it
	FromB float64 `json:"b_from_s"`
	Text  string  `json:"text"`
}

// Compare aligns two takes and tells where they part. It allocates in
// proportion to the takes; see align for its time.
func Compare(a, b *session.Review) *Comparison {
	c := &Comparison{Format: "stillhand-comparison", Version: 1, Partings: []Parting{}, Columns: []ComparedNote{}, reviews: [2]*session.Review{a, b}}
	columns, complete := align(pitches(a), pitches(b), mostEdits)
	c.Notes.Complete = complete
	for _, col := range columns {
		c.Columns = append(c.Columns, c.compareNote(col))
	}
	c.A, c.B = comparedTake(a), comparedTake(b)
	for _, col := range columns {
		c.A.Compared, c.B.Compared = max(c.A.Compared, col.a+1), max(c.B.Compared, col.b+1)
	}
	c.A.Evenness, c.B.Evenness = evenness(a, b, columns)
	c.part(columns)
	c.Said = c.say()
	return c
}

func pitches(r *session.Review) []int {
	out := make([]int, len(r.Notes))
	for i, n := range r.Notes {
		out[i] = int(n.Pitch)
	}
	return out
}

func (c *Comparison) compareNote(col column) ComparedNote {
	n := ComparedNote{Kind: "same"}
	if col.a >= 0 {
		n.A = &col.a
	}
	if col.b >= 0 {
		n.B = &col.b
	}
	switch {
	case col.a < 0:
		n.Kind = "extra"
		c.Notes.Extra++
	case col.b < 0:
		n.Kind = "missing"
		c.Notes.Missing++
	default:
		a, b := c.reviews[0].Notes[col.a], c.reviews[1].Notes[col.b]
		switch {
		case a.Pitch != b.Pitch:
			n.Kind = "wrong"
			c.Notes.Wrong++
			return n
		case samePlace(a, b):
			if a.Fret == 0 || a.Position == b.Position {
				break
			}
			c.Notes.OtherHand++
			if unsure(a) || unsure(b) {
				c.Notes.OtherHandUnsure++
			}
		default:
			c.Notes.OtherPlace++
			if !placeSure(c.reviews[0], a) || !placeSure(c.reviews[1], b) {
				c.Notes.OtherPlaceUnsure++
			}
		}
		c.Notes.Same++
	}
	return n
}

// fingers names the finger systems that were declared for the take.
func (t ComparedTake) fingers() string {
	if len(t.Changed) > 1 {
		return session.FingersText(t.Changed)
	}
	return plain(t.Fingers)
}

func (t ComparedTake) likely() string { return trim(likely(t.Likely, t.Unsure, t.Notes), 1) }

func samePlace(a, b session.ReviewNote) bool { return a.String == b.String && a.Fret == b.Fret }

func comparedTake(r *session.Review) ComparedTake {
	t := ComparedTake{Source: r.Source, Fingers: r.Fingers, Strings: r.Input.Strings, Notes: len(r.Notes), Unsure: unsureNotes(r),
		AtLeast: r.Count.AtLeast, Likely: r.Count.Likely, Fewest: r.Systems[r.Fingers].Fewest}
	if len(r.Changed) > 1 {
		t.Changed, t.Fewest = r.Changed, r.Count.Fewest
	}
	places, placesSure := map[coach.Place]bool{}, map[coach.Place]bool{}
	for _, n := range r.Notes {
		places[n.Place()] = true
		if placeSure(r, n) {
			placesSure[n.Place()] = true
		}
		t.LengthS = max(t.LengthS, n.Off-r.Notes[0].At)
	}
	positions, positionsSure := usedPositions(r)
	t.Positions, t.PositionsSure = len(positions), len(positionsSure)
	t.Places, t.PlacesSure = len(places), len(placesSure)
	t.Connection, t.Pairs = connection(r)
	return t
}
