package main

import (
	"runtime"
	"sync/atomic"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/assert"
)

func TestInOrder_HandsOverInOrder(t *testing.T) {
	t.Parallel()
	var taken []int
	inOrder([]int{3, 1, 2}, func(w int) int { return w * w }, func(i, square int) bool {
		assert.Equal(t, []int{9, 1, 4}[i], square)
		taken = append(taken, i)
		return true
	})
	assert.Equal(t, []int{0, 1, 2}, taken)
}

func TestInOrder_DoesNotRunAheadWithoutBound(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		var begun atomic.Int64
		taken := 0
		inOrder(make([]int, 1000), func(int) int { return int(begun.Add(1)) }, func(i, _ int) bool {
			synctest.Wait() // all that can go on while this one is written has
			assert.LessOrEqual(t, begun.Load(), int64(i+aheadOf*runtime.GOMAXPROCS(0)))
			taken++
			return true
		})
		assert.Equal(t, 1000, taken)
	})
}

func TestInOrder_LeavesTheRestWhenOneIsNotTaken(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) { // fails if a goroutine stays
		var begun atomic.Int64
		left := make(chan struct{})
		taken := 0
		work := make([]int, 1000)
		for i := range work {
			work[i] = i
		}
		inOrder(work, func(i int) int {
			begun.Add(1)
			if i >= 20 { // under way when the twentieth is not taken
				<-left
			}
			return 0
		}, func(int, int) bool {
			taken++
			return taken < 20
		})
		assert.Equal(t, 20, taken)
		close(left)
		synctest.Wait()
		assert.LessOrEqual(t, begun.Load(), int64(20+runtime.GOMAXPROCS(0)))
	})
}
