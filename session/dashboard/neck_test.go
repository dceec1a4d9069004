package dashboard

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session"
)

// Inches from the nut on a 34-inch scale, frets 1 to 24 (builders' constant
// 17.817, Koch, Building Electric Guitars).
var fretInches = []float64{1.908, 3.709, 5.410, 7.014, 8.529, 9.958, 11.308, 12.581, 13.783, 14.918, 15.989, 17.000,
	17.954, 18.855, 19.705, 20.507, 21.264, 21.979, 22.654, 23.291, 23.892, 24.459, 24.995, 25.500}

func TestNeck_IsDrawnToScale(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass4")
	require.NoError(t, err)
	for _, w := range []int{80, 120, 250} {
		cols := fretColumns(nil, neck, w)
		require.Len(t, cols, neck.Frets+1)
		perInch := float64(cols[neck.Frets]-cols[0]) / fretInches[neck.Frets-1]
		for f := 1; f <= neck.Frets; f++ {
			x := float64(cols[0]) + perInch*fretInches[f-1]
			assert.LessOrEqual(t, math.Abs(float64(cols[f])-x), 0.51, "fret %d at width %d: half a cell at most", f, w)
		}
	}
}

// Even the longest neck on the narrowest screen keeps a column for each fret.
func TestNeck_WiresNeverShareAColumn(t *testing.T) {
	t.Parallel()
	neck, err := coach.ParseNeck("bass6")
	require.NoError(t, err)
	for neck.Frets = 1; neck.Frets <= coach.MaxFrets; neck.Frets++ {
		cols := fretColumns(nil, neck, leastWidth)
		for f := 1; f <= neck.Frets; f++ {
			require.Greater(t, cols[f], cols[f-1])
		}
		require.Less(t, cols[neck.Frets], leastWidth, "%d frets", neck.Frets)
	}
}

// Common practice: what a four-finger hand covers at the fifth position is
// frets 5 to 8, a three-finger hand at the sixth 6 to 8.
func TestNeck_FramesTheWindow(t *testing.T) {
	t.Parallel()
	rows := strings.Split(render(t, 80, 24, "UTF-8", sample()), "\n")
	neck := sample().Neck
	cols := fretColumns(nil, neck, 80)
	var frame, outline []rune
	for _, row := range rows {
		if strings.Contains(row, "┏") {
			frame = []rune(row)
		}
		if strings.Contains(row, "└╌") {
			outline = []rune(row)
		}
	}
	assert.Equal(t, "┏┓", string([]rune{frame[cols[4]], frame[cols[8]]}))
	assert.Equal(t, "└┘", string([]rune{outline[cols[5]], outline[cols[8]]}))
}

// An unsure window spans every position that holds 90 per cent, and is drawn
// heavy only where all of them agree; provisional and unsure are marked.
func TestNeck_DrawsDoubtAsDoubt(t *testing.T) {
	t.Parallel()
	s := sample(provisionalHand)
	lo, hi, sureLo, sureHi := reachOf(s)
	assert.Equal(t, []int{4, 9, 6, 7}, []int{lo, hi, sureLo, sureHi})
	for name, c := range map[string]struct {
		s             *session.Snapshot
		solid, broken bool
		window        string
	}{
		"sure":        {sample(), true, false, "window, 93% sure"},
		"doubtful":    {sample(provisionalHand), false, true, "window 61%, provisional"},
		"provisional": {sample(func(s *session.Snapshot) { s.Hand.Settled = false }), false, true, "window 93%, provisional"},
	} {
		shown := render(t, 80, 24, "UTF-8", c.s)
		assert.Equal(t, c.solid, strings.Contains(shown, "┃"), name)
		assert.Equal(t, c.broken, strings.Contains(shown, "┋"), name)
		assert.Contains(t, shown, c.window, name)
		assert.Equal(t, c.broken, strings.Contains(shown, "~17.4"), name)
	}
	wide := sample(func(s *session.Snapshot) { s.Hand.Probability, s.Hand.Low, s.Hand.High = 0.7, 2, 9 })
	assert.NotContains(t, render(t, 80, 24, "UTF-8", wide), "┿", "no fret is in all windows")
}

// The frame is in doubt where the large letters are, and nowhere else. What the
// range that holds 90 per cent has besides stays to be seen.
func TestNeck_FrameAndLettersAgree(t *testing.T) {
	t.Parallel()
	for _, low := range []int{2, 5} {
		for p, certain := range map[float64]bool{0.6: false, 0.799: false, 0.8: true, 0.99: true} {
			s := sample(func(s *session.Snapshot) { s.Hand.Probability, s.Hand.Low = p, low })
			shown := render(t, 80, 24, "UTF-8", s)
			assert.Equal(t, certain, !strings.HasSuffix(headlineOf(s).window, "?"), p)
			assert.Equal(t, certain, strings.Contains(shown, "━┓ hand"), "%v from %d", p, low)
			assert.Equal(t, certain, strings.Contains(shown, "┿"), "%v from %d", p, low)
			assert.Equal(t, !certain || low == 2, strings.Contains(shown, "╍"), "%v from %d", p, low)
			assert.Equal(t, !certain && low == 5, strings.Contains(shown, "╍┓ hand, unsure"), "%v from %d", p, low)
			assert.Equal(t, !certain && low == 2, strings.Contains(shown, "╍┓ hand, somewhere here"), "%v from %d", p, low)
		}
	}
}

// A guess is not drawn as a fact: under one half no window and no finger is
// named, and the stretch of none.
func TestNeck_NamesNoWindowWhereItWouldBeAGuess(t *testing.T) {
	t.Parallel()
	for p, named := range map[float64]bool{0.49: false, 0.5: true} {
		s := sample(listening, func(s *session.Snapshot) { s.Hand.Probability, s.Playing[0].Probability = p, p })
		shown := render(t, 80, 24, "UTF-8", s)
		assert.Equal(t, named, headlineOf(s).window == "~5-8?", headlineOf(s).window)
		assert.Equal(t, !named, strings.Contains(shown, "listening: within 2-10"))
		assert.Equal(t, named, strings.Contains(shown, "four here? 103"))
		assert.Equal(t, named, strings.Contains(shown, "three here?  71"))
		assert.Equal(t, named, strings.Contains(shown, "~3?"))
		assert.Contains(t, shown, "hand, somewhere here")
	}
}

// Where the player said that the hand is elsewhere and no note moved it, neither
// the line nor the bell tells of a shift.
func TestTrail_MarksWhatThePlayerSaid(t *testing.T) {
	t.Parallel()
	said := func(told bool) *session.Snapshot {
		return sample(func(s *session.Snapshot) {
			s.Trail = trail(s.At, 4, 4, 4, 12, 12)
			s.Trail[3].Told, s.Trail[3].Settled = told, false
			if told {
				s.Trail[3].Moved = 0
			}
		})
	}
	plain, told := render(t, 120, 50, "UTF-8", said(false)), render(t, 120, 50, "UTF-8", said(true))
	assert.Contains(t, plain, "+8")
	assert.NotContains(t, told, "+8")
	assert.Contains(t, told, "=12")
	rises := func(shown string) int { return strings.Count(shown[strings.Index(shown, "half minute"):], "│") }
	assert.Positive(t, rises(plain))
	assert.Zero(t, rises(told))
	for _, bell := range []bool{true, false} {
		b := &board{bell: true}
		b.take(said(!bell))
		assert.Equal(t, bell, b.bellDue)
	}
}

// A word on where a shift led hides it neither in the line nor from the bell; where
// there is no room for both, the shift stands.
func TestTrail_ShowsAShiftThatThePlayerSpokeOf(t *testing.T) {
	t.Parallel()
	spoken := sample(func(s *session.Snapshot) {
		s.Trail = trail(s.At, 1, 1, 7, 7, 7)
		s.Trail[2].Told = true
	})
	shown := render(t, 120, 50, "UTF-8", spoken)
	assert.Contains(t, shown, "+6 =7")
	assert.Contains(t, shown[strings.Index(shown, "half minute"):], "│", "the line rises")
	b := &board{bell: true}
	b.take(spoken)
	assert.True(t, b.bellDue)

	crowded := sample(func(s *session.Snapshot) {
		s.Trail = trail(s.At, 1, 3, 7, 7, 7)
		s.Trail[2].At, s.Trail[2].Told = s.At, true // at the right edge
		s.Trail[1].At = s.At - 1500*time.Millisecond
		s.Trail = s.Trail[:3]
	})
	shown = render(t, 120, 50, "UTF-8", crowded)
	assert.Contains(t, shown, "+2  +4\n")
	assert.NotContains(t, shown, "=7")
}

func TestReplay_SaysThatThereAreNoShifts(t *testing.T) {
	t.Parallel()
	none := func(s *session.Snapshot) { s.Replay.Shifts = nil }
	assert.Contains(t, render(t, 80, 24, "UTF-8", sample(replayed)), " all shifts; looping")
	assert.Contains(t, render(t, 80, 24, "UTF-8", sample(replayed, none)), " no likely shift; looping\n")
	still := func(s *session.Snapshot) { s.Replay.Loop = false }
	assert.Contains(t, render(t, 80, 24, "UTF-8", sample(replayed, none, still)), " no likely shift\n")
}

// The line's shifts are written whole, likely ones with their doubt, and never
// over each other.
func TestTrail_MarksShifts(t *testing.T) {
	t.Parallel()
	crowd := make([]int, 200)
	for i := range crowd {
		crowd[i] = 3 + i%4
	}
	shown := render(t, 120, 40, "UTF-8", sample(func(s *session.Snapshot) {
		s.Trail = trail(s.At, crowd...)
		for i := range s.Trail {
			s.Trail[i].Moved = 0.7
		}
	}))
	for line := range strings.Lines(shown) {
		if strings.HasPrefix(strings.TrimSpace(line), "+1?") || strings.HasPrefix(strings.TrimSpace(line), "-3?") {
			for _, mark := range strings.Fields(line) {
				assert.Contains(t, []string{"+1?", "-3?"}, mark)
			}
			return
		}
	}
	t.Fatalf("no shifts are marked in\n%s", shown)
}

// Where the recording has bars, the time is named as a review names it.
func TestReplay_NamesTheBar(t *testing.T) {
	t.Parallel()
	bars := func(s *session.Snapshot) {
		s.Replay.Speed, s.Replay.Playing, s.Replay.Bar, s.Replay.Beat = 0.75, true, 34, 2
	}
	for _, w := range []int{80, 120} {
		assert.Regexp(t, `playing x0.75 +bar 34 beat 2 \(1:34\) .* 3:20`, render(t, w, 40, "UTF-8", sample(replayed, bars)))
		assert.NotContains(t, render(t, w, 40, "UTF-8", sample(replayed)), " beat ")
	}
	long := func(s *session.Snapshot) {
		s.Replay.Bar, s.Replay.Length, s.Replay.At = 1234567, 10000*time.Hour, 5000*time.Hour
	}
	assert.Contains(t, render(t, 80, 40, "UTF-8", sample(replayed, bars, long)), "playing x0.75 bar 1234567 beat 2 (300000:00) ")
}

func TestReplay_BarOfARecordingOfYears(t *testing.T) {
	t.Parallel()
	at := func(played time.Duration) string {
		const year = 365 * 24 * time.Hour
		lines := strings.Split(render(t, 120, 40, "UTF-8", sample(replayed, func(s *session.Snapshot) {
			s.Replay.Length, s.Replay.At, s.Replay.Loop = 20*year, played*20*year/10, false
			s.Replay.Shifts, s.Replay.Advice, s.Replay.Marks = nil, nil, nil
		})), "\n")
		for _, l := range lines {
			if strings.Contains(l, "x1") || strings.Contains(l, "playing") || strings.Contains(l, "paused") {
				return l
			}
		}
		return ""
	}
	before := -1
	for i := range 10 {
		head := strings.IndexRune(at(time.Duration(i)), '┃')
		assert.Greater(t, head, before, "%d tenths", i)
		before = head
	}
}
