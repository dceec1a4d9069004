// Package report writes a review for people and programs: JSON, text, CSV, an
// annotated MIDI file, and a sheet to take home; and compares two takes.
//
// Start with JSON and Text: they draw from a session.Review and nothing else, as
// does all that is said of one take; MIDI wants the recording's bars beside it.
// Sheet is the page for a student, Compare two takes of one phrase. History and
// Systems draw from what the store keeps of many takes. The package reads no
// file, knows no clock and keeps no state: the same review gives the same bytes.
// Every text that came out of a file or from a user is neutralised before it is
// written (see plain), since it ends on a terminal, in a spreadsheet or in a
// browser.
package report
