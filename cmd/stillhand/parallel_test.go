package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestInOrder_HandsOverInOrderUntilOneIsNotTaken(t *testing.T) {
	t.Parallel()
	work := make([]int, 10_000)
	for i := range work {
		work[i] = i
	}
	var taken []int
	inOrder(work, func(i int) int {
		return i * i
	}, func(i, square int) bool {
		assert.Equal(t, i*i, square)
		taken = append(taken, i)
		return i < 20
	})
	assert.Equal(t, work[:21], taken)
	taken = nil
	inOrder(work[:50], func(i int) int { return i }, func(i, _ int) bool {
		taken = append(taken, i)
		return true
	})
	assert.Equal(t, work[:50], taken)
}
