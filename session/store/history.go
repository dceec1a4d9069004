package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

const historyFile = "history.db"

// ErrDamaged is returned for a database that cannot be read or lacks a part.
// SetAside and Rebuild make a new one.
var ErrDamaged = errors.New("the history is damaged: run history --rebuild, which computes it again from the takes")

// ErrNoTake is returned for a take that the history does not know.
var ErrNoTake = errors.New("no such take in the history: see history for their names")

// History is the database of takes and practice in a data folder. Its methods
// may be called from several goroutines, and several programs may have it
// open; one of them writes at a time, the others wait.
type History struct {
	db   *sql.DB
	disk FS
	dir  string // data folder
}

// OpenHistory opens the history of a data folder, makes it if there is none,
// and brings it to this version. The error may be ErrDamaged.
func OpenHistory(ctx context.Context, dataDir string) (*History, error) {
	h := &History{disk: OS, dir: dataDir}
	path := filepath.Join(dataDir, historyFile)
	if err := makeDir(h.disk, dataDir); err != nil {
		return nil, h.wrap("open history", err)
	}
	if err := noFile(path); err != nil {
		return nil, h.wrap("open history", err)
	}
	// SQLite gives its side files the mode of the database. An existing one is
	// not opened here: closing it would drop this process's locks on it.
	if file, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL, 0o600); err == nil {
		_ = file.Close()
	} else if !errors.Is(err, fs.ErrExist) {
		return nil, h.wrap("open history", err)
	}
	var err error
	if h.db, err = openDatabase(path); err != nil {
		return nil, h.wrap("open history", err)
	}
	all, err := migrations()
	if err == nil {
		err = patiently(ctx, func() error { return migrate(ctx, h.db, len(all)) })
	}
	if err == nil {
		err = h.readLogbook(ctx)
	}
	if err != nil {
		return nil, errors.Join(h.wrap("open history", err), h.db.Close())
	}
	return h, nil
}

// openPatience is how long opening waits for other programs.
const openPatience = 10 * time.Second

// patiently does again what failed because another program was at it: SQLite's
// own busy timeout does not hold while the journal mode is changed, which the
// first program to open a new database does.
func patiently(ctx context.Context, do func() error) error {
	end := time.After(openPatience)
	for wait := time.Millisecond; ; wait = min(2*wait, 100*time.Millisecond) {
		err := do()
		var failure *sqlite.Error
		if !errors.As(err, &failure) || failure.Code()&0xff != sqlite3.SQLITE_BUSY {
			return err
		}
		select {
		case <-ctx.Done():
			return err
		case <-end:
			return err
		case <-time.After(wait):
		}
	}
}

// noFile says that what stands where the database belongs can be none.
func noFile(path string) error {
	_, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	info, err := os.Stat(path)
	if err == nil && info.Mode().IsRegular() {
		return nil
	}
	return fmt.Errorf("%s is no file: move it away and run history --rebuild", path)
}

func openDatabase(path string) (*sql.DB, error) {
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // a drive letter
	}
	values := url.Values{"_txlock": {"immediate"}, "_error_rc": {"1"}, "_pragma": {
		"busy_timeout(10000)", "journal_mode(WAL)", "synchronous(NORMAL)", "foreign_keys(1)",
	}}
	name := url.URL{Scheme: "file", Path: path, RawQuery: values.Encode()}
	db, err := sql.Open("sqlite", name.String())
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	return db, nil
}

// Close closes the database.
func (h *History) Close() error { return h.db.Close() }

// wrap names what failed, if anything did, and what to do about it.
func (h *History) wrap(what string, err error) error {
	is := func(codes ...int) bool {
		var failure *sqlite.Error
		return errors.As(err, &failure) && slices.Contains(codes, failure.Code()&0xff)
	}
	switch {
	case err == nil:
		return nil
	// No rows: the one of progress is gone. SQLITE_ERROR: a statement does not fit
	// the tables, which are of another make.
	case errors.Is(err, sql.ErrNoRows), is(sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_ERROR):
		return fmt.Errorf("%s: %w (%v)", what, ErrDamaged, err)
	case isReadOnly(err), is(sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY):
		return fmt.Errorf("%s: %w: make %s writable", what, err, h.dir)
	case isNoFolder(err):
		return fmt.Errorf("%s: %w: %s", what, err, moveAway)
	case isDiskFull(err), is(sqlite3.SQLITE_FULL):
		return fmt.Errorf("%s: %w: free some space", what, err)
	case is(sqlite3.SQLITE_IOERR): // a full disk too, where there is no room for the memory that programs share
		return fmt.Errorf("%s: %w: free some space on the disk of %s, or check it", what, err, h.dir)
	case is(sqlite3.SQLITE_BUSY):
		return fmt.Errorf("%s: %w: end the program that holds %s", what, err, historyFile)
	}
	return fmt.Errorf("%s: %w", what, err)
}

// SetAside renames a damaged database, so that OpenHistory makes a new one,
// and returns its new name. No program may have it open.
func SetAside(dataDir string) (string, error) {
	path := filepath.Join(dataDir, historyFile)
	aside, err := freeName(OS, func(n int) string { return fmt.Sprintf("%s.damaged-%d", path, n) })
	if err != nil {
		return "", fmt.Errorf("set history aside: %w", err)
	}
	for _, side := range []string{"-wal", "-shm", ""} {
		if err := os.Rename(path+side, aside+side); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", fmt.Errorf("set history aside: %w", err)
		}
	}
	return aside, nil
}

// Path returns where the file of a take is.
func (h *History) Path(take string) string { return filepath.Join(TakesDir(h.dir), take) }

// Add puts a take into the history, or replaces its figures. take is the
// file's name in the takes folder.
func (h *History) Add(ctx context.Context, take string, f TakeFigures) error {
	err := inTransaction(ctx, h.db, func(tx *sql.Tx) error { return addTake(ctx, tx, take, f) })
	return h.wrap("add "+take+" to the history", err)
}

func addTake(ctx context.Context, tx *sql.Tx, take string, f TakeFigures) error {
	if take != filepath.Base(take) || !strings.HasSuffix(take, takeExt) {
		return fmt.Errorf("%q is not the name of a take", take)
	}
	for _, table := range []string{"regions WHERE take", "systems WHERE take", "takes WHERE name"} {
		if _, err := tx.ExecContext(ctx, "DELETE FROM "+table+" = ?", take); err != nil {
			return err
		}
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO takes
		SELECT ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, CASE rebuilding WHEN 0 THEN generation ELSE rebuilding END, ? FROM progress`,
		take, f.Start.UnixMicro(), f.Length.Microseconds(), f.Played.Microseconds(), f.Notes, f.Fingers,
		f.Likely, f.AtLeast, f.WidestMM, f.Wide, f.Low, f.High, f.Looks, strings.Join(f.Declared, ","))
	if err != nil {
		return err
	}
	for _, s := range f.Systems {
		if _, err := tx.ExecContext(ctx, "INSERT INTO systems VALUES (?, ?, ?, ?, ?, ?, ?)",
			take, s.System, s.Fewest, s.AsYouGo, s.Travel, s.LeastTravel, s.WidestMM); err != nil {
			return err
		}
	}
	for _, r := range f.Regions {
		if _, err := tx.ExecContext(ctx, "INSERT INTO regions VALUES (?, ?, ?, ?, ?)",
			take, r.Position, r.Notes, r.Four, r.Three); err != nil {
			return err
		}
	}
	return nil
}

// Delete moves a take's file to the trash folder, whose path for it is
// returned, and takes it out of the history. Its label stays, in case it comes
// back.
func (h *History) Delete(ctx context.Context, take string) (string, error) {
	if take != filepath.Base(take) || !strings.HasSuffix(take, takeExt) {
		return "", fmt.Errorf("delete %q: %w", take, ErrNoTake)
	}
	trashed, err := h.moveToTrash(take)
	if errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("delete %q: %w", take, ErrNoTake)
	}
	if err != nil {
		return "", h.wrap("delete take", err)
	}
	_, err = h.db.ExecContext(ctx, "DELETE FROM takes WHERE name = ?", take)
	return trashed, h.wrap("delete "+take+" from the history", err)
}

// moveToTrash keeps the file's name, which what was written on the take goes by: one
// that the trash has already goes into a folder 2, 3 and so on in it.
func (h *History) moveToTrash(take string) (string, error) {
	if _, err := h.disk.Size(h.Path(take)); err != nil {
		return "", err
	}
	to, err := freeName(h.disk, func(n int) string {
		if n == 1 {
			return filepath.Join(trashDir(h.dir), take)
		}
		return filepath.Join(trashDir(h.dir), strconv.Itoa(n), take)
	})
	if err != nil {
		return "", err
	}
	trash := filepath.Dir(to)
	if err := makeDir(h.disk, trash); err != nil {
		return "", err
	}
	if err := h.disk.Rename(h.Path(take), to); err != nil {
		return "", err
	}
	return to, errors.Join(h.disk.SyncDir(trash), h.disk.SyncDir(TakesDir(h.dir)))
}

// Reconcile compares the history with the takes folder: it forgets takes whose
// files are gone and returns the names of those that it does not know, or whose
// figures a migration has made out of date, for Add. A folder that cannot be read
// changes nothing.
func (h *History) Reconcile(ctx context.Context) (unknown []string, err error) {
	unknown, _, err = h.lacking(ctx, "generation <> 0")
	return unknown, h.wrap("compare history and takes", err)
}

// lacking forgets takes whose files are gone and returns which of all files have no
// row that meets a condition.
func (h *History) lacking(ctx context.Context, condition string, args ...any) (lacking, files []string, err error) {
	// The rows first: a take that another program adds meanwhile has its file before
	// its row, and is not taken for one whose file is gone.
	known, err := h.names(ctx, "SELECT name FROM takes ORDER BY name")
	if err != nil {
		return nil, nil, err
	}
	computed, err := h.names(ctx, "SELECT name FROM takes WHERE "+condition+" ORDER BY name", args...)
	if err != nil {
		return nil, nil, err
	}
	if files, err = h.takeFiles(); err != nil {
		return nil, nil, err
	}
	for _, name := range known {
		if _, there := slices.BinarySearch(files, name); there {
			continue
		}
		if _, err := h.db.ExecContext(ctx, "DELETE FROM takes WHERE name = ?", name); err != nil {
			return nil, nil, err
		}
	}
	for _, name := range files {
		if _, found := slices.BinarySearch(computed, name); !found {
			lacking = append(lacking, name)
		}
	}
	return lacking, files, nil
}

// takeFiles lists the takes folder, sorted.
func (h *History) takeFiles() ([]string, error) {
	names, err := h.disk.ReadDir(TakesDir(h.dir))
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(names, func(name string) bool { return !strings.HasSuffix(name, takeExt) }), nil
}

func (h *History) names(ctx context.Context, query string, args ...any) ([]string, error) {
	return list(ctx, h.db, query, func(rows *sql.Rows) (name string, err error) {
		err = rows.Scan(&name)
		return name, err
	}, args...)
}

func microseconds(n int64) time.Duration { return time.Duration(n) * time.Microsecond }
