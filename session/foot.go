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
// 1.0: 0 to 63 is off, 64 to 127 is on).
const pressed = 64

// ParseFoot reads bindings like "cc64=mark,cc66=swap". A controller does one
// thing only.
func ParseFoot(s string) (Foot, error) {
	var f Foot
	for _, part := range strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ' ' }) {
		control, name, ok := strings.Cut(part, "=")
		number, err := strconv.Atoi(strings.TrimPrefix(strings.ToLower(control), "cc"))
		if !ok || err != nil || number < 0 || number > 119 {
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

// Press returns the action that e calls for: a bound controller going down,
// once until it comes up again.
func (f *Foot) Press(e midiin.Event) (Action, bool) {
	if e.Kind != midiin.Message || e.Data[0]&0xf0 != 0xb0 {
		return Action{}, false
	}
	number, down := int(e.Data[1]), e.Data[2] >= pressed
	was := f.down[number]
	f.down[number] = down
	if !down || was {
		return Action{}, false
	}
	for _, b := range f.bindings {
		if b.controller == number {
			return b.action, true
		}
	}
	return Action{}, false
}
