// Package bound holds tests to what any input may cost: memory of 32 times its
// size and 64 MB, and ten seconds. Tests only.
package bound

import (
	"runtime"
	"testing"
	"time"
)

// Memory is how many bytes an input of so many may take.
func Memory(input int) uint64 { return uint64(32*input) + 64<<20 }

// Allocated is how many bytes do allocates. What runs beside it counts too.
func Allocated(do func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	do()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// Check fails if do, for so many bytes of input, goes over the bounds. Other
// tests may add to it when they run at the same time; fuzzing runs alone.
func Check(t testing.TB, input int, do func()) {
	t.Helper()
	began := time.Now()
	if used := Allocated(do); used > Memory(input) {
		t.Fatalf("%d bytes of input took %d MB", input, used>>20)
	}
	if took := time.Since(began); took > 10*time.Second {
		t.Fatalf("%d bytes of input took %v", input, took)
	}
}
