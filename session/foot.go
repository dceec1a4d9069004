package session

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"stillhand/midiin"
)

// Foot binds controllers to actions. The zero value binds nothing.
type Foot struct {
	bindings []binding
	down     [128]bool
}

type binding struct {
	controller int
	name       string
	action     Action
}

// pressed is the controller value from which a switch counts as down (MIDI
// 1.0: 0 to 63 is off, 64 to 127 is on), letGo the one under which it is up
// again. The band between is ours: a pedal that tells how far it is pressed and
// rests half way wavers about the border, and is pressed once.
const (
	pressed = 64
	letGo   = 32
)

// lastPedal is the last controller that is none of the channel mode messages
// (MIDI 1.0: 120 to 127).
const lastPedal = 119

// ParseFoot reads bindings like "cc64=mark,cc66=swap". A controller does one
// thing only.
func ParseFoot(s string) (Foot, error) {
	var f Foot
	for _, part := range strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ' ' }) {
		control, name, ok := strings.Cut(part, "=")
		number, err := strconv.Atoi(strings.TrimPrefix(strings.ToLower(control), "cc"))
		if !ok || err != nil || number < 0 || number > lastPedal {
			return Foot{}, fmt.Errorf("foot binding %q: write a controller from cc0 to cc119 and an action, like cc64=mark", part)
		}
		action, err := ParseAction(name)
		if err != nil {
			return Foot{}, fmt.Errorf("foot binding %q: %w", part, err)
		}
		if slices.ContainsFunc(f.bindings, func(b binding) bool { return b.controller == number }) {
			return Foot{}, fmt.Errorf("foot binding %q: cc%d is bound already", part, number)
		}
		f.bindings = append(f.bindings, binding{number, name, action})
	}
	return f, nil
}

// String is f as ParseFoot reads it.
func (f *Foot) String() string { return strings.Join(f.Lines("="), ",") }

// Lines lists the bindings, one "cc64 = mark" each with sep between.
func (f *Foot) Lines(sep string) []string {
	lines := make([]string, len(f.bindings))
	for i, b := range f.bindings {
		lines[i] = fmt.Sprintf("cc%d%s%s", b.controller, sep, b.name)
	}
	return lines
}

// press returns the action that e calls for: a bound controller going down,
// once until it comes up again.
func (f *Foot) press(e midiin.Event) (Action, bool) {
	number, ok := f.goesDown(e)
	if !ok {
		return Action{}, false
	}
	for _, b := range f.bindings {
		if b.controller == number {
			return b.action, true
		}
	}
	return Action{}, false
}

// Learn returns the controller that e presses, if it can be a pedal. Data entry
// and parameter numbers are none: they only say what other messages mean (MIDI
// 1.0: controllers 6, 38 and 96 to 101).
func (f *Foot) Learn(e midiin.Event) (controller int, ok bool) {
	number, ok := f.goesDown(e)
	meta := number == 6 || number == 38 || number >= 96 && number <= 101
	return number, ok && !meta && number <= lastPedal
}

// goesDown returns the controller that e presses, if it was not down already.
// When the input is lost every pedal is up: nobody tells of those let go meanwhile.
func (f *Foot) goesDown(e midiin.Event) (number int, ok bool) {
	if e.Kind == midiin.Lost {
		f.down = [128]bool{}
	}
	if e.Kind != midiin.Message || e.Data[0]&0xf0 != 0xb0 {
		return 0, false
	}
	number, value := int(e.Data[1]), e.Data[2]
	was := f.down[number]
	f.down[number] = value >= pressed || was && value >= letGo
	return number, f.down[number] && !was
}

// Bind makes controller, from 0 to 119, do the action called name. It returns
// what the controller did before, "" if nothing.
func (f *Foot) Bind(controller int, name string) (before string, err error) {
	action, err := ParseAction(name)
	if err != nil {
		return "", err
	}
	b := binding{controller, name, action}
	for i, old := range f.bindings {
		if old.controller == controller {
			f.bindings[i] = b
			return old.name, nil
		}
	}
	f.bindings = append(f.bindings, b)
	return "", nil
}
