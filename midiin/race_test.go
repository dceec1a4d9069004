//go:build race

package midiin_test

const underRace = true
