// Command stillhand coaches a bass player's fretting hand from MIDI.
//
// Start with newRoot, which lists the commands: most have a file of their name with
// their options and what they print. A world is what they meet outside, a player the
// values in force, and sit one live sitting from beginning to end. Errors come back
// to run: exitCode says them and chooses the code.
//
// How anything is computed or drawn stands in the packages below; they print no
// error, do not exit and know no command line.
package main
