package store

import (
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

// A crash of the writer is said, loses nothing, and is told at the end. One that
// comes again and again leaves all to Finish.
func TestRecorder_ACrashOfItsWriterLosesNothing(t *testing.T) {
	for _, op := range []string{"write", "sync", "create", "mkdir"} {
		for _, always := range []bool{false, true} {
			t.Run(fmt.Sprint(op, always), func(t *testing.T) {
				synctest.Test(t, func(t *testing.T) {
					disk := newMemDisk()
					crashes := 0
					crash := func(d *memDisk) {
						d.fault = func(asked, _ string) error {
							if asked == op && (always || crashes == 0) {
								crashes++
								panic("a " + op)
							}
							return nil
						}
					}
					if op == "create" || op == "mkdir" {
						disk.set(crash)
					}
					start := time.Now()
					rec := NewRecorder(disk, "takes", evening, header)
					sent := play(rec, start, 0, 100)
					disk.set(crash)
					sent = append(sent, play(rec, start, 100, 100)...)
					if always {
						assert.Contains(t, rec.Status().Warning, "not saving: the recorder crashed: a "+op)
					} else {
						time.Sleep(time.Second)
						assert.Empty(t, rec.Status().Warning)
					}
					sent = append(sent, play(rec, start, 200, 1)...)
					if always { // the take is written by Finish, on a disk that can
						rec.stopWriter()
						disk.set(healthy)
					}
					path, err := rec.Finish()
					var told *session.CrashError
					require.ErrorAs(t, err, &told)
					assert.Contains(t, string(told.Stack), "memDisk")
					assert.Positive(t, crashes)
					assert.Equal(t, sent, readTake(t, disk, path))
				})
			})
		}
	}
}

func TestRecorder_WhatCameDuringTheLastCrashIsInTheTake(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		disk := newMemDisk()
		rec := NewRecorder(disk, "takes", evening, header)
		time.Sleep(time.Second)
		rec.Event(noteOn(time.Second, 30))
		disk.set(func(d *memDisk) {
			d.fault = func(op, _ string) error {
				d.fault = nil
				rec.Event(noteOn(2*time.Second, 31))
				go rec.stopWriter()
				synctest.Wait()
				panic("a " + op)
			}
		})
		time.Sleep(time.Second)
		path, err := rec.Finish()
		require.ErrorContains(t, err, "the recorder crashed: a write")
		assert.Len(t, readTake(t, disk, path), 2)
	})
}
