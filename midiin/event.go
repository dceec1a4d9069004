package midiin

import "time"

// EventKind tells what an Event is.
type EventKind uint8

const (
	Message EventKind = iota // a channel message: Data holds status and two data bytes
	Marker                   // a marker or cue from a file, or an action of the player: Text
	Text                     // a text event of the file: Text
	Lost                     // the source vanished (unplugged, writer gone): Text names it
	Found                    // the same source is back: Text names it
)

// Event is one thing that a source delivered, as it came.
type Event struct {
	At   time.Duration // from the start of the source; never decreases
	Kind EventKind
	Data [3]byte // Message only: status byte with channel, data 1, data 2 (0 if the message has none)
	Text string  // as read: not yet safe for a terminal or a page
}
