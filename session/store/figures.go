package store

import (
	"math"
	"time"
)

// TakeFigures is what the history keeps of one take. All of it is computed
// from the take's file, by the caller.
type TakeFigures struct {
	Start    time.Time     // kept to the microsecond
	Length   time.Duration // of the recording, kept to the microsecond
	Played   time.Duration // time of it spent playing, kept to the microsecond
	Notes    int           // kept notes
	Fingers  string        // name of the system in force at the end
	Declared []string      // the systems in force one after another, where they changed
	Likely   float64       // shifts, expected number
	AtLeast  int           // shifts, at least
	WidestMM float64       // widest stretch of the windows that the hand was in
	Wide     int           // fretted notes in a wide window
	Low      float64       // share of the notes low on the neck, 0 to 1
	High     float64       // share of the notes high on the neck, 0 to 1
	Looks    string        // system that fits the playing better; "" if the one in force does
	Systems  []SystemFigures
	Regions  []Region
}

// SystemFigures is what one finger system needs for a take's notes.
type SystemFigures struct {
	System      string
	Fewest      int // shifts, known in hindsight
	AsYouGo     int // shifts of a hand that cannot see ahead
	Travel      int // frets, with Fewest shifts
	LeastTravel int // frets, minimised alone
	WidestMM    float64
}

// Finite reports whether all figures are numbers, as the database asks.
func (f TakeFigures) Finite() bool {
	all := []float64{f.Likely, f.WidestMM, f.Low, f.High}
	for _, s := range f.Systems {
		all = append(all, s.WidestMM)
	}
	for _, x := range all {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// Changed reports whether the fingers changed within the take.
func (f TakeFigures) Changed() bool { return len(f.Declared) > 1 }

// Unforeseen is how many shifts a hand that cannot see ahead needs over the
// fewest, with the system in force at the end throughout: where the fingers
// changed, not with those declared for each note.
func (f TakeFigures) Unforeseen() int {
	own := f.System(f.Fingers)
	return own.AsYouGo - own.Fewest
}

// Region is what was played from one position, summed.
type Region struct {
	Position int
	Notes    int
	Four     int // shifts that four fingers need into these notes
	Three    int // shifts that three fingers need into them
}

// Label is what a player or teacher wrote on a take.
type Label struct {
	Name    string `json:"name,omitempty"`
	Student string `json:"student,omitempty"` // a tag of the teacher's choosing
	Note    string `json:"note,omitempty"`
}

// Take is one take in the history. Its Regions are empty: see
// History.Regions.
type Take struct {
	File string // name in the takes folder
	TakeFigures
	Label
}

// System returns the figures of the system with this name, zero if there are
// none.
func (f TakeFigures) System(name string) SystemFigures {
	for _, s := range f.Systems {
		if s.System == name {
			return s
		}
	}
	return SystemFigures{}
}

// Day sums the takes of one day.
type Day struct {
	Date     time.Time // when it begins, see DayStart
	Takes    int
	Length   time.Duration
	Played   time.Duration
	Notes    int
	Likely   float64 // shifts
	AtLeast  int
	OneOnly  int // takes with one system in force throughout
	Fewest   int // of that system, in those takes
	AsYouGo  int // likewise
	Low      float64
	High     float64
	WidestMM float64
	Wide     int
}

// Unforeseen is how many shifts a hand that cannot see ahead needs over the
// fewest, false without a take that tells.
func (d Day) Unforeseen() (shifts int, ok bool) { return d.AsYouGo - d.Fewest, d.OneOnly > 0 }

// DayStart is when the day of date's year, month and day begins in a time zone: at
// midnight, or where the clocks skip that, when they do.
func DayStart(date time.Time, zone *time.Location) time.Time {
	year, month, day := date.Date()
	start := time.Date(year, month, day, 0, 0, 0, 0, zone)
	if start.Day() != day { // package time may take the hour before for one that is skipped
		_, start = start.ZoneBounds()
	}
	return start
}

// Days sums takes, in ascending order of start, by days in a time zone, oldest
// first. Shares are weighted by notes.
func Days(takes []Take, zone *time.Location) []Day {
	var days []Day
	for _, take := range takes {
		date := DayStart(take.Start.In(zone), zone)
		if len(days) == 0 || !days[len(days)-1].Date.Equal(date) {
			days = append(days, Day{Date: date})
		}
		days[len(days)-1].add(take)
	}
	return days
}

func (d *Day) add(take Take) {
	d.Takes++
	d.Length += take.Length
	d.Played += take.Played
	if notes := d.Notes + take.Notes; notes > 0 {
		weight := float64(take.Notes) / float64(notes)
		d.Low += weight * (take.Low - d.Low)
		d.High += weight * (take.High - d.High)
		d.Notes = notes
	}
	d.Likely += take.Likely
	d.AtLeast += take.AtLeast
	if own := take.System(take.Fingers); !take.Changed() {
		d.OneOnly++
		d.Fewest += own.Fewest
		d.AsYouGo += own.AsYouGo
	}
	d.WidestMM = max(d.WidestMM, take.WidestMM)
	d.Wide += take.Wide
}
