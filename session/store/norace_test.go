//go:build !race

package store

// underRace is whether the race detector slows this run, SQLite above all,
// so that times mean nothing.
const underRace = false
