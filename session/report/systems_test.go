package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
)

// Positions of takes are counted from their own capo; stretches are of the neck in
// force, 864 mm 2^(-2/12) behind a capo at fret 2.
func TestSystems_SayWhichNeckTheirStretchesAreOf(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	s := Systems{Neck: neck, Regions: []coach.Region{{Position: 3, Notes: 4}}}
	var b strings.Builder
	require.NoError(t, SystemsText(&b, s))
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), "mm are those of the neck in force now, open strings G2 D2 A1 E1, scale 864 mm; a take's position")
	s.Capo = 2
	s.Neck, err = neck.WithCapo(2)
	require.NoError(t, err)
	b.Reset()
	require.NoError(t, SystemsText(&b, s))
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), "open strings A2 E2 B1 F#1, scale 769 mm from a capo at fret 2 on; a take's position")
	b.Reset()
	require.NoError(t, SystemsJSON(&b, s))
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), `"neck": { "strings": ["A2", "E2", "B1", "F#1"], "frets": 20, "scale_mm": 769.4 }, "capo": 2,`)
}

// DEVELOPERS.md: a finger system is one value in coach.Systems. Not parallel: it
// writes the list.
func TestSystems_TakeAThirdSystem(t *testing.T) {
	before := coach.Systems
	defer func() { coach.Systems = before }()
	coach.Systems = append(before[:2:2], coach.System{Name: "two", Fingers: []coach.Finger{{Number: 1}, {Number: 4, Offset: 1}}})
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	s := Systems{Neck: neck, Regions: []coach.Region{{Position: 3}}, Shifts: map[string]Prices{"four": {1, 4}, "three": {2, 2}, "two": {5, 6}}}
	var text, doc strings.Builder
	require.NoError(t, SystemsText(&text, s))
	require.NoError(t, SystemsJSON(&doc, s))
	assert.Contains(t, strings.Join(strings.Fields(text.String()), " "), "Not seeing ahead cost four fingers three shifts, three fingers no shift and two fingers one shift.")
	assert.Contains(t, strings.Join(strings.Fields(doc.String()), " "), `"two": {"fewest": 5, "as_you_go": 6}`)
}

// There may be takes; they hold open strings alone.
func TestSystems_SayWhatIsMissing(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	require.NoError(t, SystemsText(&b, Systems{}))
	assert.Equal(t, "No fretted note was played yet to compare the systems on.\n", b.String())
}

// The sentence beside a table adds up to what the table's totals differ by.
func TestCrossoverText_AgreesWithTheTable(t *testing.T) {
	t.Parallel()
	for want, regions := range map[string][]coach.Region{
		"Below position 17 three fingers save two shifts (9 notes); from there up four save 26 shifts, 24 in all": {{Position: 5, Notes: 9, Four: 4, Three: 2}, {Position: 17, Notes: 30, Four: 4, Three: 30}},
		"Below position 3 three fingers cost no more (9 notes); from there up four save one shift":                {{Position: 1, Notes: 9, Four: 2, Three: 2}, {Position: 3, Notes: 1, Three: 1}},
		"Four fingers save one shift, from the lowest position played on":                                         {{Position: 3, Notes: 1, Three: 1}},
		"Over all that was played here three fingers save two shifts":                                             {{Position: 3, Notes: 8, Four: 3, Three: 1}},
		"Over all that was played here three fingers cost no more":                                                {{Position: 3, Notes: 8, Four: 3, Three: 3}},
	} {
		assert.Equal(t, want, crossoverText(regions))
	}
}
