// Package report writes a review for people and programs: JSON, text, CSV, an
// annotated MIDI file, and a sheet to take home; and compares two takes.
//
// Start with JSON and Text; both, like everything here, draw from
// session.Review and nothing else. Sheet is the page for a student, Compare two
// takes of one phrase. The package reads no file, knows no clock
// and keeps no state: the same review gives the same bytes. Every text that
// came out of a file or from a user is neutralised before it is written (see
// plain), since it ends on a terminal, in a spreadsheet or in a browser.
package report
