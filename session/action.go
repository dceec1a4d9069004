package session

// ActionKind is something the player or teacher asks for with a key, a pedal
// or a controller.
type ActionKind uint8

const (
	Mark    ActionKind = iota // put a mark in the take
	Hold                      // stop counting, or go on
	Swap                      // change the declared finger system
	Anchor                    // the hand is here: Value is the position, 0 for the shown one
	Nudge                     // the hand is Value frets from the shown position
	Forget                    // restart the counts
	FarView                   // toggle block digits (the screen's own; never reaches the pipeline)
	Bell                      // toggle the bell on a shift (the screen's own)

	// Replay only.
	Pause   // toggle
	Faster  // next speed up
	Slower  // next speed down
	Back    // one passage back
	Forward // one passage forward
	NextShift
	NextAdvice
	NextMark
	Loop // loop the passage, or stop looping
)

// Action is one request.
type Action struct {
	Kind  ActionKind
	Value int
}
