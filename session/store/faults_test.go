package store

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/midiin"
)

// play sends n numbered messages, one in 5 ms, and returns them as a take
// holds them.
func play(rec *Recorder, start time.Time, first, n int) []midiin.Event {
	var sent []midiin.Event
	for i := first; i < first+n; i++ {
		e := midiin.Event{At: quantize(time.Since(start)), Data: [3]byte{0xe0, byte(i & 0x7f), byte(i >> 7)}}
		rec.Event(e)
		sent = append(sent, e)
		time.Sleep(5 * time.Millisecond)
	}
	return sent
}

// Issue: disk full and read-only folders show on screen, stop only the
// saving, and resume when space returns.
func TestRecorder_SavingStopsAndResumes(t *testing.T) {
	for name, fault := range map[string]struct {
		begin, end func(*memDisk)
		says       string
	}{
		"disk full":     {func(d *memDisk) { d.room = 0 }, func(d *memDisk) { d.room = -1 }, "no space left on device: free some space"},
		"nearly full":   {func(d *memDisk) { d.room = 1001 }, func(d *memDisk) { d.room = -1 }, "no space left on device: free some space"},
		"read-only":     {failing(syscall.EROFS, "write", "create", "mkdir"), healthy, "make the folder writable"},
		"no permission": {failing(syscall.EACCES, "write", "create", "mkdir"), healthy, "permission denied: make the folder writable"},
		"write error":   {failing(syscall.EIO, "write"), healthy, "check the disk"},
		"sync error":    {failing(syscall.EIO, "sync"), healthy, "check the disk"},
		"short writes":  {func(d *memDisk) { d.chunk = 7 }, func(d *memDisk) { d.chunk = 0 }, "short write"},
	} {
		for _, when := range []string{"from the start", "in between"} {
			t.Run(name+" "+when, func(t *testing.T) {
				synctest.Test(t, func(t *testing.T) {
					disk := newMemDisk()
					if when == "from the start" {
						disk.set(fault.begin)
					}
					start := time.Now()
					rec := NewRecorder(disk, "takes", evening, header)
					sent := play(rec, start, 0, 300)
					disk.set(fault.begin)
					sent = append(sent, play(rec, start, 300, 300)...)
					status := rec.Status()
					assert.False(t, status.Saving)
					assert.Contains(t, status.Warning, fault.says)
					assert.Contains(t, status.Warning, "takes")
					assert.NotContains(t, status.Warning, "\n")
					assert.Len(t, rec.Changed(), 1, "whoever shows the status is rung")
					<-rec.Changed()
					disk.set(fault.end)
					sent = append(sent, play(rec, start, 600, 300)...)
					assert.Len(t, rec.Changed(), 1)
					assert.Equal(t, Status{Path: filepath.Join("takes", "2026-11-25T201405Z.mid"), Saving: true}, rec.Status())

					after := disk.losePower(nil)
					all, err := Recover(after, "takes")
					require.NoError(t, err)
					require.Len(t, all, 1)
					assert.Empty(t, all[0].Warnings)
					got := readTake(t, after, all[0].Path)
					require.Greater(t, len(got), 840)
					assert.Equal(t, sent[:len(got)], got)

					path, err := rec.Finish()
					require.NoError(t, err)
					assert.Equal(t, sent, readTake(t, disk, path))
				})
			})
		}
	}
}

func failing(err error, ops ...string) func(*memDisk) {
	return func(d *memDisk) {
		d.fault = func(op, _ string) error {
			for _, failing := range ops {
				if op == failing {
					return err
				}
			}
			return nil
		}
	}
}

func healthy(d *memDisk) { d.fault = nil }

// After a failed fsync Linux marks the pages clean, and the next fsync reports
// success although they never reached the disk (Rebello et al. 2020, Can
// Applications Recover from fsync Failures?; from memory).
func TestRecorder_WritesAgainWhatAFailedSyncMayHaveDropped(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		start := time.Now()
		rec := NewRecorder(disk, "takes", evening, header)
		sent := play(rec, start, 0, 200)
		disk.set(failing(syscall.EIO, "sync"))
		sent = append(sent, play(rec, start, 200, 200)...)
		disk.set(func(d *memDisk) {
			for name, node := range d.names {
				if strings.HasSuffix(name, journalExt) { // the pages written since never reach the disk
					clear(node.data[len(node.durable):])
				}
			}
			d.fault = nil
		})
		sent = append(sent, play(rec, start, 400, 200)...)
		time.Sleep(time.Second)
		after := disk.losePower(nil)
		all, err := Recover(after, "takes")
		require.NoError(t, err)
		require.Len(t, all, 1)
		assert.Equal(t, sent, readTake(t, after, all[0].Path))
		require.Len(t, all[0].Warnings, 1)
		assert.Contains(t, all[0].Warnings[0], "damaged at byte")
		path, err := rec.Finish()
		require.ErrorContains(t, err, "damaged at byte")
		assert.Equal(t, sent, readTake(t, disk, path))
	})
}

// An fsync that takes long keeps nothing from the kernel, and covers only what
// was written before it began.
func TestRecorder_SlowSyncDelaysNoWrite(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		disk.slow = 2 * time.Second
		start := time.Now()
		rec := NewRecorder(disk, "takes", evening, header)
		sent := play(rec, start, 0, 300) // 1.5 s: within the first fsync
		after := disk.kill()
		all, err := Recover(after, "takes")
		require.NoError(t, err)
		require.Len(t, all, 1)
		got := readTake(t, after, all[0].Path)
		require.GreaterOrEqual(t, len(got), 250)
		assert.Equal(t, sent[:len(got)], got)

		sent = append(sent, play(rec, start, 300, 200)...) // the first fsync ends well, the second is under way
		disk.set(failing(syscall.EIO, "sync"))
		sent = append(sent, play(rec, start, 500, 500)...)
		disk.set(func(d *memDisk) {
			for _, node := range d.names {
				clear(node.data[len(node.durable):])
			}
			d.fault, d.slow = nil, 0
		})
		sent = append(sent, play(rec, start, 1000, 10)...)
		time.Sleep(5 * time.Second)
		after = disk.losePower(nil)
		all, err = Recover(after, "takes")
		require.NoError(t, err)
		require.Len(t, all, 1)
		assert.Equal(t, sent, readTake(t, after, all[0].Path))
		_, err = rec.Finish()
		require.ErrorContains(t, err, "damaged at byte")
	})
}

// flooded is a recorder that was sent more events, one a millisecond, than the
// memory of limit bytes holds, on a disk without room; it lost some of them.
func flooded(t *testing.T, limit, sent int) (disk *memDisk, rec *Recorder, lost int) {
	t.Helper()
	disk = newMemDisk()
	disk.room = 0
	rec = NewRecorder(disk, "takes", evening, header)
	rec.mu.Lock()
	rec.limit = limit
	rec.mu.Unlock()
	for i := range sent {
		rec.Event(noteOn(time.Duration(i)*time.Millisecond, 30))
	}
	lost = rec.Status().Lost
	require.Positive(t, lost)
	require.Less(t, lost, sent)
	return disk, rec, lost
}

func TestRecorder_BeyondItsBoundCountsWhatIsLost(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const sent = 10_000
		disk, rec, lost := flooded(t, 100_000, sent)
		rec.mu.Lock()
		assert.LessOrEqual(t, len(rec.fresh)+rec.held, rec.limit)
		rec.mu.Unlock()
		time.Sleep(time.Second)
		assert.Contains(t, rec.Status().Warning, fmt.Sprintf("no more room in memory, %d events lost: takes", lost))
		assert.NotContains(t, rec.Status().Warning, "kept in memory")
		disk.set(func(d *memDisk) { d.room = -1 })
		time.Sleep(time.Second)
		lacks := fmt.Sprintf("the take lacks %d events", lost)
		assert.True(t, rec.Status().Saving)
		assert.Contains(t, rec.Status().Warning, lacks)
		rec.Event(noteOn(sent*time.Millisecond, 31))
		path, err := rec.Finish()
		require.ErrorContains(t, err, lacks)
		assert.Equal(t, lost, rec.Status().Lost)
		got := readTake(t, disk, path)
		require.Len(t, got, sent-lost+1)
		assert.Equal(t, time.Duration(sent-lost-1)*time.Millisecond, got[len(got)-2].At)
		assert.Contains(t, readTexts(t, disk, path), fmt.Sprintf("unsaved=%d", lost))
	})
}

// What was lost last is counted too, although nothing was kept after it.
func TestRecorder_CountsWhatIsLostAtTheEnd(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const sent = 2000
		disk, rec, lost := flooded(t, 3000, sent)
		disk.set(func(d *memDisk) { d.room = -1 })
		path, err := rec.Finish()
		require.ErrorContains(t, err, fmt.Sprintf("the take lacks %d events", lost))
		assert.Len(t, readTake(t, disk, path), sent-lost)
		assert.Contains(t, readTexts(t, disk, path), fmt.Sprintf("unsaved=%d", lost))
	})
}

func TestRecorder_ASourceThatWaitsLosesNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		disk.slow = time.Second
		rec := NewRecorder(disk, "takes", evening, header)
		const sent = 2 * heldLimit / 24
		for i := range sent {
			rec.Ready(t.Context())
			rec.Event(noteOn(time.Duration(i)*time.Millisecond, 30))
		}
		path, err := rec.Finish()
		require.NoError(t, err)
		assert.Zero(t, rec.Status().Lost)
		assert.Len(t, readTake(t, disk, path), sent)
	})
}

// A disk that fails, or a sitting that ends, is not waited for.
func TestRecorder_ReadyWaitsForNoLostCause(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		disk.slow = time.Hour
		rec := NewRecorder(disk, "takes", evening, header)
		fill := func() {
			for i := range heldLimit / readyShare / 24 {
				rec.Event(noteOn(time.Duration(i)*time.Millisecond, 30))
			}
		}
		fill()
		ctx, stop := context.WithTimeout(t.Context(), time.Second)
		defer stop()
		rec.Ready(ctx)
		assert.Error(t, ctx.Err(), "it has waited")
		disk.set(func(d *memDisk) { d.room = 0 })
		rec.Event(noteOn(time.Hour, 30))
		began := time.Now()
		rec.Ready(t.Context())
		assert.Less(t, time.Since(began), time.Second)
		disk.set(func(d *memDisk) { d.room = -1 })
		_, err := rec.Finish()
		require.NoError(t, err)
		rec.Ready(t.Context())
	})
}

// What a disk that was away for long needed is let go of.
func TestRecorder_HoldsNoMemoryAfterALongOutage(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		disk.room = 0
		rec := NewRecorder(disk, "takes", evening, header)
		const sent = 100_000
		for i := range sent {
			rec.Event(noteOn(time.Duration(i)*time.Millisecond, 30))
		}
		time.Sleep(time.Second)
		disk.set(func(d *memDisk) { d.room = -1 })
		time.Sleep(5 * time.Second)
		require.True(t, rec.Status().Saving)
		assert.Less(t, cap(rec.writer.pending)+cap(rec.writer.unsynced), 2*roomy)
		path, err := rec.Finish()
		require.NoError(t, err)
		assert.Len(t, readTake(t, disk, path), sent)
	})
}

func TestRecorder_FinishFailsAndSucceedsLater(t *testing.T) {
	for _, op := range []string{"create", "write", "sync", "rename"} {
		t.Run(op, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				disk := newMemDisk()
				rec := NewRecorder(disk, "takes", evening, header)
				start := time.Now()
				sent := play(rec, start, 0, 100)
				time.Sleep(time.Second)
				sent = append(sent, play(rec, start, 100, 1)...)
				disk.set(failing(syscall.ENOSPC, op))
				path, err := rec.Finish()
				require.ErrorContains(t, err, "free some space")
				require.ErrorContains(t, err, "the next start recovers it from ")
				assert.Empty(t, path)
				assert.Empty(t, disk.find(t, takeExt), "no half a take")
				assert.Len(t, disk.find(t, ""), 1, "the journal and nothing else")
				rec.Event(noteOn(time.Hour, 30))
				assert.Equal(t, 1, rec.Status().Lost, "too late")

				all, err := Recover(disk, "takes")
				require.NoError(t, err)
				assert.Empty(t, all, "the journal is still held")
				disk.set(healthy)
				path, err = rec.Finish()
				require.NoError(t, err)
				assert.Equal(t, sent, readTake(t, disk, path))
				assert.Equal(t, []string{path}, disk.find(t, ""))
			})
		})
	}
}

// What could be written nowhere is not said to come back.
func TestRecorder_PromisesNothingWithoutAJournal(t *testing.T) {
	for name, fault := range map[string]func(*memDisk){
		"no journal":                  failing(syscall.EACCES, "create"),
		"an empty one":                func(d *memDisk) { d.room = 0 },
		"one in which nothing sounds": func(d *memDisk) { d.room = 100 },
	} {
		synctest.Test(t, func(t *testing.T) {
			disk := newMemDisk()
			disk.set(fault)
			rec := NewRecorder(disk, "takes", evening, header)
			play(rec, time.Now(), 0, 10)
			_, err := rec.Finish()
			require.ErrorContains(t, err, "nothing of it could be kept", name)
			assert.NotContains(t, err.Error(), "recovers")
		})
	}
}

// Power fails at a random moment: what was received more than 250 ms and one
// fsync before is there, in order, and every take can be read.
func TestRecorder_PowerLossAtAnyMoment(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		lengths := rand.New(rand.NewPCG(3, 4))
		for round := range 60 {
			random := rand.New(rand.NewPCG(5, uint64(round))) // guarded by the disk
			disk := newMemDisk()
			start := time.Now()
			rec := NewRecorder(disk, "takes", evening, header)
			var snapshots []*memDisk
			var at []time.Duration
			disk.set(func(d *memDisk) {
				d.fault = func(op, _ string) error { // also between the steps of Finish
					if random.IntN(8) == 0 || op == "rename" || op == "remove" || op == "syncdir" {
						snapshots = append(snapshots, d.afterPowerLoss(random))
						at = append(at, time.Since(start))
					}
					return nil
				}
			})
			sent := play(rec, start, 0, 50+lengths.IntN(200))
			_, err := rec.Finish()
			require.NoError(t, err)
			snapshots, at = append(snapshots, disk.afterPowerLoss(random)), append(at, time.Since(start))
			for i, after := range snapshots {
				_, err := Recover(after, "takes")
				require.NoError(t, err)
				takes := after.find(t, takeExt)
				require.LessOrEqual(t, len(takes), 1)
				assert.Empty(t, after.find(t, journalExt))
				var got []midiin.Event
				if len(takes) == 1 {
					got = readTake(t, after, takes[0])
				}
				safe := 0
				for safe < len(sent) && sent[safe].At < at[i]-250*time.Millisecond {
					safe++
				}
				require.GreaterOrEqual(t, len(got), safe, "power lost at %v", at[i])
				for i := range got {
					require.Equal(t, sent[i], got[i])
				}
			}
		}
	})
}

// The real file system refuses as well: a file stands where the folder should
// be, until it is moved away.
func TestRecorder_ResumesOnARealFolder(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "takes")
	require.NoError(t, os.WriteFile(dir, nil, 0o600))
	rec := NewRecorder(OS, dir, evening, header)
	for i := range 50 {
		rec.Event(noteOn(time.Duration(i)*time.Millisecond, 30))
	}
	require.Eventually(t, func() bool { return !rec.Status().Saving }, 10*time.Second, time.Millisecond)
	assert.Contains(t, rec.Status().Warning, "not saving: not a directory")
	require.NoError(t, os.Remove(dir))
	require.Eventually(t, func() bool { return rec.Status().Saving }, 10*time.Second, time.Millisecond)
	path, err := rec.Finish()
	require.NoError(t, err)
	assert.Len(t, readTake(t, OS, path), 50)
}
