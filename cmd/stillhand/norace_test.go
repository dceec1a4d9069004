//go:build !race && (linux || darwin)

package main_test

const slowed = 1
