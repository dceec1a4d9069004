package report

import (
	"io"
	"time"

	"stillhand/session/store"
)

// History is what `history` shows: takes, oldest first, and their days.
type History struct {
	Takes    []store.Take
	Days     []store.Day
	Practice Practice       // that of the takes and of the days
	Earlier  int            // takes left out that were before these
	Alone    bool           // one take was asked for
	Choice   string         // what was asked of the takes, said after "is"; "" for all
	Tagged   bool           // a tag was asked for
	Others   int            // takes that there are where the choice has none
	Zone     *time.Location // in which times are written; nil for UTC
}

// HistoryJSON writes h as the one document of `history --json`, in the layout
// of JSON. Field names are a promise within its version.
func HistoryJSON(w io.Writer, h History) error {
	doc := historyDocument{Format: "stillhand-history", Version: 1, Takes: make([]historyTake, 0, len(h.Takes)), Days: make([]historyDay, 0, len(h.Days))}
	practised := h.Practice.inTakes()
	for _, t := range h.Takes {
		doc.Takes = append(doc.Takes, takeOf(t, practised[t.File], h.zone()))
	}
	for _, d := range h.Days {
		doc.Days = append(doc.Days, dayOf(d))
	}
	h.Practice.put(&doc, h.zone())
	return writeDocument(w, doc)
}

func (h History) zone() *time.Location {
	if h.Zone == nil {
		return time.UTC
	}
	return h.Zone
}

type historyDocument struct {
	Format   string           `json:"format"`
	Version  int              `json:"version"`
	Days     []historyDay     `json:"days"`
	Takes    []historyTake    `json:"takes"`
	Attempts []historyAttempt `json:"attempts"` // at the ladder
	Rounds   []historyRound   `json:"rounds"`
	Reaches  []historyReach   `json:"reaches"` // findings of the comfortable reach
}

type historyDay struct {
	Date       string   `json:"date"` // 2026-11-25
	Takes      int      `json:"takes"`
	Length     float64  `json:"length_s"`
	Played     float64  `json:"played_s"`
	Notes      int      `json:"notes"`
	AtLeast    int      `json:"at_least"`
	Likely     float64  `json:"likely"`
	PerMinute  *float64 `json:"shifts_per_minute"`   // null when nothing was played
	OneOnly    int      `json:"takes_of_one_system"` // the next three are sums over these, null without
	Fewest     *int     `json:"fewest"`
	AsYouGo    *int     `json:"as_you_go"`
	Unforeseen *int     `json:"as_you_go_minus_fewest"`
	Low        float64  `json:"low_share"`
	High       float64  `json:"high_share"`
	WidestMM   float64  `json:"widest_mm"`
	Wide       int      `json:"wide_notes"`
}

type historyTake struct {
	File       string                   `json:"file"`
	Started    string                   `json:"started"`
	Length     float64                  `json:"length_s"`
	Played     float64                  `json:"played_s"`
	Notes      int                      `json:"notes"`
	Fingers    string                   `json:"fingers"`
	Changed    []string                 `json:"fingers_changed,omitempty"` // the systems one after another, Fingers last
	Looks      string                   `json:"looks_like,omitempty"`
	AtLeast    int                      `json:"at_least"`
	Likely     float64                  `json:"likely"`
	PerMinute  *float64                 `json:"shifts_per_minute"`
	Unforeseen int                      `json:"as_you_go_minus_fewest"` // of Fingers throughout, also where they changed
	Low        float64                  `json:"low_share"`
	High       float64                  `json:"high_share"`
	WidestMM   float64                  `json:"widest_mm"`
	Wide       int                      `json:"wide_notes"`
	Systems    map[string]historySystem `json:"systems"`
	Practice   string                   `json:"practice,omitempty"` // what was practised, and what it gave, in words
	Name       string                   `json:"name,omitempty"`
	Student    string                   `json:"student,omitempty"`
	Note       string                   `json:"note,omitempty"`
}

type historySystem struct {
	Fewest      int     `json:"fewest"`
	Travel      int     `json:"travel_frets"`
	LeastTravel int     `json:"least_travel_frets"`
	AsYouGo     int     `json:"as_you_go"`
	WidestMM    float64 `json:"widest_mm"`
}

func dayOf(d store.Day) historyDay {
	doc := historyDay{
		Date: d.Date.Format(time.DateOnly), Takes: d.Takes, Length: d.Length.Seconds(), Played: d.Played.Seconds(),
		Notes: d.Notes, AtLeast: d.AtLeast, Likely: d.Likely, PerMinute: perMinute(d.Likely, d.Played),
		OneOnly: d.OneOnly, Low: d.Low, High: d.High, WidestMM: d.WidestMM, Wide: d.Wide,
	}
	if n, ok := d.Unforeseen(); ok {
		doc.Fewest, doc.AsYouGo, doc.Unforeseen = &d.Fewest, &d.AsYouGo, &n
	}
	return doc
}

func takeOf(t store.Take, practised string, zone *time.Location) historyTake {
	doc := historyTake{
		File: t.File, Started: t.Start.In(zone).Format(time.RFC3339), Length: t.Length.Seconds(), Played: t.Played.Seconds(),
		Notes: t.Notes, Fingers: t.Fingers, Changed: t.Declared, Looks: t.Looks, AtLeast: t.AtLeast, Likely: t.Likely,
		PerMinute: perMinute(t.Likely, t.Played), Unforeseen: t.Unforeseen(),
		Low: t.Low, High: t.High, WidestMM: t.WidestMM, Wide: t.Wide,
		Systems: map[string]historySystem{}, Practice: practised, Name: t.Name, Student: t.Student, Note: t.Note,
	}
	for _, s := range t.Systems {
		doc.Systems[s.System] = historySystem{s.Fewest, s.Travel, s.LeastTravel, s.AsYouGo, s.WidestMM}
	}
	return doc
}

// perMinute is n in a minute of playing, or nil without playing.
func perMinute(n float64, played time.Duration) *float64 {
	if played <= 0 {
		return nil
	}
	rate := n / played.Minutes()
	return &rate
}
