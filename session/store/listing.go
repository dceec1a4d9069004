package store

import (
	"context"
	"database/sql"
	"slices"
	"strings"
	"time"

	"modernc.org/sqlite"
)

// SQLite's own NOCASE knows the letters of ASCII alone.
func init() {
	sqlite.MustRegisterCollationUtf8("ANYCASE", func(a, b string) int {
		return strings.Compare(strings.ToUpper(a), strings.ToUpper(b))
	})
}

// Filter chooses takes, and what practice gave. The zero value chooses all.
type Filter struct {
	Since   time.Time // started then or later
	Take    string    // this file only, or what was practised in it
	Student string    // with this tag only, likewise
}

// where returns the choice as a WHERE clause over the columns that hold the name and
// the start of a take, and its arguments; "" if all are chosen.
func (f Filter) where(name, started string) (clause string, args []any) {
	before := " WHERE "
	add := func(condition string, arg any) {
		clause += before + condition
		before = " AND "
		args = append(args, arg)
	}
	if !f.Since.IsZero() {
		add(started+" >= ?", f.Since.UnixMicro())
	}
	if f.Take != "" {
		add(name+" = ?", f.Take)
	}
	if f.Student != "" {
		add(name+" IN (SELECT take FROM labels WHERE student = ? COLLATE ANYCASE)", f.Student)
	}
	return clause, args
}

// ofTakes returns a WHERE clause for a table that refers to takes.
func (f Filter) ofTakes() (string, []any) {
	where, args := f.where("name", "started")
	if where != "" {
		where = " WHERE take IN (SELECT name FROM takes" + where + ")"
	}
	return where, args
}

// Takes returns the chosen takes, oldest first; those of one moment by name.
func (h *History) Takes(ctx context.Context, filter Filter) ([]Take, error) {
	where, args := filter.where("name", "started")
	at := map[string]int{}
	takes, err := read(ctx, h, `SELECT name, started, length, played, notes, fingers, likely, at_least, widest_mm, wide, low, high, looks, declared
		FROM takes`+where+` ORDER BY started, name`,
		func(rows *sql.Rows) (t Take, err error) {
			var started, length, played int64
			var declared string
			err = rows.Scan(&t.File, &started, &length, &played, &t.Notes, &t.Fingers, &t.Likely, &t.AtLeast,
				&t.WidestMM, &t.Wide, &t.Low, &t.High, &t.Looks, &declared)
			if declared != "" {
				t.Declared = strings.Split(declared, ",")
			}
			t.Start, t.Length, t.Played = time.UnixMicro(started).UTC(), microseconds(length), microseconds(played)
			at[t.File] = len(at)
			return t, err
		}, args...)
	if err != nil {
		return nil, err
	}
	// A name may be missing from at: another program has just added it.
	where, args = filter.ofTakes()
	_, err = read(ctx, h, "SELECT take, system, fewest, as_you_go, travel, least_travel, widest_mm FROM systems"+where+" ORDER BY take, system",
		func(rows *sql.Rows) (_ struct{}, err error) {
			var name string
			var s SystemFigures
			err = rows.Scan(&name, &s.System, &s.Fewest, &s.AsYouGo, &s.Travel, &s.LeastTravel, &s.WidestMM)
			if i, ok := at[name]; ok {
				takes[i].Systems = append(takes[i].Systems, s)
			}
			return struct{}{}, err
		}, args...)
	if err != nil {
		return nil, err
	}
	_, err = read(ctx, h, "SELECT take, name, student, note FROM labels"+where, func(rows *sql.Rows) (_ struct{}, err error) {
		var name string
		var label Label
		err = rows.Scan(&name, &label.Name, &label.Student, &label.Note)
		if i, ok := at[name]; ok {
			takes[i].Label = label
		}
		return struct{}{}, err
	}, args...)
	if err != nil {
		return nil, err
	}
	return takes, nil
}

// Latest returns the chosen takes of the newest days in a time zone on which
// there are any, oldest first, and how many before them it left out. It does
// not read those, so that it is quick among many.
func (h *History) Latest(ctx context.Context, filter Filter, zone *time.Location, days int) (takes []Take, earlier int, err error) {
	where, args := filter.where("name", "started")
	starts, err := read(ctx, h, "SELECT started FROM takes"+where+" ORDER BY started DESC",
		func(rows *sql.Rows) (started int64, err error) {
			err = rows.Scan(&started)
			return started, err
		}, args...)
	if err != nil {
		return nil, 0, err
	}
	taken := 0
	for last := ""; taken < len(starts); taken++ {
		day := time.UnixMicro(starts[taken]).In(zone).Format(time.DateOnly)
		if day != last {
			days--
		}
		if days < 0 {
			break
		}
		last = day
	}
	if taken == 0 {
		return nil, len(starts), nil
	}
	filter.Since = time.UnixMicro(starts[taken-1])
	takes, err = h.Takes(ctx, filter)
	return takes, len(starts) - taken, err
}

// Label returns what is written on a take; nothing if nothing is.
func (h *History) Label(ctx context.Context, take string) (Label, error) {
	labels, err := read(ctx, h, "SELECT name, student, note FROM labels WHERE take = ?",
		func(rows *sql.Rows) (l Label, err error) {
			err = rows.Scan(&l.Name, &l.Student, &l.Note)
			return l, err
		}, take)
	if len(labels) == 0 {
		return Label{}, err
	}
	return labels[0], err
}

// Named returns the files' names, sorted, of the takes in the folder that were
// given this name, in capitals or not.
func (h *History) Named(ctx context.Context, name string) ([]string, error) {
	takes, err := h.names(ctx, "SELECT take FROM labels WHERE name <> '' AND name = ? COLLATE ANYCASE ORDER BY take", name)
	if err != nil || len(takes) == 0 {
		return nil, h.wrap("read history", err)
	}
	files, err := h.takeFiles()
	return slices.DeleteFunc(takes, func(take string) bool { return !slices.Contains(files, take) }), h.wrap("read takes", err)
}

// Students returns the tags of the takes that there are, in alphabetical order.
func (h *History) Students(ctx context.Context) ([]string, error) {
	return read(ctx, h, "SELECT DISTINCT student FROM labels WHERE student <> '' AND take IN (SELECT name FROM takes) ORDER BY student",
		func(rows *sql.Rows) (student string, err error) {
			err = rows.Scan(&student)
			return student, err
		})
}

// Regions returns the sums over the chosen takes, by ascending position.
func (h *History) Regions(ctx context.Context, filter Filter) ([]Region, error) {
	where, args := filter.ofTakes()
	return read(ctx, h, "SELECT position, sum(notes), sum(four), sum(three) FROM regions"+where+" GROUP BY position ORDER BY position",
		func(rows *sql.Rows) (r Region, err error) {
			err = rows.Scan(&r.Position, &r.Notes, &r.Four, &r.Three)
			return r, err
		}, args...)
}

// read reads all rows of a query, for a caller of this package.
func read[T any](ctx context.Context, h *History, query string, scan func(*sql.Rows) (T, error), args ...any) ([]T, error) {
	all, err := list(ctx, h.db, query, scan, args...)
	return all, h.wrap("read history", err)
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
