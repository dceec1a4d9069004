//go:build !race

package midiin_test

// underRace is whether the race detector slows this run.
const underRace = false
