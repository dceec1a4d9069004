package session

import (
	"time"

	"stillhand/coach"
)

// Snapshot is everything a screen shows at one moment. It is immutable: the
// session makes a new one and never writes an old one, so any goroutine may
// read it.
type Snapshot struct {
	At      time.Duration // time of the newest event or tick
	Neck    coach.Neck
	System  coach.System // the declared system
	ReachMM float64      // 0 when not known

	Playing []Sounding     // notes sounding now
	Hand    coach.Estimate // of the newest note; Position 0 before the first fretted note
	Stale   bool           // Hand is of before a hold: what was played since was not followed
	Heard   bool           // any note yet
	Other   int            // position of the other system's cheapest hand after the same notes; 0 when not known

	Declared   []string // systems declared for the notes of Take, one after another, and System last
	Take       Counts   // since the start, or since Forget
	Restarted  bool     // the counts that a screen shows began again at Forget
	LastMinute Counts
	Mixed      int // fewest shifts of a hand that takes either system, over the same notes as Take
	Crossover  int // position below which three fingers cost nothing over the whole take; 0 before Whole, and when four save nothing

	Played time.Duration // in passages, as the history counts it; 0 before Whole

	Lines []CoachLine  // what the coach said, newest first, at most three
	Trail []TrailPoint // the last half minute, oldest first
	Marks int
	Held  bool // counting is on hold
	Gone  bool // the input is, and nothing is heard until it is back
	Sign  Sign // of what the player asked for just now; zero if nothing

	Placed Placed // by the player's word

	Source      string // name of the input
	TakePath    string // file being written; "" when not saving
	Notes       int    // kept so far
	Dropped     int    // cleaned away so far
	OnHold      int    // played so far while counting was on hold
	Lost        int    // events that could not be taken in, counted by the input side
	StringsTold bool   // the input tells the string
	Channels    string // which channels, or tracks, are which strings, in words; "" while not known
	Unmapped    bool   // a pickup sends on several channels, and which strings they are is not known
	Reread      bool   // it was found to moments ago, and the notes so far were read again
	Looks       string // other system that fits the playing better; "" when the declared one does
	Warning     string // what is wrong now (unplugged, disk full); "" if nothing
	Ended       bool   // the source has ended

	Replay *Replay // nil when live
	Round  *Round  // nil unless a practice round is on
}

// Placed is what came of the player's words where the hand is.
type Placed struct {
	Times    int // that one was given
	Position int // by the newest; 0 where it was about the hand shown and none was
}

// Sounding is one note that sounds now.
type Sounding struct {
	Pitch       int
	Place       coach.Place // likeliest place; String 0 while not known
	Finger      int         // 0 for open
	Probability float64     // of Place with Finger
}

// Counts are shifts of one stretch of time. Fewest and AsYouGo are exact for the
// notes counted; AtLeast is the larger of the declared system's fewest and of the
// shifts that have settled as sure; Likely is an expectation.
type Counts struct {
	Likely  float64
	AtLeast int
	Fewest  map[string]int // by system name; the map is never written again
	AsYouGo map[string]int
}

// CoachLine is one thing that the coach said.
type CoachLine struct {
	At   time.Duration
	Text string
	Kind coach.AdviceKind // "" for a remark that is no advice
}

// TrailPoint is the hand at one note, or where the player put it since.
type TrailPoint struct {
	At          time.Duration
	Position    int
	Low, High   int
	Probability float64
	Moved       float64 // probability of a shift into this note
	Settled     bool    // false of a point without a note
	Told        bool    // the player said that the hand is here, where another place was shown; a shift that was heard into the note stays in Moved
}

// Replay is the state of a recording being played back.
type Replay struct {
	Playing          bool
	Speed            float64
	At               time.Duration
	Bar, Beat        int // that At lies in, from 1; 0 where the recording has no bars
	Length           time.Duration
	Shifts           []time.Duration // of the whole take
	Advice           []time.Duration
	Marks            []time.Duration
	Loop             bool
	LoopFrom, LoopTo time.Duration
	Answer           string // to a jump asked for that goes nowhere; "" if nothing
}

// Round is the state of a practice round or of an attempt at a rung, for the
// large beat and score.
type Round struct {
	Title    string // what is asked, in a few words
	Bar      int    // from 1; 0 during the count-in
	Beat     int    // from 1; 0 before the count-in
	Beats    int    // in a bar
	Bars     int
	Call     string     // what holds now ("window 5 to 8")
	Brief    string     // Call where there is little room ("5-8"); "" where it has no shorter form
	Position int        // of the window asked for, to be drawn; 0 for none
	Next     coach.Step // the note asked for next in a cell; Finger 0 for none
	Score    int
	Of       int // what Score could be; 0 where there is no score
	Notes    int // that Score is about
	Doubtful int // of them, too doubtful to count
	Best     int // so far; 0 for none
	Detail   string
	Findings []coach.Finding // of an attempt that is over
	Done     bool

	StretchMM float64 // of the window asked for, where that is what matters; 0 otherwise
	KeptMM    float64 // of the reach kept before, where it is asked whether to keep another; 0 for none
	Awaits    Awaited
	Remark    string // what care has to say since it began; "" if nothing
}
