package session

import "stillhand/coach"

// Review is the document that `review --json` prints. Field names are a
// promise within Version; times are seconds from the file's start. Lengths and the
// likely shifts are exact: who writes them rounds them.
type Review struct {
	Format  string                  `json:"format"` // "stillhand-review"
	Version int                     `json:"version"`
	Source  string                  `json:"source"`
	Neck    ReviewNeck              `json:"neck"`
	Fingers string                  `json:"fingers"`
	Changed []string                `json:"fingers_changed,omitempty"` // where they did: the systems declared one after another, Fingers last
	ReachMM *float64                `json:"reach_mm"`                  // null when not known
	Input   ReviewInput             `json:"input"`
	Notes   []ReviewNote            `json:"notes"`
	Shifts  []ReviewShift           `json:"shifts"`
	Count   ReviewCount             `json:"count"`
	Systems map[string]ReviewSystem `json:"systems"`
	Mixed   ReviewMixed             `json:"mixed"`
	Regions []ReviewRegion          `json:"regions"`
	Advice  []ReviewAdvice          `json:"advice"`
	Phrases []ReviewPhrase          `json:"phrases,omitempty"` // worth settling, the least settled first; with strings known
	Marks   []ReviewMark            `json:"marks"`
	Looks   string                  `json:"looks_like,omitempty"` // the other system, when it fits the playing better

	WidestMM float64 `json:"-"` // stretch of the windows that the hand took for fretted notes
	Wide     int     `json:"-"` // fretted notes in a wide one, see coach.Wide
}

// ReviewNeck is the instrument, behind its capo if it has one (coach.Neck).
type ReviewNeck struct {
	Strings []string `json:"strings"` // string 1 first
	Frets   int      `json:"frets"`
	ScaleMM float64  `json:"scale_mm"`
	Capo    int      `json:"capo,omitempty"` // fret from which the others count, on the whole neck
}

// ReviewInput is what was heard, and what was made of it before the hand.
type ReviewInput struct {
	Strings  string          `json:"strings"`            // "known" or "inferred"
	Channels string          `json:"channels,omitempty"` // which carries which string, in words; with strings known
	Track    string          `json:"track,omitempty"`    // which track of a file was read, and why
	Notes    int             `json:"notes"`
	Slid     int             `json:"slid,omitempty"` // notes among them that were not struck: a bend read as a slide
	Dropped  []ReviewDropped `json:"dropped"`
	OneTrack bool            `json:"-"`                 // no other track of the file has notes
	Anchors  int             `json:"anchors,omitempty"` // times that the hand's place was told: by the player, or by a rung that asked for it
	Warnings []string        `json:"warnings"`
}

// ReviewDropped is a note left out, with a midiin.DropReason or OnHold.
type ReviewDropped struct {
	At     float64 `json:"at_s"`
	Pitch  int     `json:"pitch"`
	Reason string  `json:"reason"`
}

// ReviewNote is one note. A long take has millions, so its numbers are small:
// all of them fit int8 by MIDI's limits and the longest neck's.
type ReviewNote struct {
	At          float64 `json:"at_s"`
	Off         float64 `json:"off_s"`
	Pitch       int8    `json:"pitch"`
	String      int8    `json:"string"`
	Fret        int8    `json:"fret"`
	Finger      int8    `json:"finger"` // 0 for an open string
	Position    int8    `json:"position"`
	Probability float64 `json:"probability"`
	Low         int8    `json:"low"`
	High        int8    `json:"high"`
	Slide       int8    `json:"slide,omitempty"`
	Velocity    int8    `json:"velocity,omitempty"` // 1 to 127

	Reached   bool    `json:"-"` // a finger reached for it, one fret out of the window
	PlaceSure float32 `json:"-"` // probability of the place; 1 where the input told the string
}

// Sureness is the probability of the place with its finger: of the hand's position,
// and of the place under it.
func (n *ReviewNote) Sureness() float64 { return n.Probability * float64(n.PlaceSure) }

// Place is where the note was played, as far as is known.
func (n *ReviewNote) Place() coach.Place {
	return coach.Place{String: int(n.String), Fret: int(n.Fret)}
}

// ReviewShift is one move of the hand; small, as ReviewNote is.
type ReviewShift struct {
	At          float64 `json:"at_s"`
	Note        int32   `json:"note"`
	From        int8    `json:"from"`
	To          int8    `json:"to"`
	Frets       int8    `json:"frets"`
	MM          float64 `json:"mm"`
	GapMS       float64 `json:"gap_ms"` // below 0 where the note before sounds on so long into this one
	Kind        string  `json:"kind"`   // "sure" or "likely"
	Probability float64 `json:"probability"`
}

// ReviewCount is the hand's own shifts: those that are certain, and the expectation.
type ReviewCount struct {
	AtLeast int     `json:"at_least"`
	Likely  float64 `json:"likely"`
	Fewest  int     `json:"-"` // with the fingers declared, in turn
}

// ReviewSystem is what one finger system could do with the notes, at best and
// without seeing ahead (coach.Economy, coach.AsYouGo).
type ReviewSystem struct {
	Fewest           int     `json:"fewest"`
	TravelFrets      int     `json:"travel_frets"`
	LeastTravelFrets int     `json:"least_travel_frets"`
	AsYouGo          int     `json:"as_you_go"`
	WidestMM         float64 `json:"widest_mm"`
}

// ReviewMixed is the plan that takes either system in every window
// (coach.MixedResult), with the crossover (coach.Crossover).
type ReviewMixed struct {
	Fewest        int     `json:"fewest"`
	TravelFrets   int     `json:"travel_frets"`
	ThreeShare    float64 `json:"three_share"`
	CrossoverFret int     `json:"crossover_fret"`
}

// ReviewRegion is what was played from one position, and the shifts that each
// system would have needed there (coach.Region).
type ReviewRegion struct {
	Position int `json:"position"`
	Notes    int `json:"notes"`
	Four     int `json:"four"`
	Three    int `json:"three"`
}

// ReviewAdvice is one thing worth saying about a passage (coach.Advice).
type ReviewAdvice struct {
	From        float64      `json:"from_s"`
	To          float64      `json:"to_s"`
	FirstNote   int          `json:"first_note"`
	LastNote    int          `json:"last_note"`
	Kind        string       `json:"kind"` // "system", "place" or "relief"
	System      string       `json:"system"`
	ShiftsNow   int          `json:"shifts_now"`
	Probably    bool         `json:"shifts_now_probably"` // some of them are not sure
	More        bool         `json:"shifts_now_at_least"` // the hand has probably made more
	ShiftsThen  int          `json:"shifts_then"`
	StretchMM   float64      `json:"stretch_mm"`
	WithinReach *bool        `json:"within_reach"` // null when the reach is not known
	Text        string       `json:"text"`
	Price       string       `json:"-"` // what the path gives up, which stands in Text too
	Path        []ReviewStep `json:"path"`
}

// ReviewPhrase is a run of notes that came back and was not always played in
// the same place with the same fingers (coach.Phrase).
type ReviewPhrase struct {
	FirstNote int         `json:"first_note"` // where it was heard first
	Notes     int         `json:"notes"`
	Times     int         `json:"times"`
	Doubtful  int         `json:"doubtful"` // of them, of unsure fingering: in no way
	Share     float64     `json:"share"`    // of the rest, played in the commonest way
	Ways      []ReviewWay `json:"ways"`     // commonest first
}

// ReviewWay is one way in which a phrase was played, note by note.
type ReviewWay struct {
	Times int           `json:"times"`
	Path  []ReviewPlace `json:"path"`
}

// ReviewPlace is where one note of a phrase was played.
type ReviewPlace struct {
	String int `json:"string"`
	Fret   int `json:"fret"`
	Finger int `json:"finger"` // 0 for an open string
}

// ReviewStep is one note of the way that a piece of advice suggests; small, as
// ReviewNote is.
type ReviewStep struct {
	Note     int32 `json:"note"`
	String   int8  `json:"string"`
	Fret     int8  `json:"fret"`
	Finger   int8  `json:"finger"`
	Position int8  `json:"position"`
}

// ReviewMark is a mark of the player, or a marker of a file that is no take.
type ReviewMark struct {
	At   float64 `json:"at_s"`
	Text string  `json:"text"`
}
