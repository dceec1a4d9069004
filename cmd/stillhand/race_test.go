//go:build race && (linux || darwin)

package main_test

// slowed is how much longer everything may take under the race detector (its
// documentation: two to twenty times).
const slowed = 4
