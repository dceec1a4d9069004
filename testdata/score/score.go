package score

// TicksPerQuarter is the resolution of every recording.
const TicksPerQuarter = 960

// openPitch holds the open strings of the four-string bass that every score
// is written for, string 1 first: G2 D2 A1 E1 (common practice).
var openPitch = [4]int{43, 38, 33, 28}

// frets is the number of frets of that bass.
const frets = 22

// fingerOffset says, for each finger system, which fret above the position
// each finger covers: four is one finger per fret, three is 1-2-4 (common
// practice).
var fingerOffset = map[string]map[int]int{
	"four":  {1: 0, 2: 1, 3: 2, 4: 3},
	"three": {1: 0, 2: 1, 4: 2},
}

// Score is one piece as written.
type Score struct {
	Title     string
	Format    int    // of the Standard MIDI File: 0 or 1
	Fingers   string // the system of the hand that plays: four or three
	BendRange int    // in semitones, announced by RPN 0,0; 0 leaves it unsaid
	Pickup    bool   // the recording comes late, as pitch converters do
	Metres    []Metre
	Tempi     []Tempo
	Marks     []Mark
	Parts     []*Part
}

// Metre holds from the first tick of Bar.
type Metre struct {
	Bar, Tick              int
	Numerator, Denominator int
}

// Tempo holds from Tick; Micros is microseconds a quarter note.
type Tempo struct {
	Tick, Micros int
}

// Mark is a marker at Tick.
type Mark struct {
	Tick int
	Text string
}

// Part is one player. A part on strings sends string 1 on Channel, string 2
// on the next, and so on; any other part sends all on Channel.
type Part struct {
	Name    string
	Channel int // from 0
	Strings bool
	Program int // General MIDI program number from 0; -1 for none
	Notes   []Note
}

// Note is one written note. String 0 means that it has a pitch and no place.
type Note struct {
	Line             int // of the score, for messages
	Bar              int
	Tick, Length     int
	Pitch            int
	String, Fret     int
	Finger, Position int
	Kind             Kind
	Slide            bool // reached by sliding the finger from the note before on the string
	Ring             bool // sounds its full length, whatever comes next
	Vibrato          bool
	Double           bool // the converter strikes it twice
	Accent           int  // added to the velocity
}

// Kind says what a written note is to somebody who holds the recording
// against the phrase.
type Kind string

const (
	Played  Kind = "note"
	Wrong   Kind = "wrong"   // played in the place of another
	Extra   Kind = "extra"   // not in the phrase
	Missing Kind = "missing" // in the phrase, not played
	Ghost   Kind = "ghost"   // the converter's invention: soft and short
	Twice   Kind = "double"  // the converter's second strike of a note
)

// tickOf is the first tick of a bar plus a number of ticks into it.
func (s *Score) tickOf(bar int) int {
	at := Metre{Bar: 1, Numerator: 4, Denominator: 4}
	for _, m := range s.Metres {
		if m.Bar > bar {
			break
		}
		at = m
	}
	return at.Tick + (bar-at.Bar)*at.Numerator*at.beat()
}

// metreAt is the metre that holds in a bar.
func (s *Score) metreAt(bar int) Metre {
	at := s.Metres[0]
	for _, m := range s.Metres {
		if m.Bar <= bar {
			at = m
		}
	}
	return at
}

func (m Metre) beat() int { return 4 * TicksPerQuarter / m.Denominator }

// microsAt is the time of a tick from the start in microseconds, rounded down.
func (s *Score) microsAt(tick int) int {
	var sum int64 // five seconds of it are past 32 bits
	from, tempo := 0, s.Tempi[0].Micros
	for _, t := range s.Tempi {
		if t.Tick >= tick {
			break
		}
		sum += int64(t.Tick-from) * int64(tempo)
		from, tempo = t.Tick, t.Micros
	}
	return int((sum + int64(tick-from)*int64(tempo)) / TicksPerQuarter)
}

// ticksFor is a time of micros microseconds in ticks at the tempo of tick,
// rounded down.
func (s *Score) ticksFor(micros, tick int) int {
	tempo := s.Tempi[0].Micros
	for _, t := range s.Tempi {
		if t.Tick <= tick {
			tempo = t.Micros
		}
	}
	return micros * TicksPerQuarter / tempo
}
