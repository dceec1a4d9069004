package coach

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func bass(t testing.TB) Neck {
	t.Helper()
	n, err := ParseNeck("bass4")
	require.NoError(t, err)
	return n
}

func TestTracker_SettlesAfterTwoNotesOrFourTenths(t *testing.T) {
	t.Parallel()
	tr := NewTracker(bass(t), Four, Habits{})
	ms := func(x int) time.Duration { return time.Duration(x) * time.Millisecond }
	tr.Note(Note{At: ms(0), Gap: Rest, Pitch: 36, String: 3})
	tr.Note(Note{At: ms(100), Pitch: 38, String: 3})
	assert.Empty(t, tr.Settled(nil))
	tr.Note(Note{At: ms(200), Pitch: 40, String: 2})
	got := tr.Settled(nil)
	require.Len(t, got, 1)
	assert.Equal(t, 0, got[0].Note)
	at, ok := tr.Deadline()
	assert.True(t, ok)
	assert.Equal(t, ms(500), at)
	tr.Advance(ms(499))
	assert.Empty(t, tr.Settled(nil))
	tr.Advance(ms(500))
	assert.Len(t, tr.Settled(nil), 1)
	tr.End()
	assert.Len(t, tr.Settled(nil), 1)
}
