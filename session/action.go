package session

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"stillhand/coach"
)

// ActionKind is something the player or teacher asks for with a key, a pedal
// or a controller.
type ActionKind uint8

const (
	Mark    ActionKind = iota // put a mark in the take
	Hold                      // stop counting, or go on; nothing in a practice
	Swap                      // change the declared finger system; nothing in a practice
	Anchor                    // the hand is here: Value is the position, 0 for the shown one
	Correct                   // the hand is Value frets from the shown position
	Forget                    // restart the counts; nothing in a practice
	FarView                   // toggle block digits (the screen's own; never reaches the pipeline)
	Bell                      // toggle the bell on a shift (the screen's own)

	// Practice only.
	Again   // begin, or begin again
	Easy    // the window asked for lies at ease
	NotEasy // it does not

	// Replay only.
	Pause   // toggle
	Faster  // next speed up
	Slower  // next speed down
	Back    // one passage back, or one step in a long one
	Forward // as far on
	NextShift
	NextAdvice
	NextMark
	Loop // loop the passage, or stop looping
)

// idle reports whether k does nothing in a practice: on hold the beat would go on
// and every note be missed, what is asked is asked of one finger system, and no
// counts are shown.
func (k ActionKind) idle() bool { return k == Hold || k == Swap || k == Forget }

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
	{"up", Action{Kind: Correct, Value: 1}},
	{"down", Action{Kind: Correct, Value: -1}},
	{"forget", Action{Kind: Forget}},
	{"far", Action{Kind: FarView}},
	{"again", Action{Kind: Again}},
	{"easy", Action{Kind: Easy}},
	{"uneasy", Action{Kind: NotEasy}},
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
	position int           // handAt, handIn
	from, to time.Duration // handIn
	system   coach.System  // fingers
}

type verb uint8

const (
	putMark verb = iota
	holdOn
	holdOff
	fingers
	handAt
	handIn // the first note between from and to is played at position, if it lies there
	forget
	settle // what was played is final; practice asks for it
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
	case handIn:
		return fmt.Sprintf("hand at %d between %v and %v", c.position, c.from, c.to)
	case forget:
		return "forget"
	case settle:
		return "settle"
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
	case "settle":
		return command{verb: settle}, true
	}
	if name, ok := strings.CutPrefix(text, "fingers "); ok {
		s, err := coach.ParseSystem(name)
		return command{verb: fingers, system: s}, err == nil
	}
	if place, ok := strings.CutPrefix(text, "hand at "); ok {
		return parseHand(place)
	}
	return command{}, false
}

// parseHand reads "7" and "7 between 1.5s and 4s".
func parseHand(text string) (command, bool) {
	c := command{verb: handAt}
	place, span, spanned := strings.Cut(text, " between ")
	var errFrom, errTo error
	if spanned {
		c.verb = handIn
		from, to, _ := strings.Cut(span, " and ")
		c.from, errFrom = time.ParseDuration(from)
		c.to, errTo = time.ParseDuration(to)
	}
	var err error
	c.position, err = strconv.Atoi(place)
	return c, errors.Join(err, errFrom, errTo) == nil && c.position >= 1 && c.position <= coach.MaxFrets
}
