package store

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// dumpQueries name what the history holds, in a fixed order. How it came to be
// built (the table progress, takes.generation) is left out.
var dumpQueries = []string{
	`SELECT 'take', name, started, length, played, notes, fingers, likely, at_least, widest_mm, wide, low, high, looks, declared FROM takes ORDER BY name`,
	`SELECT 'system', take, system, fewest, as_you_go, travel, least_travel, widest_mm FROM systems ORDER BY take, system`,
	`SELECT 'region', take, position, notes, four, three FROM regions ORDER BY take, position`,
	`SELECT 'label', take, name, student, note FROM labels ORDER BY take`,
	`SELECT 'attempt', * FROM attempts ORDER BY at`,
	`SELECT 'round', * FROM rounds ORDER BY at`,
	`SELECT 'reach', * FROM reaches ORDER BY at`,
}

// Dump writes the whole content as text, one row a line, in an order and form
// that depend on nothing but the content: two histories are the same if their
// dumps are the same bytes.
func (h *History) Dump(ctx context.Context, w io.Writer) error {
	out := bufio.NewWriter(w)
	for _, query := range dumpQueries {
		if err := h.dump(ctx, out, query); err != nil {
			return h.wrap("write history out", err)
		}
	}
	return out.Flush()
}

func (h *History) dump(ctx context.Context, w io.Writer, query string) error {
	rows, err := h.db.QueryContext(ctx, query)
	if err != nil {
		return err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	values := make([]any, len(columns))
	into := make([]any, len(columns))
	for i := range values {
		into[i] = &values[i]
	}
	fields := make([]string, len(columns))
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		for i, value := range values {
			fields[i] = dumped(value)
		}
		if _, err := fmt.Fprintln(w, strings.Join(fields, "\t")); err != nil {
			return err
		}
	}
	return rows.Err()
}

func dumped(value any) string {
	switch v := value.(type) {
	case string:
		return strconv.Quote(v)
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case nil:
		return "none"
	default:
		return fmt.Sprint(v)
	}
}
