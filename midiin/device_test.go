//go:build unix

package midiin

import (
	"os"
	"path/filepath"
	"runtime"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/term"
)

func makeFIFO(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "midi")
	require.NoError(t, syscall.Mkfifo(path, 0o600))
	return path
}

// Opened it would wait for a writer, out of reach of any signal.
func TestOpenFile_RefusesWhatIsNoFile(t *testing.T) {
	t.Parallel()
	for _, path := range []string{makeFIFO(t), os.DevNull} {
		_, err := OpenFile(path, FileOptions{})
		assert.EqualError(t, err, path+": is a pipe or a device: write what comes from it into a file, and name that")
	}
}

// write opens a FIFO as a writer does, writes and leaves.
func write(t *testing.T, path string, b ...byte) {
	t.Helper()
	w, err := os.OpenFile(path, os.O_WRONLY, 0)
	require.NoError(t, err)
	_, err = w.Write(b)
	require.NoError(t, err)
	require.NoError(t, w.Close())
}

func openStream(t *testing.T, path string) Source {
	t.Helper()
	s, err := OpenStream(path)
	require.NoError(t, err)
	return s
}

func TestFIFO_KeepsSourceContract(t *testing.T) {
	t.Parallel()
	path := makeFIFO(t)
	CheckSource(t, func(t *testing.T) Source { return openStream(t, path) },
		func(t *testing.T) { write(t, path, 0x90, 40, 80) }, false)
}

func TestFIFO_WaitsForTheNextWriter(t *testing.T) {
	t.Parallel()
	if runtime.GOOS != "linux" {
		t.Skip("only Linux tells at once that a FIFO's writer has left")
	}
	path := makeFIFO(t)
	r := start(t, openStream(t, path))
	for i := range byte(20) {
		// The last message is cut off; nothing of it waits for the next writer,
		// who begins in the middle of another.
		write(t, path, 80, 0x90, 40+i, 80, 0x90, 41)
		if i > 0 {
			r.change(Found, "midi")
		}
		r.message(0x90, 40+i, 80)
		r.change(Lost, "midi")
	}
	r.stop()
}

// A writer that is back is said to be before it sends anything.
func TestFIFO_IsFoundWhenItIsOpenedAgain(t *testing.T) {
	t.Parallel()
	path := makeFIFO(t)
	s := openStream(t, path).(*pathSource)
	s.retry = time.Millisecond
	r := start(t, s)
	for i := range byte(5) {
		writer, err := os.OpenFile(path, os.O_WRONLY, 0)
		require.NoError(t, err)
		if i > 0 {
			r.change(Found, "midi")
		}
		_, err = writer.Write([]byte{0x90, 40 + i, 80})
		require.NoError(t, err)
		r.message(0x90, 40+i, 80)
		require.NoError(t, writer.Close())
		r.change(Lost, "midi")
	}
	r.stop()
}

func TestFIFO_LosesNothingBetweenWriters(t *testing.T) {
	t.Parallel()
	// Writers that come one on the heels of the other, as a shell's do: whether
	// the reader sees the gap between two or not, every byte counts.
	path := makeFIFO(t)
	r := start(t, openStream(t, path))
	for i := range byte(100) {
		write(t, path, 0x90, i, 80)
	}
	for i := byte(0); i < 100; {
		if e := r.next(); e.Kind == Message {
			require.Equal(t, [3]byte{0x90, i, 80}, e.Data)
			i++
		}
	}
	r.stop()
}

// cable is a pseudo-terminal that stands for a MIDI device: raw, since a cooked
// one delivers nothing but lines. path is a link, so that another can take its
// place.
func cable(t *testing.T, path string) (end *os.File, unplug func()) {
	t.Helper()
	master, slave, err := pty.Open()
	require.NoError(t, err)
	_, err = term.MakeRaw(int(slave.Fd()))
	require.NoError(t, err)
	require.NoError(t, os.Symlink(slave.Name(), path))
	return master, func() {
		require.NoError(t, os.Remove(path))
		slave.Close()
		master.Close()
	}
}

func openCable(t *testing.T, path string) *pathSource {
	t.Helper()
	s := openStream(t, path).(*pathSource)
	s.retry = time.Millisecond
	return s
}

func TestDevice_KeepsSourceContract(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "midiC1D0")
	end, unplug := cable(t, path)
	defer unplug()
	CheckSource(t, func(t *testing.T) Source { return openCable(t, path) },
		func(t *testing.T) {
			_, err := end.Write([]byte{0x90, 40, 80})
			require.NoError(t, err)
		}, false)
}

func TestDevice_IsFoundAgainAfterUnplugging(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "midiC1D0")
	end, unplug := cable(t, path)
	s := openCable(t, path)
	r := start(t, s)
	for i := range byte(5) {
		_, err := end.Write([]byte{0x90, 40 + i, 80, 0x90, 41})
		require.NoError(t, err)
		r.message(0x90, 40+i, 80)
		unplug()
		r.change(Lost, "midiC1D0")
		end, unplug = cable(t, path)
		r.change(Found, "midiC1D0")
	}
	unplug()
	r.change(Lost, "midiC1D0")
	r.stop() // while it looks for the device
	assert.Zero(t, s.Lost())
}

// It opens again and again and has nothing to say.
func TestDevice_ThatEndsAtOnceStaysGone(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "midiC1D0")
	require.NoError(t, os.Symlink(os.DevNull, path))
	s := openCable(t, path)
	var opened atomic.Int32
	s.open = func(path string, fifo bool) (byteReader, error) {
		opened.Add(1)
		return openDevice(path, fifo)
	}
	r := start(t, s)
	r.change(Lost, "midiC1D0")
	require.Eventually(t, func() bool { return opened.Load() > 5 }, patience, time.Millisecond)
	require.NoError(t, os.Remove(path))
	end, unplug := cable(t, path)
	defer unplug()
	r.change(Found, "midiC1D0")
	_, err := end.Write([]byte{0x90, 40, 80})
	require.NoError(t, err)
	r.message(0x90, 40, 80)
	r.stop()
}

// told is a FIFO whose reads end as they are told; then there is a writer that
// sends nothing.
type told struct {
	reads []error
	over  chan struct{}
}

func (f *told) read([]byte) (int, error) {
	if len(f.reads) == 0 {
		<-f.over
		return 0, nil
	}
	err := f.reads[0]
	f.reads = f.reads[1:]
	return 0, err
}

func (f *told) until(end time.Time) {
	if !end.IsZero() && end.Before(time.Now().Add(-time.Hour)) {
		close(f.over)
	}
}

func (f *told) close() {}

func TestFIFO_IsFoundWhenAWriterStays(t *testing.T) {
	t.Parallel()
	late := os.ErrDeadlineExceeded
	fifo := &told{over: make(chan struct{}), reads: []error{
		nil, errGone, late, nil, errGone, nil, errGone, late, nil, late, // comes, goes twice more, stays
	}}
	s := &pathSource{path: "midi", fifo: true, retry: time.Second, arrivals: newArrivals(), open: func(string, bool) (byteReader, error) { return fifo, nil }}
	r := start(t, s)
	r.change(Lost, "midi")
	r.change(Found, "midi")
	r.stop()
	assert.Empty(t, r.events)
	assert.Empty(t, fifo.reads)
}

func TestDevice_CountsWhatFindsNoRoom(t *testing.T) {
	t.Parallel()
	a := newArrivals()
	a.begin()
	for range arrivalsBuffer + 5 {
		a.offer(t.Context(), Event{})
	}
	assert.Equal(t, 5, a.Lost())
	n := 0
	a.drain(func(Event) { n++ })
	assert.Equal(t, arrivalsBuffer, n)
}

func TestDevice_RefusesInOneLine(t *testing.T) {
	t.Parallel()
	s := &pathSource{path: filepath.Join(t.TempDir(), "gone"), open: openDevice, retry: time.Millisecond, arrivals: newArrivals()}
	err := s.Run(t.Context(), func(Event) {})
	require.Error(t, err)
	assert.Contains(t, err.Error(), s.path)
	assert.Contains(t, err.Error(), "no such file or directory: name another device, a FIFO or a port")
}
