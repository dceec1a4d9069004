package session

import (
	"fmt"
	"strconv"
	"strings"

	"stillhand/coach"
)

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

// actionNames are the words that --foot and the profile use.
var actionNames = []struct {
	name string
	act  Action
}{
	{"mark", Action{Kind: Mark}},
	{"hold", Action{Kind: Hold}},
	{"swap", Action{Kind: Swap}},
	{"here", Action{Kind: Anchor}},
	{"up", Action{Kind: Nudge, Value: 1}},
	{"down", Action{Kind: Nudge, Value: -1}},
	{"forget", Action{Kind: Forget}},
	{"far", Action{Kind: FarView}},
}

// ActionNames lists the actions that a pedal can be bound to.
func ActionNames() []string {
	names := make([]string, len(actionNames))
	for i, a := range actionNames {
		names[i] = a.name
	}
	return names
}

// ParseAction returns the action that a pedal binding names.
func ParseAction(name string) (Action, error) {
	for _, a := range actionNames {
		if a.name == name {
			return a.act, nil
		}
	}
	return Action{}, fmt.Errorf("action %q: say one of %s", name, strings.Join(ActionNames(), ", "))
}

// command is an action as the take records it: resolved, so that the same
// text always does the same thing to the pipeline.
type command struct {
	verb     verb
	position int          // handAt
	system   coach.System // fingers
}

type verb uint8

const (
	putMark verb = iota
	holdOn
	holdOff
	fingers
	handAt
	forget
)

// text is the marker that stands for c in a take.
func (c command) text() string {
	switch c.verb {
	case holdOn:
		return "hold"
	case holdOff:
		return "resume"
	case fingers:
		return "fingers " + c.system.Name
	case handAt:
		return "hand at " + strconv.Itoa(c.position)
	case forget:
		return "forget"
	}
	return "mark"
}

// parseCommand reads a marker of one of our own takes.
func parseCommand(text string) (command, bool) {
	switch text {
	case "mark":
		return command{verb: putMark}, true
	case "hold":
		return command{verb: holdOn}, true
	case "resume":
		return command{verb: holdOff}, true
	case "forget":
		return command{verb: forget}, true
	}
	if name, ok := strings.CutPrefix(text, "fingers "); ok {
		s, err := coach.ParseSystem(name)
		return command{verb: fingers, system: s}, err == nil
	}
	if digits, ok := strings.CutPrefix(text, "hand at "); ok {
		p, err := strconv.Atoi(digits)
		return command{verb: handAt, position: p}, err == nil && p >= 1 && p <= coach.MaxFrets
	}
	return command{}, false
}
