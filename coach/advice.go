package coach

// AdviceKind is what a piece of advice is about.
type AdviceKind string

const (
	AdviceSystem AdviceKind = "system" // the other system needs fewer shifts than the own one can
	AdvicePlace  AdviceKind = "place"  // the own system needs fewer shifts in another place
	AdviceRelief AdviceKind = "relief" // three fingers need no more shifts and less stretch
)

// Step is one note of a suggested or played path.
type Step struct {
	Note     int // index of the note in the take
	Place    Place
	Finger   int // 0 for an open string
	Position int
}

// Advice is one thing worth saying about a passage.
type Advice struct {
	First, Last int // indices of the passage's first and last note
	Kind        AdviceKind
	System      string  // the system it speaks for
	ShiftsNow   int     // what the hand did
	ShiftsThen  int     // what the path asks
	StretchMM   float64 // widest window of the path
	WithinReach bool    // meaningful only when a reach was given
	Path        []Step
	Text        string // one plain sentence or two, for a screen or a page
}
