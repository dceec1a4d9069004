package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"stillhand/session"
)

const (
	gatherTime = 20 * time.Millisecond  // from an event to its write
	syncTime   = 200 * time.Millisecond // from one fsync to the next, at least
	retryTime  = 500 * time.Millisecond // from a failure to the next try

	stemLayout = "2006-01-02T150405Z"
	journalExt = ".journal"
)

// journalWriter is the state of a Recorder's writer goroutine, and of Finish
// once that has ended. Writing and fsync are apart, because a slow fsync must
// not keep events from the kernel, where a killed process cannot lose them.
type journalWriter struct {
	disk FS
	dir  string
	stem string
	file File   // nil until the journal exists
	path string // of the journal

	pending  []byte // to be written
	unsynced []byte // written, not known to be durable

	synced   chan error // outcome of the running fsync
	syncing  bool
	covered  int // bytes of unsynced that the running fsync covers
	lastSync time.Time

	writeErr error     // of the last write
	retryAt  time.Time // of the next one, after an error
	syncErr  error     // of the last fsync; then unsynced must be written again

	saved string // path of the finished take
}

// run is the writer goroutine. A crash in it is to the rest what an error of
// the disk is: it is said, and tried again.
func (r *Recorder) run() {
	defer close(r.done)
	for {
		err := r.serve()
		if err == nil {
			return
		}
		r.writer.writeErr, r.writer.retryAt = err, time.Now().Add(retryTime)
		r.report()
		select {
		case <-r.stop:
			return
		default:
		}
	}
}

// serve writes until the recording is stopped or it crashes. It sleeps while
// there is nothing to do.
func (r *Recorder) serve() (err error) {
	defer session.Catch("the recorder", &err)
	w := &r.writer
	timer := time.NewTimer(time.Until(w.retryAt)) // at once, but after a crash
	defer timer.Stop()
	armed := true
	for {
		select {
		case <-r.stop:
			if w.syncing {
				w.endSync(<-w.synced)
			}
			r.take()
			w.write()
			if w.file != nil {
				// So that a journal found beside its take holds the same.
				w.covered = len(w.unsynced)
				w.endSync(w.file.Sync())
			}
			r.report()
			return nil
		case err := <-w.synced:
			w.endSync(err)
			r.report()
		case <-r.wake:
		case <-timer.C:
			armed = false
			r.take()
			w.write()
			w.startSync()
			r.report()
		}
		if !armed && (r.hasFresh() || w.hasWork()) {
			timer.Reset(max(gatherTime, time.Until(w.retryAt)))
			armed = true
		}
	}
}

// take moves the fresh records to the writer.
func (r *Recorder) take() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.writer.pending = append(r.writer.pending, r.fresh...)
	r.fresh = r.fresh[:0]
	r.held = r.writer.held()
}

func (r *Recorder) hasFresh() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return len(r.fresh) > 0
}

// report brings the writer's state into the status.
func (r *Recorder) report() {
	w := &r.writer
	err := w.writeErr
	if err == nil {
		err = w.syncErr
	}
	if r.crash == nil && errors.As(err, new(*session.CrashError)) {
		r.crash = err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.held = w.held()
	before, trouble := r.status, r.trouble
	r.status.Saving, r.trouble = err == nil, ""
	if err != nil {
		r.trouble = diskTrouble(err)
	}
	if w.file != nil {
		r.status.Path = takePath(w.path)
	}
	ring(r.written)
	if r.status != before || r.trouble != trouble {
		ring(r.changed)
	}
}

// ring rings a bell of one slot.
func ring(bell chan<- struct{}) {
	select {
	case bell <- struct{}{}:
	default:
	}
}

func (w *journalWriter) held() int { return len(w.pending) + len(w.unsynced) }

func (w *journalWriter) hasWork() bool {
	return len(w.pending) > 0 || w.file == nil || (len(w.unsynced) > 0 && !w.syncing)
}

// write writes what is pending, as far as the disk lets it. After a short
// write the journal ends inside a record, which the next write completes.
func (w *journalWriter) write() {
	w.writeErr = w.open()
	if w.writeErr == nil && len(w.pending) > 0 {
		var n int
		n, w.writeErr = w.file.Write(w.pending)
		w.unsynced = append(w.unsynced, w.pending[:n]...)
		w.pending = without(w.pending, n)
	}
	if w.writeErr != nil {
		w.retryAt = time.Now().Add(retryTime)
	}
}

// open creates the journal if there is none.
func (w *journalWriter) open() error {
	if w.file != nil {
		return nil
	}
	if err := makeDir(w.disk, w.dir); err != nil {
		return err
	}
	file, path, err := createJournal(w.disk, w.dir, w.stem)
	if err != nil {
		return err
	}
	w.file, w.path = file, path
	w.pending = append([]byte(journalMagic), w.pending...)
	return w.disk.SyncDir(w.dir)
}

// startSync begins an fsync in the background if one is due.
func (w *journalWriter) startSync() {
	if w.syncing || len(w.unsynced) == 0 || time.Since(w.lastSync) < syncTime {
		return
	}
	w.syncing, w.covered, w.lastSync = true, len(w.unsynced), time.Now()
	file := w.file
	go func() {
		var err error
		defer func() { w.synced <- err }()
		defer session.Catch("the recorder", &err)
		err = file.Sync()
	}()
}

func (w *journalWriter) endSync(err error) {
	w.syncing = false
	doubtful := w.syncErr != nil
	w.syncErr = err
	switch {
	case err != nil:
		// The kernel may drop what it could not write and call the next fsync
		// a success, so unsynced is kept, to be written again after that.
	case doubtful:
		w.pending = append(w.unsynced, w.pending...)
		w.unsynced = nil
	default:
		w.unsynced = without(w.unsynced, w.covered)
	}
}

// roomy is the size from which an empty buffer is let go of: only a disk that
// was away for long needs one.
const roomy = 256 << 10

// without is buf without its first n bytes, in the same memory.
func without(buf []byte, n int) []byte {
	if n == len(buf) && cap(buf) > roomy {
		return nil
	}
	return append(buf[:0], buf[n:]...)
}

// createJournal creates a locked journal under the first name for which there
// is neither a journal nor a take.
func createJournal(disk FS, dir, stem string) (File, string, error) {
	for n := 1; n < maxNumber; n++ {
		path := filepath.Join(dir, numbered(stem, n)+journalExt)
		file, err := disk.Create(path)
		if errors.Is(err, fs.ErrExist) || errors.Is(err, fs.ErrNotExist) || errors.Is(err, ErrLocked) {
			continue // another program's, or taken away by another's Recover while still empty
		}
		if err != nil {
			_ = disk.Remove(path) // made and not locked, or the next try would make another
			return nil, "", err
		}
		// Asked for after the journal is ours: only its holder makes the take.
		taken, err := exists(disk, takePath(path))
		if err == nil && !taken {
			return file, path, nil
		}
		_ = file.Close()
		_ = disk.Remove(path)
		if err != nil {
			return nil, "", err
		}
	}
	return nil, "", fmt.Errorf("no free name for %s in %s: move its takes away", stem, dir)
}

// isNoFolder reports whether a file stands in the place of a folder; moveAway is
// what to do then.
func isNoFolder(err error) bool { return errors.Is(err, syscall.ENOTDIR) }

const moveAway = "move away the file in a folder's place"

// diskTrouble says in a few words what is wrong with the disk and what to do.
func diskTrouble(err error) string {
	cause := err
	var path *fs.PathError
	var link *os.LinkError
	if errors.As(err, &path) {
		cause = path.Err
	} else if errors.As(err, &link) {
		cause = link.Err
	}
	switch {
	case errors.As(err, new(*session.CrashError)):
		return err.Error()
	case isDiskFull(err):
		return fmt.Sprintf("%v: free some space", cause)
	case isReadOnly(err):
		return fmt.Sprintf("%v: make the folder writable", cause)
	case isNoFolder(err):
		return fmt.Sprintf("%v: %s", cause, moveAway)
	default:
		return fmt.Sprintf("%v: check the disk", cause)
	}
}
