package store

import (
	"context"
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
	takes, err := h.takes(ctx, filter)
	if err != nil {
		return nil, h.wrap("read history", err)
	}
	return takes, nil
}

func (h *History) takes(ctx context.Context, filter Filter) ([]Take, error) {
	rows, err := h.db.QueryContext(ctx, `SELECT t.name, t.started, t.length, t.played, t.notes, t.fingers, t.likely, t.at_least,
		t.widest_mm, t.wide, t.low, t.high, t.looks, ifnull(l.name, ''), ifnull(l.student, ''), ifnull(l.note, '')
		FROM takes t LEFT JOIN labels l ON l.take = t.name`+filtered+` ORDER BY t.started, t.name`, filter.args()...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var takes []Take
	at := map[string]int{}
	for rows.Next() {
		var t Take
		var started, length, played int64
		if err := rows.Scan(&t.File, &started, &length, &played, &t.Notes, &t.Fingers, &t.Likely, &t.AtLeast,
			&t.WidestMM, &t.Wide, &t.Low, &t.High, &t.Looks, &t.Name, &t.Student, &t.Note); err != nil {
			return nil, err
		}
		t.Start, t.Length, t.Played = time.UnixMicro(started).UTC(), microseconds(length), microseconds(played)
		at[t.File] = len(takes)
		takes = append(takes, t)
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	rows, err = h.db.QueryContext(ctx, `SELECT s.take, s.system, s.fewest, s.as_you_go, s.travel, s.least_travel, s.widest_mm
		FROM systems s JOIN takes t ON t.name = s.take LEFT JOIN labels l ON l.take = t.name`+filtered+` ORDER BY s.take, s.system`, filter.args()...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var name string
		var s SystemFigures
		if err := rows.Scan(&name, &s.System, &s.Fewest, &s.AsYouGo, &s.Travel, &s.LeastTravel, &s.WidestMM); err != nil {
			return nil, err
		}
		if i, ok := at[name]; ok { // not when another program has just added it
			takes[i].Systems = append(takes[i].Systems, s)
		}
	}
	return takes, rows.Err()
}

// Regions returns the sums over the chosen takes, by ascending position.
func (h *History) Regions(ctx context.Context, filter Filter) ([]Region, error) {
	rows, err := h.db.QueryContext(ctx, `SELECT r.position, sum(r.notes), sum(r.four), sum(r.three)
		FROM regions r JOIN takes t ON t.name = r.take LEFT JOIN labels l ON l.take = t.name`+filtered+` GROUP BY r.position ORDER BY r.position`, filter.args()...)
	if err != nil {
		return nil, h.wrap("read history", err)
	}
	defer rows.Close()
	var regions []Region
	for rows.Next() {
		var r Region
		if err := rows.Scan(&r.Position, &r.Notes, &r.Four, &r.Three); err != nil {
			return nil, h.wrap("read history", err)
		}
		regions = append(regions, r)
	}
	if err := rows.Err(); err != nil {
		return nil, h.wrap("read history", err)
	}
	return regions, nil
}
