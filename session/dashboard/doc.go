// Package dashboard draws a sitting on a terminal.
//
// Start with Run: it takes a Feed of immutable session.Snapshot values, draws
// the newest one, and turns keys into session.Action values. The package
// computes nothing about hands: what it shows of them is what the snapshot says,
// and nothing on the screen moves between two snapshots, but that what was typed
// and the answer to a key go after a few seconds.
//
// # Who does what
//
//	producer (session)  stores a snapshot, rings Feed.Changed        never waits
//	painter             waits out the frame, queues a draw           one goroutine
//	event loop          tview's: keys, resizes, every draw           the caller of Run
//	terminal writer     hands each frame to the terminal             may be stuck
//
// The painter alone queues draws and alone stops the application, because
// tview's queue hangs whoever uses it after Stop. A key handler that wants to
// leave tells the painter.
//
// # Signs
//
// State is carried by shape and text, so that it reads without colour:
// "~" before an answer says that later notes may still change it
// (provisional), "?" after it says that the tracker is less than
// four-fifths sure, "?" alone that it is less than half sure and names nothing,
// and a broken line says that an edge or a place is unsure.
package dashboard
