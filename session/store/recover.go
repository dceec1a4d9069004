package store

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Finish ends the recording and turns its journal into a take, whose path it
// returns, "" if no channel message came. If that fails the journal stays, for
// Recover or another call of Finish. A path together with an error means a
// take that lacks what the error says. Finish is for one goroutine; events
// that come after it are counted as lost.
func (r *Recorder) Finish() (path string, err error) {
	r.stopWriter()
	defer func() { err = errors.Join(err, r.missing, r.crash) }()

	w := &r.writer
	if w.saved != "" {
		return w.saved, nil
	}
	var journal []byte
	if w.file != nil {
		if journal, err = readAll(w.file); err != nil {
			return "", fmt.Errorf("take not saved: read journal: %w; what it holds is recovered at the next start", err)
		}
	} else {
		w.path = filepath.Join(w.dir, w.stem+journalExt)
	}
	r.take() // what a crash left
	records, damages := readJournal(append(journal, w.pending...))
	path, _, err = saveTake(w.disk, w.path, records)
	if err != nil {
		err = fmt.Errorf("take not saved: %s: %s", w.dir, diskTrouble(err))
		kept, _ := readJournal(journal)
		played := func(rec record) bool { return rec.kind == messageRecord }
		switch n := len(w.pending); {
		case !slices.ContainsFunc(kept, played):
			err = fmt.Errorf("%w; nothing of it could be kept", err)
		case n > 0:
			err = fmt.Errorf("%w; the next start recovers it from %s, but for the last %d bytes", err, filepath.Base(w.path), n)
		default:
			err = fmt.Errorf("%w; the next start recovers it from %s", err, filepath.Base(w.path))
		}
		return "", err
	}
	w.saved = path
	if w.file != nil {
		_ = w.file.Close()
		w.file = nil
		_ = w.disk.Remove(w.path)
	}
	if warnings := journalWarnings(filepath.Base(w.path), records, damages, len(journal)); len(warnings) > 0 {
		err = errors.New(strings.Join(warnings, "; "))
	}
	return path, err
}

// stopWriter takes no events from now on and waits for the writer goroutine's end.
func (r *Recorder) stopWriter() {
	r.mu.Lock()
	if !r.finished {
		r.finished = true
		if r.tellUnsaved(r.lostAt); r.status.Lost > 0 {
			r.missing = errors.New(lostText(r.status.Lost))
		}
		close(r.stop)
	}
	r.mu.Unlock()
	<-r.done
}

// Recovered is one journal that a program left behind when it died.
type Recovered struct {
	Journal  string   // its path
	Path     string   // of the take; "" if nothing was played
	Messages int      // channel messages in the take
	Warnings []string // damage, each naming the byte
}

// Recover turns the journals in a folder into takes and removes them, except
// those of living programs. A damaged journal is kept under its name and
// ".damaged". Journals that could not be turned into takes stay for the next
// time and are in the error; what could be done is returned with it.
func Recover(disk FS, dir string) ([]Recovered, error) {
	names, err := disk.ReadDir(dir)
	if err != nil {
		if isNoFolder(err) {
			err = fmt.Errorf("%w: %s", err, moveAway)
		}
		return nil, fmt.Errorf("look for unfinished takes: %w", err)
	}
	var all []Recovered
	var failed []error
	for _, name := range names {
		if !strings.HasSuffix(name, journalExt) {
			continue
		}
		one, err := recoverJournal(disk, filepath.Join(dir, name))
		switch {
		case errors.Is(err, ErrLocked), errors.Is(err, fs.ErrNotExist):
		case err != nil:
			failed = append(failed, fmt.Errorf("recover %s: %w", name, err))
		case one.Path != "" || len(one.Warnings) > 0:
			all = append(all, one)
		}
	}
	if len(failed) > 1 {
		return all, fmt.Errorf("%d unfinished takes wait for the next start: %w", len(failed), failed[0])
	}
	return all, errors.Join(failed...)
}

func recoverJournal(disk FS, path string) (Recovered, error) {
	file, err := disk.OpenLocked(path)
	if err != nil {
		return Recovered{}, err
	}
	data, err := readAll(file)
	if err != nil {
		_ = file.Close()
		return Recovered{}, err
	}
	name := filepath.Base(path)
	records, damages := readJournal(data)
	one := Recovered{Journal: path, Warnings: journalWarnings(name, records, damages, len(data))}
	if len(records) > 0 && records[0].kind != startRecord {
		if start, err := time.Parse(stemLayout, name[:min(len(name), len(stemLayout))]); err == nil {
			first := record{kind: startRecord, payload: []byte(start.Format(time.RFC3339Nano))}
			records = append([]record{first}, records...)
		}
	}
	one.Path, one.Messages, err = saveTake(disk, path, records)
	// Closed before it is moved, because Windows moves no open file. Whoever
	// locks it in between finds its take saved.
	_ = file.Close()
	switch {
	case err != nil:
		return Recovered{}, err
	case len(one.Warnings) > 0:
		var aside string
		aside, err = freeName(disk, func(n int) string { return numbered(path+".damaged", n) })
		if err == nil {
			err = disk.Rename(path, aside)
		}
	default:
		err = disk.Remove(path)
	}
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return one, err
}

// saveTake writes the take of a journal beside it and returns its path, or ""
// if it has no channel message. Where a take of that name exists with other
// content, it takes the next free name.
func saveTake(disk FS, journal string, records []record) (path string, messages int, err error) {
	data, messages, err := takeFile(records)
	if err != nil || messages == 0 {
		return "", 0, err
	}
	dir := filepath.Dir(journal)
	if err := makeDir(disk, dir); err != nil {
		return "", 0, err
	}
	stem := strings.TrimSuffix(filepath.Base(journal), journalExt)
	for n := 1; n < maxNumber; n++ {
		path = filepath.Join(dir, numbered(stem, n)+takeExt)
		existing, err := disk.ReadFile(path)
		if errors.Is(err, fs.ErrNotExist) {
			return path, messages, writeAtomic(disk, path, data)
		}
		if err != nil {
			return "", 0, err
		}
		if bytes.Equal(existing, data) {
			return path, messages, disk.SyncDir(dir)
		}
	}
	return "", 0, fmt.Errorf("no free name for %s in %s: move its takes away", stem, dir)
}

func takePath(journal string) string {
	return strings.TrimSuffix(journal, journalExt) + takeExt
}

func readAll(file File) ([]byte, error) {
	return io.ReadAll(io.NewSectionReader(file, 0, 1<<62))
}
