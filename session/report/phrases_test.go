package report

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

// unsettled has a phrase of four notes that came three times in two ways.
func unsettled() *session.Review {
	r := &session.Review{Source: "x", Fingers: "four", Systems: map[string]session.ReviewSystem{}}
	for i := range 12 {
		r.Notes = append(r.Notes, session.ReviewNote{At: float64(i), Off: float64(i) + 0.5, Pitch: []int8{38, 40, 41, 43}[i%4], String: 3, Fret: 5, Finger: 1, Position: 5})
	}
	r.Input.Notes, r.Input.Strings = 12, "known"
	r.Phrases = []session.ReviewPhrase{{FirstNote: 0, Notes: 4, Times: 4, Doubtful: 1, Share: 0.6667, Ways: []session.ReviewWay{
		{Times: 2, Path: []session.ReviewPlace{{String: 3, Fret: 5, Finger: 1}, {String: 3, Fret: 7, Finger: 3}, {String: 3, Fret: 8, Finger: 4}, {String: 2, Fret: 5, Finger: 1}}},
		{Times: 1, Path: []session.ReviewPlace{{String: 3, Fret: 5, Finger: 1}, {String: 2, Fret: 2, Finger: 1}, {String: 2, Fret: 3, Finger: 2}, {String: 1, Fret: 0}}},
	}}}
	return r
}

func TestText_ListsWhatIsWorthSettling(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	require.NoError(t, Text(&b, unsettled(), nil))
	assert.Contains(t, b.String(), "Worth settling")
	assert.Contains(t, b.String(), "D2 E2 F2 G2, 4 times, 2 alike, 1 unsure")
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), "two times: string 3 frets 5 7 8, string 2 fret 5, fingers 1 3 4 1")
	assert.Contains(t, strings.Join(strings.Fields(b.String()), " "), "one time: string 3 fret 5, string 2 frets 2 3, string 1 fret 0, fingers 1 1 2 0")

	r := unsettled()
	r.Phrases = nil
	b.Reset()
	require.NoError(t, Text(&b, r, nil))
	assert.NotContains(t, b.String(), "settling")
}

func TestSheet_OffersTheLeastSettledPhrase(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	r := unsettled()
	r.Neck = session.ReviewNeck{Strings: []string{"G2", "D2", "A1", "E1"}, Frets: 22, ScaleMM: 863.6}
	require.NoError(t, Sheet(&b, SheetData{Review: r}))
	assert.Equal(t, 1, strings.Count(b.String(), "Settle one fingering for D2 E2 F2 G2"))
}
