package store

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2/smf"

	"stillhand/midiin"
	"stillhand/session"
)

var evening = time.Date(2026, 11, 25, 20, 14, 5, 250_000_000, time.UTC)

var header = TakeHeader{{Key: "neck", Value: "E1 A1 D2 G2"}, {Key: "fingers", Value: "four"}, {Key: "source", Value: "Cable = 2"}}

func noteOn(at time.Duration, pitch int) midiin.Event {
	return midiin.Event{At: at, Data: [3]byte{0x90, byte(pitch), 80}}
}

// readTake reads a take with gomidi's reader, a general-purpose library, and
// returns its channel messages and markers, times from its ticks alone.
func readTake(t *testing.T, disk FS, path string) []midiin.Event {
	t.Helper()
	data, err := disk.ReadFile(path)
	require.NoError(t, err)
	file, err := smf.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	require.Equal(t, smf.MetricTicks(TicksPerQuarter), file.TimeFormat)
	require.Len(t, file.Tracks, 1)
	var events []midiin.Event
	var ticks int64
	for _, ev := range file.Tracks[0] {
		require.LessOrEqual(t, ev.Delta, uint32(0x0fffffff), "RP-001: the largest variable-length quantity")
		ticks += int64(ev.Delta)
		at := time.Duration(ticks) * session.Tick
		var text string
		var bpm float64
		switch {
		case ev.Message.GetMetaTempo(&bpm):
			require.InDelta(t, 120, bpm, 1e-9)
		case ev.Message.GetMetaMarker(&text):
			events = append(events, midiin.Event{At: at, Kind: midiin.Marker, Text: text})
		case ev.Message.IsPlayable():
			e := midiin.Event{At: at}
			copy(e.Data[:], ev.Message)
			events = append(events, e)
		}
	}
	return events
}

func TestRecorder_TakeHoldsEveryChannelMessageAsItCame(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		rec := NewRecorder(disk, "takes", evening, header)
		sent := []midiin.Event{
			{At: 0, Data: [3]byte{0xb0, 101, 0}},
			{At: 0, Data: [3]byte{0xc3, 33, 0}},
			{At: 49 * time.Microsecond, Data: [3]byte{0x90, 28, 80}},
			{At: 50 * time.Microsecond, Data: [3]byte{0xd0, 5, 0}},
			{At: time.Second, Data: [3]byte{0x80, 28, 64}},
			{At: time.Second, Data: [3]byte{0x90, 29, 1}},
			{At: time.Second, Data: [3]byte{0x90, 29, 0}},
			{At: 2 * time.Second, Kind: midiin.Marker, Text: "mark"},
			{At: 2 * time.Second, Data: [3]byte{0xe0, 0x7f, 0x7f}},
			{At: 9 * time.Hour, Data: [3]byte{0xa0, 30, 9}}, // farther than one delta reaches
		}
		for _, e := range sent {
			rec.Event(e)
		}
		rec.Event(midiin.Event{At: 9 * time.Hour, Data: [3]byte{0xf8}}) // no channel message
		rec.Event(midiin.Event{At: 9 * time.Hour, Kind: midiin.Lost, Text: "Cable"})
		path, err := rec.Finish()
		require.NoError(t, err)
		assert.Equal(t, filepath.Join("takes", "2026-11-25T201405Z.mid"), path)
		assert.Equal(t, Status{Path: path, Saving: true}, rec.Status())

		want := append(sent, midiin.Event{At: 9 * time.Hour, Kind: midiin.Marker, Text: "lost Cable"})
		for i := range want {
			want[i].At = quantize(want[i].At)
		}
		assert.Equal(t, want, readTake(t, disk, path))
		assert.Equal(t, []string{
			"stillhand-take 1", "started=2026-11-25T20:14:05.25Z", "neck=E1 A1 D2 G2", "fingers=four", "source=Cable = 2",
		}, readTexts(t, disk, path)[:5])
		assert.Equal(t, []string{path}, disk.find(t, ""), "nothing else is left")

		again, err := rec.Finish()
		require.NoError(t, err)
		assert.Equal(t, path, again)
	})
}

func TestRecorder_NothingPlayedLeavesNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		rec := NewRecorder(disk, "takes", evening, header)
		rec.Action(0, "mark")
		path, err := rec.Finish()
		require.NoError(t, err)
		assert.Empty(t, path)
		assert.Empty(t, disk.find(t, ""))
	})
}

// Issue: every note received more than 250 ms before a kill is recovered.
func TestRecorder_EventsReachTheDiskWithin250ms(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		rec := NewRecorder(disk, "takes", evening, header)
		start := time.Now()
		for i := range 100 {
			rec.Event(noteOn(time.Since(start), 28+i%12))
			time.Sleep(7 * time.Millisecond)
		}
		lastSafe := time.Since(start) - 250*time.Millisecond
		for name, after := range map[string]*memDisk{"kill": disk.kill(), "power": disk.losePower(nil)} {
			all, err := Recover(after, "takes")
			require.NoError(t, err, name)
			require.Len(t, all, 1, name)
			got := readTake(t, after, all[0].Path)
			require.NotEmpty(t, got, name)
			assert.GreaterOrEqual(t, got[len(got)-1].At, lastSafe-7*time.Millisecond, name)
			for i, e := range got {
				require.Equal(t, byte(28+i%12), e.Data[1], name)
			}
		}
		_, err := rec.Finish()
		require.NoError(t, err)
	})
}

func TestRecorder_TenThousandMessagesASecondForTenSeconds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		rec := NewRecorder(disk, "takes", evening, header)
		start := time.Now()
		for i := range 100_000 {
			rec.Event(midiin.Event{At: time.Since(start), Data: [3]byte{0xe0, byte(i & 0x7f), byte(i >> 7 & 0x7f)}})
			time.Sleep(100 * time.Microsecond)
		}
		assert.Zero(t, rec.Status().Lost)
		path, err := rec.Finish()
		require.NoError(t, err)
		got := readTake(t, disk, path)
		require.Len(t, got, 100_000)
		for i, e := range got {
			require.Equal(t, [3]byte{0xe0, byte(i & 0x7f), byte(i >> 7 & 0x7f)}, e.Data)
			require.Equal(t, time.Duration(i)*session.Tick, e.At)
		}
		assert.Less(t, disk.syncs, 60, "one fsync in 200 ms at most")
	})
}

func TestRecorder_IdleWritesNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		rec := NewRecorder(disk, "takes", evening, header)
		rec.Event(noteOn(0, 28))
		time.Sleep(time.Minute)
		disk.set(func(d *memDisk) {
			assert.LessOrEqual(t, d.syncs, 2)
			d.fault = func(op, name string) error { return fmt.Errorf("idle, yet %s", op) }
		})
		time.Sleep(time.Hour)
		assert.True(t, rec.Status().Saving)
		disk.set(func(d *memDisk) { d.fault = nil })
		_, err := rec.Finish()
		require.NoError(t, err)
	})
}

func TestRecorder_EventAllocatesNothing(t *testing.T) {
	disk := newMemDisk()
	rec := NewRecorder(disk, "takes", evening, header)
	rec.Event(noteOn(0, 28))
	allocs := testing.AllocsPerRun(1000, func() { rec.Event(noteOn(time.Second, 30)) })
	assert.Less(t, allocs, 1.0)
	_, err := rec.Finish()
	require.NoError(t, err)
}

func TestRecorder_TwoInTheSameSecondDoNotMeet(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data", "takes")
	one, two := NewRecorder(OS, dir, evening, header), NewRecorder(OS, dir, evening, header)
	for i := range 50 {
		one.Event(noteOn(time.Duration(i)*time.Millisecond, 30))
		two.Event(noteOn(time.Duration(i)*time.Millisecond, 40))
	}
	require.Eventually(t, func() bool { return one.Status().Path != "" && two.Status().Path != "" }, 10*time.Second, time.Millisecond)
	all, err := Recover(OS, dir)
	require.NoError(t, err)
	assert.Empty(t, all, "journals of living programs are left alone")

	for i, rec := range []*Recorder{one, two} {
		path, err := rec.Finish()
		require.NoError(t, err)
		assert.Equal(t, rec.Status().Path, path)
		got := readTake(t, OS, path)
		require.Len(t, got, 50)
		for _, e := range got {
			assert.Equal(t, byte(30+10*i), e.Data[1])
		}
	}
	three := NewRecorder(OS, dir, evening, header)
	three.Event(noteOn(0, 50))
	path, err := three.Finish()
	require.NoError(t, err)
	assert.Equal(t, "2026-11-25T201405Z-3.mid", filepath.Base(path))
	assert.Equal(t, path, three.Status().Path, "chosen when the journal was made, not at the end")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 3, "takes and nothing else")
}

func TestRecorder_FilesArePrivate(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no permission bits on Windows")
	}
	dir := filepath.Join(t.TempDir(), "data", "takes")
	require.NoError(t, os.MkdirAll(dir, 0o755))
	rec := NewRecorder(OS, dir, evening, header)
	rec.Event(noteOn(0, 30))
	require.Eventually(t, func() bool { return rec.Status().Path != "" }, 10*time.Second, time.Millisecond)
	mode := func(path string) os.FileMode {
		info, err := os.Stat(path)
		require.NoError(t, err)
		return info.Mode().Perm()
	}
	assert.Equal(t, os.FileMode(0o600), mode(strings.TrimSuffix(rec.Status().Path, takeExt)+journalExt))
	path, err := rec.Finish()
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), mode(path))
	assert.Equal(t, os.FileMode(0o700), mode(dir))
}

// readTexts returns a take's text events.
func readTexts(t *testing.T, disk FS, path string) []string {
	t.Helper()
	data, err := disk.ReadFile(path)
	require.NoError(t, err)
	file, err := smf.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	var texts []string
	for _, ev := range file.Tracks[0] {
		var text string
		if ev.Message.GetMetaText(&text) {
			texts = append(texts, text)
		}
	}
	return texts
}
