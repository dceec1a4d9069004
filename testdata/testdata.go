// Package testdata holds the recordings of our own: the demo that the program
// plays, and what the tests read. README.md says where each comes from; every
// one is made from a score by testdata/compose.
package testdata

import "embed"

// Demo is demo.mid: one channel per string, 2 minutes 45 seconds. Read only.
//
//go:embed demo.mid
var Demo []byte

// Files holds the recordings, their truths, the scores and the paper count, by
// path under testdata ("pickup.mid", "broken/riff.rmi").
//
//go:embed *.mid *.csv twobar.count.txt scores broken
var Files embed.FS
