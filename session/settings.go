package session

import (
	"cmp"
	"fmt"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"stillhand/coach"
	"stillhand/midiin"
)

// Origin is where a value in force came from.
type Origin string

// Origins, in order of precedence: a flag wins.
const (
	FromFlag    Origin = "flag"
	FromEnv     Origin = "environment"
	FromTake    Origin = "take"
	FromProfile Origin = "profile"
	FromDefault Origin = "default"
)

// EnvPrefix begins the names of the environment variables that set values:
// STILLHAND_NECK and so on.
const EnvPrefix = "STILLHAND_"

// Setting is one value that a flag, the environment, a take or the profile can
// give. All are text until Setup reads them, so that each is read in one place.
type Setting struct {
	Name    string
	Default string
	Usage   string
}

// Settings lists every shared setting, in the order in which they are shown.
var Settings = []Setting{
	{"neck", "bass4", "bass4, bass5, bass6, short, double, or open strings like \"E1 A1 D2 G2\""},
	{"frets", "", "number of frets; the neck's own if empty"},
	{"scale", "", "scale length like 34in or 864mm; the neck's own if empty"},
	{"capo", "0", "fret of a capo; frets count from it"},
	{"fingers", "four", "finger system: " + coach.SystemNames()},
	{"reach", "", "widest comfortable stretch like 105mm; find it with stillhand reach"},
	{"strings", "auto", "auto, pitch, or channel=string pairs like 1=1,2=2,3=3,4=4; string 1 is the highest"},
	{"input", "auto", "auto, pickup or keyboard"},
	{"octave", "0", "octaves added to every note, like -1: for a small keyboard, or a part written an octave up"},
	{"foot", "", "pedal bindings like cc64=mark,cc66=swap"},
	{"bell", "off", "terminal bell on a shift: on or off"},
}

// Environment is the layer of a process's environment, NAME=value each, and the
// names in it that begin as settings do and are none.
func Environment(environ []string) (l Layer, strange []string) {
	given := map[string]string{}
	for _, variable := range environ {
		name, value, _ := strings.Cut(variable, "=")
		if runtime.GOOS == "windows" { // which knows no case
			name = strings.ToUpper(name)
		}
		setting, ours := strings.CutPrefix(name, EnvPrefix)
		is := func(s Setting) bool { return strings.ToUpper(s.Name) == setting }
		switch {
		case !ours:
		case slices.ContainsFunc(Settings, is):
			given[strings.ToLower(setting)] = value
		default:
			strange = append(strange, name)
		}
	}
	return Layer{Origin: FromEnv, Lookup: func(name string) (string, bool) { text, ok := given[name]; return text, ok }}, strange
}

// SettingNames lists the settings.
func SettingNames() string {
	names := make([]string, len(Settings))
	for i, s := range Settings {
		names[i] = s.Name
	}
	return strings.Join(names, ", ")
}

// Values are the settings in force and where each came from.
type Values struct {
	text   map[string]string
	origin map[string]Origin
	path   map[string]string
}

// Layer is one place that values come from: Lookup returns the text given for
// a setting, if any. Path is the profile's, so that an error can say where to look.
type Layer struct {
	Origin Origin
	Lookup func(name string) (string, bool)
	Path   string
}

// Resolve takes each setting from the first layer that gives it, else its
// default.
func Resolve(layers ...Layer) Values {
	v := Values{map[string]string{}, map[string]Origin{}, map[string]string{}}
	for _, s := range Settings {
		v.text[s.Name], v.origin[s.Name] = s.Default, FromDefault
		for _, l := range layers {
			if text, ok := l.Lookup(s.Name); ok {
				v.text[s.Name], v.origin[s.Name], v.path[s.Name] = text, l.Origin, l.Path
				break
			}
		}
	}
	return v
}

// Get returns the text in force for a setting and its origin.
func (v Values) Get(name string) (string, Origin) { return v.text[name], v.origin[name] }

// Given names a setting as the player gave it: the option, the variable, or the
// key and the file that it stands in.
func (v Values) Given(name string) string {
	switch v.origin[name] {
	case FromEnv:
		return EnvPrefix + strings.ToUpper(name)
	case FromTake:
		return name + " in the head of the take"
	case FromProfile:
		return name + " in the profile " + v.path[name]
	}
	return "--" + name
}

// Setup reads the values. Its error names the setting and where it came from.
func (v Values) Setup() (Setup, error) {
	var s Setup
	for _, read := range []struct {
		name string
		take func(text string) error
	}{
		{"neck", func(t string) (err error) { s.Neck, err = coach.ParseNeck(t); return }},
		{"frets", func(t string) error { return cmp.Or(optional(t, &s.Neck.Frets, strconv.Atoi), s.Neck.Validate()) }},
		{"scale", func(t string) error { return cmp.Or(optional(t, &s.Neck.ScaleMM, ParseLength), s.Neck.Validate()) }},
		{"capo", func(t string) (err error) {
			if s.Capo, err = wholeNumber(t); err == nil {
				s.Neck, err = s.Neck.WithCapo(s.Capo)
			}
			return
		}},
		{"fingers", func(t string) (err error) { s.System, err = coach.ParseSystem(t); return }},
		{"reach", func(t string) error { return optional(t, &s.ReachMM, parseReach) }},
		{"strings", func(t string) (err error) {
			if s.Strings, err = midiin.ParseStrings(t); err == nil && s.Strings.Highest() > s.Neck.Strings() {
				err = fmt.Errorf("string %d: this neck has %d", s.Strings.Highest(), s.Neck.Strings())
			}
			return
		}},
		{"input", func(t string) (err error) { s.Mode, err = parseMode(t); return }},
		{"octave", func(t string) (err error) {
			if s.Octave, err = wholeNumber(t); err == nil && (s.Octave < -mostOctaves || s.Octave > mostOctaves) {
				err = fmt.Errorf("%d octaves: from -%d to %d are possible", s.Octave, mostOctaves, mostOctaves)
			}
			return
		}},
	} {
		if err := read.take(v.text[read.name]); err != nil {
			return Setup{}, fmt.Errorf("%s: %w", v.Given(read.name), err)
		}
	}
	return s, nil
}

// mostOctaves is how many octaves may be added or taken away (ours).
const mostOctaves = 4

func parseMode(text string) (midiin.Mode, error) {
	switch text {
	case "auto":
		return midiin.Auto, nil
	case "pickup":
		return midiin.Pickup, nil
	case "keyboard":
		return midiin.Keyboard, nil
	}
	return 0, fmt.Errorf("input %q: say auto, pickup or keyboard", text)
}

// optional reads text into dst unless it is empty.
func optional[T any](text string, dst *T, read func(string) (T, error)) error {
	if text == "" {
		return nil
	}
	got, err := read(text)
	if err != nil {
		if _, ok := err.(*strconv.NumError); ok {
			return fmt.Errorf("%q is not a whole number", text)
		}
		return err
	}
	*dst = got
	return nil
}

func wholeNumber(text string) (int, error) {
	n, err := strconv.Atoi(text)
	if err != nil {
		return 0, fmt.Errorf("%q is not a whole number", text)
	}
	return n, nil
}

func parseReach(text string) (float64, error) {
	mm, err := ParseLength(text)
	return mm, cmp.Or(err, coach.ValidReach(mm))
}

// noHands says what is wrong with text that is a length, and no hand's reach. An
// old take or profile may hold such a one: there it counts as not known.
func noHands(text string) error {
	mm, err := ParseLength(text)
	if err != nil {
		return nil
	}
	return coach.ValidReach(mm)
}

// ParseLength reads a length like 864mm, 34in or 105 (mm) in mm.
func ParseLength(text string) (float64, error) {
	number, unit := strings.TrimSpace(text), 1.0
	if n, ok := strings.CutSuffix(number, "mm"); ok {
		number = n
	} else if n, ok := strings.CutSuffix(number, "in"); ok {
		number, unit = n, coach.MillimetresPerInch
	}
	mm, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if mm *= unit; err != nil || !(mm > 0 && mm < 10000) {
		return 0, fmt.Errorf("%q is not a length like 864mm or 34in", text)
	}
	return mm, nil
}
