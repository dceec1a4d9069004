package store

import (
	"context"
	"encoding/binary"
	"fmt"
	"sync"
	"time"

	"stillhand/coach"
	"stillhand/midiin"
	"stillhand/session"
)

// heldLimit bounds the bytes that wait for the disk: more than two hours of
// playing at 20 messages a second.
const heldLimit = 4 << 20

// readyShare is the share of the limit from which on a source that can wait does:
// the rest takes in what is on its way already, some ten thousands of messages of
// 24 bytes.
const readyShare = 4

// Recorder records one take. Event, Action and Status never wait for the disk,
// only Ready does; all may be called from any goroutine; Finish ends it. While the
// disk is full or the folder read-only, what comes is kept in memory and written
// when that passes; past a bound it is counted as lost.
type Recorder struct {
	writer  journalWriter
	wake    chan struct{} // one slot: there are fresh records
	stop    chan struct{}
	done    chan struct{} // closed when the writer goroutine has ended
	changed chan struct{} // one slot
	written chan struct{} // one slot: less may be held than before
	crash   error         // the first one of that goroutine, for who waits for done
	missing error         // what the take lacks, known once the recording has ended

	mu       sync.Mutex // guards what follows; never held during I/O
	fresh    []byte     // records that the writer has not taken yet
	held     int        // bytes that the writer has and the disk may not
	limit    int        // of held and fresh together
	sequence uint32     // of the next record
	unsaved  uint32     // events lost since the last record
	lostAt   time.Duration
	trouble  string // why nothing reaches the disk, "" while it does
	status   Status
	finished bool
}

// Status is what a screen should say of a recording.
type Status struct {
	Path    string // of the take to be; "" until its journal exists
	Saving  bool   // what arrives reaches the disk
	Warning string // why it does not, and what to do, or what is lost; else ""
	Lost    int    // events that could not be kept
}

// NewRecorder starts a take in a folder, which is made if need be. The take is
// named for start, in UTC, with a number behind it if that name is taken. It
// does not wait for the disk and cannot fail: what is wrong with the folder is
// in Status, and the take is kept in memory until that is right.
func NewRecorder(disk FS, dir string, start time.Time, header TakeHeader) *Recorder {
	r := &Recorder{
		writer: journalWriter{
			disk:   disk,
			dir:    dir,
			stem:   start.UTC().Format(stemLayout),
			synced: make(chan error, 1),
		},
		wake:    make(chan struct{}, 1),
		changed: make(chan struct{}, 1),
		written: make(chan struct{}, 1),
		stop:    make(chan struct{}),
		done:    make(chan struct{}),
		fresh:   make([]byte, 0, 64<<10),
		limit:   heldLimit,
		status:  Status{Saving: true},
	}
	r.acceptText(startRecord, 0, start.UTC().Format(time.RFC3339Nano))
	for _, field := range header {
		r.acceptText(fieldRecord, 0, field.Key+"="+field.Value)
	}
	go r.run()
	return r
}

// Event records one event as it came, before any cleaning. Messages that are
// not channel messages are left out.
func (r *Recorder) Event(e midiin.Event) {
	r.mu.Lock()
	defer r.mu.Unlock()
	switch e.Kind {
	case midiin.Message:
		r.acceptMessage(e.At, e.Data)
	case midiin.Marker:
		r.acceptText(markerRecord, e.At, e.Text)
	case midiin.Text:
		r.acceptText(textRecord, e.At, e.Text)
	case midiin.Lost:
		r.acceptText(markerRecord, e.At, session.LostMarker+e.Text)
	case midiin.Found:
		r.acceptText(markerRecord, e.At, session.FoundMarker+e.Text)
	}
}

// Action records what the player asked for, as a marker.
func (r *Recorder) Action(at time.Duration, text string) {
	r.Event(midiin.Event{At: at, Kind: midiin.Marker, Text: text})
}

// Status returns the state of the recording.
func (r *Recorder) Status() Status {
	r.mu.Lock()
	defer r.mu.Unlock()
	s := r.status
	switch {
	case r.trouble != "" && s.Lost > 0:
		s.Warning = fmt.Sprintf("not saving: %s; no more room in memory, %s lost: %s", r.trouble, coach.Many(s.Lost, "event"), r.writer.dir)
	case r.trouble != "":
		s.Warning = fmt.Sprintf("not saving: %s; playing is kept in memory: %s", r.trouble, r.writer.dir)
	case s.Lost > 0:
		s.Warning = lostText(s.Lost)
	}
	return s
}

// lostText says of a take what it lacks.
func lostText(events int) string {
	return fmt.Sprintf("the take lacks %s: the disk was away for too long", coach.Many(events, "event"))
}

// Changed is rung after the writer has changed the status; one slot.
func (r *Recorder) Changed() <-chan struct{} { return r.changed }

// Ready waits until little is held, the disk fails, the recording ends or ctx is
// done. One goroutine at a time may wait.
func (r *Recorder) Ready(ctx context.Context) {
	for r.behind() {
		select {
		case <-r.written:
		case <-r.done:
			return
		case <-ctx.Done():
			return
		}
	}
}

// behind reports whether the disk, which works, has much to catch up with.
func (r *Recorder) behind() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.status.Saving && r.held+len(r.fresh) > r.limit/readyShare
}

func (r *Recorder) acceptMessage(at time.Duration, data [3]byte) {
	if messageLength(data[:]) == 0 || !r.room(at, len(data)) {
		return
	}
	r.fresh = appendRecord(r.fresh, r.sequence, messageRecord, at, data[:])
	r.accepted()
}

func (r *Recorder) acceptText(kind recordKind, at time.Duration, text string) {
	if !r.room(at, len(text)) {
		return
	}
	r.fresh = appendRecord(r.fresh, r.sequence, kind, at, text)
	r.accepted()
}

// room reports whether a record may be added; otherwise it counts it as lost.
// The first record after a loss says how many are missing before it.
func (r *Recorder) room(at time.Duration, payload int) bool {
	const unsavedSize = recordHead + bodyHead + 4
	if r.finished || r.held+len(r.fresh)+unsavedSize+recordHead+bodyHead+payload > r.limit {
		r.status.Lost++
		r.unsaved++
		r.lostAt = at
		return false
	}
	r.tellUnsaved(at)
	return true
}

// tellUnsaved adds the record of how many events were lost before it, if any.
func (r *Recorder) tellUnsaved(at time.Duration) {
	if r.unsaved == 0 {
		return
	}
	var count [4]byte
	binary.LittleEndian.PutUint32(count[:], r.unsaved)
	r.fresh = appendRecord(r.fresh, r.sequence, unsavedRecord, at, count[:])
	r.sequence++
	r.unsaved = 0
}

func (r *Recorder) accepted() {
	r.sequence++
	ring(r.wake)
}
