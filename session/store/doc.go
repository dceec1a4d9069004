// Package store keeps what was played: takes that survive a crash, and a
// history of them in SQLite.
//
// # Recording
//
// Start with Recorder. NewRecorder starts one take in a folder; Event and
// Action hand it what arrives and return at once; Status says for the screen
// what is being written and what is wrong; Finish turns the journal into a
// Standard MIDI File and returns its path. Recover, called when the program
// starts, turns the journals that a crash left behind into takes.
//
//	dir, err := store.DataDir()
//	recovered, err := store.Recover(store.OS, store.TakesDir(dir))
//	rec := store.NewRecorder(store.OS, store.TakesDir(dir), time.Now(), header)
//	rec.Event(event)               // each raw event, before cleaning
//	rec.Action(at, "mark")         // what the player asked for, as a marker
//	path, err := rec.Finish()      // "" when nothing was played
//
// A program that shows a live session and later reviews its take gets the
// same numbers from both if it hands its pipeline and its Recorder times that are
// multiples of session.Tick, because a take keeps no finer ones.
//
// The promise: what Event took more than 250 ms before the process is killed
// is in the recovered take. What was taken more than 250 ms and one fsync
// before the power fails is there too.
//
// # The history
//
// OpenHistory opens the database in the data folder. Its TakeFigures are
// computed by the caller, always from the take's file, so that Rebuild ends
// with what Add had put in.
//
//	h, err := store.OpenHistory(ctx, dir)
//	err = h.Add(ctx, filepath.Base(path), figures)
//	takes, err := h.Takes(ctx, store.Filter{Since: since})
//	days := store.Days(takes, time.Local)
//	takes, earlier, err := h.Latest(ctx, filter, time.Local, 14) // quick among many
//	err = h.SetLabel(ctx, take, store.Label{Name: "...", Student: "..."})
//	trashed, err := h.Delete(ctx, take)
//	unknown, err := h.Reconcile(ctx)     // takes recovered or copied in, or outdated: Add them
//	err = h.AddAttempt(ctx, attempt)     // likewise AddRound, AddReach
//	rebuilt, err := h.Rebuild(ctx, store.Rebuilding{Figures: f, Method: version})
//
// What was written on a take and what practice gave cannot be computed from
// MIDI. It goes to a text file beside the takes first, the logbook, and from
// there into the database, so that the takes folder alone is enough.
//
// # Folders
//
//	DataDir()/takes/2026-11-25T201405Z.mid      a take
//	DataDir()/takes/2026-11-25T201405Z.journal  beside it while it is recorded
//	DataDir()/takes/*.journal.damaged*          such a one of which not all could be read
//	DataDir()/takes/logbook.jsonl               what cannot be computed from the takes
//	DataDir()/trash/                            deleted takes; one whose name is there already in 2/, 3/ ...
//	DataDir()/history.db                        SQLite; all of it follows from the takes folder
//	DataDir()/history.db.damaged-1              one that could not be read, set aside
//
// Beside them, and not this package's:
//
//	DataDir()/crash-*.txt                       what a developer needs to know of a crash
//	ConfigDir()/profile.toml                    the player's values
//	ConfigDir()/habits.toml                     what was learnt of the player
//
// # A take
//
// A Standard MIDI File of format 0, 5000 ticks a quarter note at 500,000 us a
// quarter: one tick is 0.1 ms. The first text event is "stillhand-take 1",
// the next "started=" with the time in UTC, then one "key=value" for each
// field of the TakeHeader, in its order. Channel messages follow as they came.
// Marker events hold the actions' texts, and "lost NAME" and "found NAME"
// where the source vanished and came back. A text event "unsaved=N" says that
// N events are missing here because they could not be kept; "ended" stands where the
// sitting ended while a note still sounded.
//
// # Two programs at once
//
// A journal is locked while its program lives, and its name is created
// exclusively; a take's name belongs to whoever holds the journal of that
// name. The logbook is locked for each line. SQLite locks the database.
//
// The package knows no hands and no cleaning. It is the only one that uses
// database/sql.
package store
