package store

import (
	"context"
	"database/sql"
	"math"
	"time"
)

// Filter chooses takes. The zero value chooses all.
type Filter struct {
	Since   time.Time // started then or later
	Until   time.Time // started before
	Take    string    // this file only
	Student string    // with this tag only
}

const filtered = ` WHERE t.started >= ? AND t.started < ? AND (? = '' OR t.name = ?) AND (? = '' OR l.student = ?)`

func (f Filter) args() []any {
	since, until := int64(math.MinInt64), int64(math.MaxInt64)
	if !f.Since.IsZero() {
		since = f.Since.UnixMicro()
	}
	if !f.Until.IsZero() {
		until = f.Until.UnixMicro()
	}
	return []any{since, until, f.Take, f.Take, f.Student, f.Student}
}

// Takes returns the chosen takes, oldest first; those of one moment by name.
func (h *History) Takes(ctx context.Context, filter Filter) ([]Take, error) {
	at := map[string]int{}
	takes, err := read(ctx, h, `SELECT t.name, t.started, t.length, t.played, t.notes, t.fingers, t.likely, t.at_least,
		t.widest_mm, t.wide, t.low, t.high, t.looks, ifnull(l.name, ''), ifnull(l.student, ''), ifnull(l.note, '')
		FROM takes t LEFT JOIN labels l ON l.take = t.name`+filtered+` ORDER BY t.started, t.name`,
		func(rows *sql.Rows) (t Take, err error) {
			var started, length, played int64
			err = rows.Scan(&t.File, &started, &length, &played, &t.Notes, &t.Fingers, &t.Likely, &t.AtLeast,
				&t.WidestMM, &t.Wide, &t.Low, &t.High, &t.Looks, &t.Name, &t.Student, &t.Note)
			t.Start, t.Length, t.Played = time.UnixMicro(started).UTC(), microseconds(length), microseconds(played)
			at[t.File] = len(at)
			return t, err
		}, filter.args()...)
	if err != nil {
		return nil, err
	}
	_, err = read(ctx, h, `SELECT s.take, s.system, s.fewest, s.as_you_go, s.travel, s.least_travel, s.widest_mm
		FROM systems s JOIN takes t ON t.name = s.take LEFT JOIN labels l ON l.take = t.name`+filtered+` ORDER BY s.take, s.system`,
		func(rows *sql.Rows) (s SystemFigures, err error) {
			var name string
			err = rows.Scan(&name, &s.System, &s.Fewest, &s.AsYouGo, &s.Travel, &s.LeastTravel, &s.WidestMM)
			if i, ok := at[name]; ok { // not if another program has just added it
				takes[i].Systems = append(takes[i].Systems, s)
			}
			return s, err
		}, filter.args()...)
	if err != nil {
		return nil, err
	}
	return takes, nil
}

// Regions returns the sums over the chosen takes, by ascending position.
func (h *History) Regions(ctx context.Context, filter Filter) ([]Region, error) {
	return read(ctx, h, `SELECT r.position, sum(r.notes), sum(r.four), sum(r.three)
		FROM regions r JOIN takes t ON t.name = r.take LEFT JOIN labels l ON l.take = t.name`+filtered+` GROUP BY r.position ORDER BY r.position`,
		func(rows *sql.Rows) (r Region, err error) {
			err = rows.Scan(&r.Position, &r.Notes, &r.Four, &r.Three)
			return r, err
		}, filter.args()...)
}

// read reads all rows of a query, for a caller of this package.
func read[T any](ctx context.Context, h *History, query string, scan func(*sql.Rows) (T, error), args ...any) ([]T, error) {
	all, err := list(ctx, h.db, query, scan, args...)
	if err != nil {
		return nil, h.wrap("read history", err)
	}
	return all, nil
}

func list[T any](ctx context.Context, db *sql.DB, query string, scan func(*sql.Rows) (T, error), args ...any) ([]T, error) {
	rows, err := db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []T
	for rows.Next() {
		one, err := scan(rows)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, rows.Err()
}
