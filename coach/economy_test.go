package coach

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mustNeck parses a neck and gives it frets.
func mustNeck(t testing.TB, open string, frets int) Neck {
	t.Helper()
	n, err := ParseNeck(open)
	require.NoError(t, err)
	n.Frets = frets
	require.NoError(t, n.Validate())
	return n
}

// line makes notes a quarter of a second apart, on strings not told.
func line(pitches ...int) []Note {
	notes := make([]Note, len(pitches))
	for i, p := range pitches {
		notes[i] = Note{At: time.Duration(i) * 250 * time.Millisecond, Pitch: p, Velocity: 80}
	}
	return notes
}

// scale is a major scale of one octave from root upwards.
func scale(root int) []Note {
	return line(root, root+2, root+4, root+5, root+7, root+9, root+11, root+12)
}

func chromatic(from, to int) []Note {
	var pitches []int
	for p := from; p <= to; p++ {
		pitches = append(pitches, p)
	}
	return line(pitches...)
}

func economyOf(n Neck, s System, notes []Note) *Economy {
	e := NewEconomy(n, s)
	for _, note := range notes {
		e.Note(note)
	}
	return e
}

// Source: exhaustive search over all places and positions, four-string bass
// with 24 frets, done apart from this program.
func TestEconomy_MatchesTableOfScales(t *testing.T) {
	t.Parallel()
	n := mustNeck(t, "E1 A1 D2 G2", 24)
	for _, c := range []struct {
		name        string
		notes       []Note
		four, three int
	}{
		{"C2 major", scale(36), 0, 1},
		{"G1 major", scale(31), 0, 0},
		{"F1 major", scale(29), 0, 0},
		{"F1 to G3 chromatic", chromatic(29, 55), 2, 8},
	} {
		assert.Equal(t, c.four, economyOf(n, Four, c.notes).Fewest().Shifts, "%s, four", c.name)
		assert.Equal(t, c.three, economyOf(n, Three, c.notes).Fewest().Shifts, "%s, three", c.name)
	}
}
