package session

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/midiin"
)

func layer(o Origin, values map[string]string) Layer {
	return Layer{o, func(name string) (string, bool) { t, ok := values[name]; return t, ok }, "profile.toml"}
}

// The precedence is the contract's: flag, environment, profile, default.
func TestResolve_FirstLayerWins(t *testing.T) {
	t.Parallel()
	v := Resolve(
		layer(FromFlag, map[string]string{"neck": "short"}),
		layer(FromEnv, map[string]string{"neck": "bass5", "fingers": "three"}),
		layer(FromProfile, map[string]string{"neck": "bass6", "fingers": "four", "reach": "105mm"}),
	)
	for name, want := range map[string]struct {
		text   string
		origin Origin
	}{
		"neck": {"short", FromFlag}, "fingers": {"three", FromEnv},
		"reach": {"105mm", FromProfile}, "strings": {"auto", FromDefault},
	} {
		text, origin := v.Get(name)
		assert.Equal(t, want.text, text, name)
		assert.Equal(t, want.origin, origin, name)
	}
	s, err := v.Setup()
	require.NoError(t, err)
	assert.Equal(t, "three", s.System.Name)
	assert.Equal(t, 105.0, s.ReachMM)
	assert.InDelta(t, 762, s.Neck.ScaleMM, 1e-9) // 30 in of 25.4 mm
}

func TestValues_SayWhatIsImpossible(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"neck": "banjo?", "frets": "many", "scale": "34 feet", "capo": "40", "fingers": "five",
		"reach": "-3mm", "strings": "1=", "input": "voice", "octave": "9",
	} {
		for origin, given := range map[Origin]string{
			FromFlag: "--" + name, FromEnv: "STILLHAND_" + strings.ToUpper(name),
			FromTake: name + " in the head of the take", FromProfile: name + " in the profile profile.toml",
		} {
			_, err := Resolve(layer(origin, map[string]string{name: text})).Setup()
			require.Error(t, err, name)
			assert.True(t, strings.HasPrefix(err.Error(), given+": "), err.Error())
			assert.NotContains(t, err.Error(), "\n")
		}
	}
}

// A reach without its unit is in mm, and 5 is no hand's.
func TestValues_TakeNoReachThatNoHandHas(t *testing.T) {
	t.Parallel()
	for text, ok := range map[string]bool{"5": false, "10mm": false, "1050": false, "20mm": true, "4in": true, "": true} {
		_, err := Resolve(layer(FromFlag, map[string]string{"reach": text})).Setup()
		assert.Equal(t, ok, err == nil, "%q: %v", text, err)
	}
}

func TestParseLength_ReadsBothUnits(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]float64{"864mm": 864, "34in": 863.6, "105": 105, " 41.5 in": 1054.1} {
		got, err := ParseLength(text)
		require.NoError(t, err, text)
		assert.InDelta(t, want, got, 1e-9, text)
	}
	for _, text := range []string{"", "mm", "NaN", "inf", "-1in", "0"} {
		_, err := ParseLength(text)
		assert.Error(t, err, text)
	}
}

func TestFoot_PressesOncePerStep(t *testing.T) {
	t.Parallel()
	f, err := ParseFoot("cc64=mark,cc66=swap")
	require.NoError(t, err)
	cc := func(number, value byte) midiin.Event {
		return midiin.Event{Kind: midiin.Message, Data: [3]byte{0xb2, number, value}}
	}
	a, ok := f.press(cc(64, 127))
	assert.True(t, ok)
	assert.Equal(t, Mark, a.Kind)
	_, ok = f.press(cc(64, 100)) // still down: a half-pedal moves
	assert.False(t, ok)
	_, ok = f.press(cc(64, 31))
	assert.False(t, ok)
	_, ok = f.press(cc(64, 63)) // MIDI 1.0: 63 is off
	assert.False(t, ok)
	_, ok = f.press(cc(64, 64)) // and 64 on
	assert.True(t, ok)
	a, ok = f.press(cc(66, 127))
	assert.True(t, ok)
	assert.Equal(t, Swap, a.Kind)
	_, ok = f.press(cc(65, 127))
	assert.False(t, ok)
	// Held when the cable came out: nobody tells that it came up.
	_, ok = f.press(midiin.Event{Kind: midiin.Lost})
	assert.False(t, ok)
	_, ok = f.press(cc(64, 127))
	assert.True(t, ok)
	assert.Equal(t, "cc64=mark,cc66=swap", f.String())
	for _, bad := range []string{"64", "cc64=dance", "cc128=mark", "cc64=mark,cc64=swap", "=mark"} {
		_, err := ParseFoot(bad)
		assert.Error(t, err, bad)
	}
}

func TestCommand_TextReadsBack(t *testing.T) {
	t.Parallel()
	for _, c := range []command{
		{verb: putMark}, {verb: holdOn}, {verb: holdOff}, {verb: forget},
		{verb: fingers, system: coach.Three}, {verb: handAt, position: 7},
	} {
		got, ok := parseCommand(c.text())
		assert.True(t, ok, c.text())
		assert.Equal(t, c, got)
	}
	for _, other := range []string{"", "Verse", "hand at 0", "hand at x", "fingers seven"} {
		_, ok := parseCommand(other)
		assert.False(t, ok, other)
	}
}

func TestEnvironment_TakesItsOwnAndNamesWhatIsNone(t *testing.T) {
	t.Parallel()
	env, strange := Environment([]string{"HOME=/home", "STILLHAND_NECK=bass5", "STILLHAND_FINGER=three", "STILLHAND_REACH=a=b", "STILLHAND_BELL"})
	assert.Equal(t, []string{"STILLHAND_FINGER"}, strange)
	for name, want := range map[string]string{"neck": "bass5", "reach": "a=b", "bell": ""} {
		text, ok := env.Lookup(name)
		assert.True(t, ok, name)
		assert.Equal(t, want, text, name)
	}
	_, ok := env.Lookup("fingers")
	assert.False(t, ok)
}
