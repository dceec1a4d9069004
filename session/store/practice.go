package store

import (
	"context"
	"database/sql"
	"math"
	"time"
)

// Attempt is one attempt at a rung of the practice ladder. At, kept to the
// microsecond, tells it from others.
type Attempt struct {
	At         time.Time `json:"at"`
	Day        int       `json:"day"` // days since 1 January 1970 in the player's calendar
	Cell       string    `json:"cell"`
	System     string    `json:"system"`
	Position   int       `json:"position"`
	Passed     bool      `json:"passed"`
	Asked      int       `json:"asked"` // notes
	Heard      int       `json:"heard"` // notes
	InOrder    bool      `json:"in_order"`
	OneWindow  float64   `json:"one_window"` // probability
	Evenness   *float64  `json:"evenness"`   // nil with too few notes
	Connection *float64  `json:"connection"` // likewise
	Discomfort int       `json:"discomfort"` // 0 to 10; -1 while not said
	Take       string    `json:"take"`       // file name; "" if not recorded
}

// Figure returns a pointer to x, or nil if x is not a number.
func Figure(x float64) *float64 {
	if math.IsNaN(x) {
		return nil
	}
	return &x
}

// Round is the result of one practice round. At, kept to the microsecond,
// tells it from others.
type Round struct {
	At       time.Time `json:"at"`
	Day      int       `json:"day"` // as in Attempt
	Kind     string    `json:"kind"`
	System   string    `json:"system"`
	Settings string    `json:"settings"` // what makes scores comparable, in a fixed form
	Points   int       `json:"points"`
	Of       int       `json:"of"`
	Notes    int       `json:"notes"`
	Shifts   int       `json:"shifts"`
	Enough   bool      `json:"enough"` // there were notes enough for the score to count
	Take     string    `json:"take"`
}

// Reach is one finding of the comfortable reach. At, kept to the microsecond,
// tells it from others.
type Reach struct {
	At       time.Time `json:"at"`
	Day      int       `json:"day"` // as in Attempt
	MM       float64   `json:"mm"`
	Position int       `json:"position"`
	System   string    `json:"system"`
	AtLeast  bool      `json:"at_least"` // the neck has no wider window
	ScaleMM  float64   `json:"scale_mm"`
	Take     string    `json:"take"`
}

// AddAttempt keeps an attempt, or replaces the one of the same moment, as when
// the discomfort has been said.
func (h *History) AddAttempt(ctx context.Context, a Attempt) error {
	return h.wrap("keep attempt", h.log(ctx, entry{Attempt: &a}))
}

// AddRound keeps a round's result.
func (h *History) AddRound(ctx context.Context, r Round) error {
	return h.wrap("keep round", h.log(ctx, entry{Round: &r}))
}

// AddReach keeps a reach.
func (h *History) AddReach(ctx context.Context, r Reach) error {
	return h.wrap("keep reach", h.log(ctx, entry{Reach: &r}))
}

func (a Attempt) apply(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO attempts VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
		a.At.UnixMicro(), a.Day, a.Cell, a.System, a.Position, a.Passed, a.Asked, a.Heard, a.InOrder,
		a.OneWindow, a.Evenness, a.Connection, a.Discomfort, a.Take)
	return err
}

func (r Round) apply(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO rounds VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
		r.At.UnixMicro(), r.Day, r.Kind, r.System, r.Settings, r.Points, r.Of, r.Notes, r.Shifts, r.Enough, r.Take)
	return err
}

func (r Reach) apply(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO reaches VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
		r.At.UnixMicro(), r.Day, r.MM, r.Position, r.System, r.AtLeast, r.ScaleMM, r.Take)
	return err
}

// Attempts returns the chosen attempts at the ladder, oldest first.
func (h *History) Attempts(ctx context.Context, filter Filter) ([]Attempt, error) {
	where, args := filter.where("take", "at")
	return read(ctx, h, "SELECT * FROM attempts"+where+" ORDER BY at", func(rows *sql.Rows) (a Attempt, err error) {
		var at int64
		err = rows.Scan(&at, &a.Day, &a.Cell, &a.System, &a.Position, &a.Passed, &a.Asked, &a.Heard, &a.InOrder,
			&a.OneWindow, &a.Evenness, &a.Connection, &a.Discomfort, &a.Take)
		a.At = time.UnixMicro(at).UTC()
		return a, err
	}, args...)
}

// Rounds returns the chosen rounds, oldest first.
func (h *History) Rounds(ctx context.Context, filter Filter) ([]Round, error) {
	where, args := filter.where("take", "at")
	return read(ctx, h, "SELECT * FROM rounds"+where+" ORDER BY at", func(rows *sql.Rows) (r Round, err error) {
		var at int64
		err = rows.Scan(&at, &r.Day, &r.Kind, &r.System, &r.Settings, &r.Points, &r.Of, &r.Notes, &r.Shifts, &r.Enough, &r.Take)
		r.At = time.UnixMicro(at).UTC()
		return r, err
	}, args...)
}

// Reaches returns the chosen findings of the reach, oldest first.
func (h *History) Reaches(ctx context.Context, filter Filter) ([]Reach, error) {
	where, args := filter.where("take", "at")
	return read(ctx, h, "SELECT * FROM reaches"+where+" ORDER BY at", func(rows *sql.Rows) (r Reach, err error) {
		var at int64
		err = rows.Scan(&at, &r.Day, &r.MM, &r.Position, &r.System, &r.AtLeast, &r.ScaleMM, &r.Take)
		r.At = time.UnixMicro(at).UTC()
		return r, err
	}, args...)
}

// BestRound returns the best of the rounds of this kind and these settings
// that count, the earliest of equals, and false if there is none.
func BestRound(rounds []Round, kind, settings string) (Round, bool) {
	best, found := Round{}, false
	for _, r := range rounds {
		if r.Kind == kind && r.Settings == settings && r.Enough && (!found || r.Points > best.Points) {
			best, found = r, true
		}
	}
	return best, found
}
