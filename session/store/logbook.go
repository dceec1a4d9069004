package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io/fs"
	"path/filepath"
	"time"
)

// The logbook, takes/logbook.jsonl, holds what cannot be computed from the
// takes: labels and practice results. One line is one JSON object,
//
//	{"sum":"1c291ca3","entry":{...}}
//
// with the CRC-32C of the entry's bytes in hexadecimal. Lines are appended and
// fsynced before the database is told; the database keeps how much of the
// logbook it has seen, and reads on from there. Later lines win.
const logbookFile = "logbook.jsonl"

type logbookLine struct {
	Sum   string          `json:"sum"`
	Entry json.RawMessage `json:"entry"`
}

// entry is one line's content: exactly one field is set. Others, from a newer
// version, are passed over.
type entry struct {
	Label   *labelEntry `json:"label,omitempty"`
	Attempt *Attempt    `json:"attempt,omitempty"`
	Round   *Round      `json:"round,omitempty"`
	Reach   *Reach      `json:"reach,omitempty"`
}

type labelEntry struct {
	Take string `json:"take"`
	Label
}

func (e entry) apply(ctx context.Context, tx *sql.Tx) error {
	switch {
	case e.Label != nil:
		return e.Label.apply(ctx, tx)
	case e.Attempt != nil:
		return e.Attempt.apply(ctx, tx)
	case e.Round != nil:
		return e.Round.apply(ctx, tx)
	case e.Reach != nil:
		return e.Reach.apply(ctx, tx)
	}
	return nil
}

func (l labelEntry) apply(ctx context.Context, tx *sql.Tx) error {
	if l.Label == (Label{}) {
		_, err := tx.ExecContext(ctx, "DELETE FROM labels WHERE take = ?", l.Take)
		return err
	}
	_, err := tx.ExecContext(ctx, "INSERT OR REPLACE INTO labels VALUES (?, ?, ?, ?)", l.Take, l.Name, l.Student, l.Note)
	return err
}

// SetLabel writes on a take, replacing what stood there. An empty label takes
// it away.
func (h *History) SetLabel(ctx context.Context, take string, label Label) error {
	var known bool
	if err := h.db.QueryRowContext(ctx, "SELECT count(*) FROM takes WHERE name = ?", take).Scan(&known); err != nil {
		return h.wrap("label take", err)
	}
	if !known {
		return fmt.Errorf("label %q: %w", take, ErrNoTake)
	}
	return h.wrap("label take", h.log(ctx, entry{Label: &labelEntry{take, label}}))
}

// log appends an entry to the logbook and brings it into the database.
func (h *History) log(ctx context.Context, e entry) error {
	content, err := json.Marshal(e)
	if err != nil {
		return err
	}
	line, err := json.Marshal(logbookLine{sumOf(content), content})
	if err != nil {
		return err
	}
	if err := h.appendLine(ctx, line); err != nil {
		return fmt.Errorf("write the logbook: %w", err)
	}
	return h.readLogbook(ctx)
}

func sumOf(data []byte) string { return fmt.Sprintf("%08x", crc32.Checksum(data, castagnoli)) }

func (h *History) logbookPath() string { return filepath.Join(TakesDir(h.dir), logbookFile) }

func (h *History) appendLine(ctx context.Context, line []byte) error {
	file, err := h.openLogbook(ctx)
	if file != nil {
		defer file.Close()
	}
	if err != nil {
		return err
	}
	size, err := h.disk.Size(h.logbookPath())
	if err != nil {
		return err
	}
	if size > 0 {
		last := []byte{0}
		if _, err := file.ReadAt(last, size-1); err != nil {
			return err
		}
		if last[0] != '\n' { // a program died while it wrote
			line = append([]byte{'\n'}, line...)
		}
	}
	if _, err := file.Write(append(line, '\n')); err != nil {
		return err
	}
	return file.Sync()
}

// openLogbook opens or makes the logbook, waiting for other programs, which
// hold it for one line each.
func (h *History) openLogbook(ctx context.Context) (File, error) {
	const tries, pause = 500, 10 * time.Millisecond
	dir := TakesDir(h.dir)
	if err := makeDir(h.disk, dir); err != nil {
		return nil, err
	}
	for range tries {
		file, err := h.disk.OpenLocked(h.logbookPath())
		if errors.Is(err, fs.ErrNotExist) {
			file, err = h.disk.Create(h.logbookPath())
		}
		if err == nil {
			return file, h.disk.SyncDir(dir)
		}
		if !errors.Is(err, ErrLocked) && !errors.Is(err, fs.ErrExist) {
			return nil, err
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(pause):
		}
	}
	return nil, ErrLocked
}

// readLogbook brings the lines that the database has not seen into it.
func (h *History) readLogbook(ctx context.Context) error {
	size, err := h.disk.Size(h.logbookPath())
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	var seen int64
	if err := h.db.QueryRowContext(ctx, "SELECT logbook FROM progress").Scan(&seen); err != nil || seen == size {
		return err
	}
	return inTransaction(ctx, h.db, func(tx *sql.Tx) error { return h.applyLogbook(ctx, tx) })
}

// applyLogbook applies what follows the bytes already seen. A logbook that has
// become shorter is another one, perhaps out of a backup: all of it is applied
// over what is there, and only Rebuild drops what it lacks.
func (h *History) applyLogbook(ctx context.Context, tx *sql.Tx) error {
	var from int64
	if err := tx.QueryRowContext(ctx, "SELECT logbook FROM progress").Scan(&from); err != nil {
		return err
	}
	size, err := h.disk.Size(h.logbookPath())
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if from > size {
		from = 0
	}
	data, err := h.loadLogbook(from)
	if err != nil {
		return err
	}
	for {
		end := bytes.IndexByte(data, '\n')
		if end < 0 { // the rest is being written, or never will be
			break
		}
		if e, ok := parseLine(data[:end]); ok {
			if err := e.apply(ctx, tx); err != nil {
				return err
			}
		}
		data, from = data[end+1:], from+int64(end)+1
	}
	_, err = tx.ExecContext(ctx, "UPDATE progress SET logbook = ?", from)
	return err
}

// loadLogbook returns the logbook from a byte on, empty if there is none.
func (h *History) loadLogbook(from int64) ([]byte, error) {
	data, err := h.disk.ReadFrom(h.logbookPath(), from)
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return data, err
}

func parseLine(line []byte) (entry, bool) {
	var l logbookLine
	var e entry
	ok := json.Unmarshal(line, &l) == nil && l.Sum == sumOf(l.Entry) && json.Unmarshal(l.Entry, &e) == nil
	return e, ok
}

// clearLogged empties the tables that follow from the logbook.
func clearLogged(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(ctx, "DELETE FROM labels; DELETE FROM attempts; DELETE FROM rounds; DELETE FROM reaches")
	return err
}

// logbookDamage names the lines of the logbook that cannot be read, with their
// bytes.
func (h *History) logbookDamage() ([]string, error) {
	data, err := h.loadLogbook(0)
	if err != nil {
		return nil, err
	}
	var damages []string
	for at := 0; at < len(data); {
		line, _, whole := bytes.Cut(data[at:], []byte{'\n'})
		if _, ok := parseLine(line); len(line) > 0 && !(ok && whole) {
			damages = append(damages, fmt.Sprintf("%s: %d bytes at byte %d cannot be read: one label or practice result lost", logbookFile, len(line), at))
		}
		at += len(line) + 1
	}
	return damages, nil
}
