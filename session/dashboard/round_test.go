package dashboard

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

// A practice is followed from two metres with both hands busy: the rows that
// change with the beat are many, and nothing else moves.
func TestRound_OnlyTheBeatMoves(t *testing.T) {
	t.Parallel()
	lines := func(edits ...func(*session.Round)) []string {
		s := sample(atRung)
		for _, edit := range edits {
			edit(s.Round)
		}
		return strings.Split(render(t, 80, 24, "UTF-8", s), "\n")
	}
	beat := func(n int) func(*session.Round) { return func(r *session.Round) { r.Beat = n } }
	first, second := lines(beat(1)), lines(beat(2))
	changed := 0
	for y := range first {
		if first[y] != second[y] {
			changed++
		}
	}
	assert.GreaterOrEqual(t, changed, 7, "rows that change with the beat")

	captions := func(lines []string) int {
		for y, line := range lines {
			if strings.HasPrefix(line, " beat") {
				return y
			}
		}
		return -1
	}
	at := captions(first)
	require.Positive(t, at)
	for _, edit := range []func(*session.Round){
		func(r *session.Round) { r.Bar = 0 },
		func(r *session.Round) { r.Call = "finger 4, fret 10" },
		func(r *session.Round) { r.Detail = "" },
		func(r *session.Round) { r.Detail = strings.Repeat("a long remark ", 20) },
		func(r *session.Round) { r.Remark = "25 minutes without a break." },
	} {
		assert.Equal(t, at, captions(lines(edit)))
	}
}

func TestRound_ResultAndCareStandTogether(t *testing.T) {
	t.Parallel()
	text := render(t, 80, 24, "UTF-8", sample(judged))
	for _, want := range []string{"held     notes", "not yet  evenness", "a note begins again", "Five minutes off"} {
		assert.Contains(t, text, want)
	}
}

// A finding of two things, a wrong note and an early one, has the rows it needs.
func TestRound_SaysALongFindingWhole(t *testing.T) {
	t.Parallel()
	const long = "note 14: the pitch asked, but at another fret, on string 1; 2 before bar 1 not counted"
	text := render(t, 80, 24, "UTF-8", sample(judged, func(s *session.Snapshot) {
		s.Round.Findings[0].Passed, s.Round.Findings[0].Text = false, long
	}))
	assert.Contains(t, strings.Join(strings.Fields(text), " "), long)
	for _, want := range []string{"held     window", "not yet  evenness", "held     connection", "a note begins again"} {
		assert.Contains(t, text, want)
	}
	text = render(t, 80, 24, "UTF-8", sample(judged, func(s *session.Snapshot) {
		for i := range s.Round.Findings {
			s.Round.Findings[i].Text = strings.Repeat(long+" ", 3)
		}
	}))
	assert.Contains(t, text, "held     connection")
	assert.Contains(t, text, "a note begins again")
}

func TestRound_BellIsTheBeats(t *testing.T) {
	t.Parallel()
	b := &board{bell: true}
	rings := 0
	frames := func(edit func(*session.Round)) {
		for range 3 {
			s := sample(atRung)
			edit(s.Round)
			b.take(s)
			if b.bellDue {
				rings++
				b.bellDue = false
			}
		}
	}
	for beat := range 8 {
		frames(func(r *session.Round) { r.Bar, r.Beat = beat/4, 1+beat%4 })
	}
	assert.Equal(t, 8, rings, "once a beat, however many frames it has")
	frames(func(r *session.Round) { r.Bar, r.Beat, r.Done = 3, 1, true })
	assert.Equal(t, 8, rings, "a result rings no bell")
}

// What holds as far as can be told has the sign of an unsure answer.
func TestRound_AGuessIsMarked(t *testing.T) {
	t.Parallel()
	text := render(t, 80, 24, "UTF-8", sample(judged, func(s *session.Snapshot) { s.Round.Findings[1].Guess = true }))
	assert.Contains(t, text, "held     notes")
	assert.Contains(t, text, "held?    window")
}

// No figure changes its size while somebody plays: neither with the tenth beat of
// a bar or the hundredth point, nor with the sign of doubt.
func TestRound_FiguresKeepTheirSize(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int{{120, 40}, {80, 24}, {60, 16}, {36, 8}} {
		draw := func(edits ...func(*session.Round)) []string {
			s := sample(inRound)
			s.Round.Beats, s.Round.Bars, s.Round.Of, s.Round.Best = 12, 12, 80, 0
			for _, edit := range edits {
				edit(s.Round)
			}
			return strings.Split(render(t, size[0], size[1], "UTF-8", s, func(b *board) { b.far = true }), "\n")
		}
		// begins reports whether the figure in the columns from x on begins with
		// the same digit at the same size in both screens.
		begins := func(a, b []string, x int) bool {
			digit, rows := max(3, size[0]/20), max(3, size[1]/5) // no digit is smaller
			part := func(line string) string { return string([]rune(line + strings.Repeat(" ", size[0]))[x : x+digit]) }
			below := 3 // caption, detail and status
			if size[0] < smallColumns {
				below = 2
			}
			for y := size[1] - below - rows; y < size[1]-below; y++ {
				if part(a[y]) != part(b[y]) {
					return false
				}
			}
			return true
		}
		score, beat := 1+(size[0]-2)*60/100, 1
		if size[0] < smallColumns {
			score = 1 + (size[0]-2)/3
		}
		at := func(beat, score int) func(*session.Round) {
			return func(r *session.Round) { r.Beat, r.Score = beat, score }
		}
		assert.True(t, begins(draw(at(1, 10)), draw(at(10, 10)), beat), "tenth beat, %v", size)
		long := func(r *session.Round) { r.Of = 120 }
		assert.True(t, begins(draw(at(1, 10), long), draw(at(1, 100), long), score), "hundredth point, %v", size)
		doubt := func(r *session.Round) { r.Notes, r.Doubtful = 3, 2 }
		assert.True(t, begins(draw(at(1, 10)), draw(at(1, 10), doubt), score), "sign of doubt, %v", size)
	}
}

// What the player has said to keep does not go from the large figures.
func TestRound_TheReachThatIsKeptStays(t *testing.T) {
	t.Parallel()
	kept := func(s *session.Snapshot) {
		foundReach(s)
		s.Round.Call, s.Round.Brief, s.Round.Awaits, s.Round.Done = "kept", "", session.AwaitsNothing, true
	}
	for _, size := range [][2]int{{120, 40}, {80, 24}, {60, 16}} {
		far := func(b *board) { b.far = size[0] < leastWidth }
		asked := strings.Split(render(t, size[0], size[1], "UTF-8", sample(foundReach), far), "\n")
		stays := strings.Split(render(t, size[0], size[1], "UTF-8", sample(kept), far), "\n")
		same := 0
		for y := range asked {
			if strings.Contains(asked[y], "██") && asked[y] == stays[y] {
				same++
			}
		}
		assert.GreaterOrEqual(t, same, 5, "rows of the figure, %v", size)
	}
}

// The row of beats is whole or it is not there: a cut one would stand still while
// the beats go on.
func TestRound_TheRowOfBeatsIsWhole(t *testing.T) {
	t.Parallel()
	for _, beats := range []int{1, 4, 5, 7, 12, 32} {
		for _, size := range [][2]int{{120, 40}, {80, 24}, {60, 16}} {
			text := render(t, size[0], size[1], "UTF-8", sample(inRound, func(s *session.Snapshot) { s.Round.Beats = beats }),
				func(b *board) { b.far = size[0] < leastWidth })
			if shown := strings.Count(text, "■") + strings.Count(text, "□"); shown > 0 {
				assert.Equal(t, beats, shown, "%d beats, %v", beats, size)
			}
			assert.NotRegexp(t, `[■□]\.\.`, text)
		}
	}
	five := func(s *session.Snapshot) { s.Round.Beats = 5 }
	assert.Contains(t, render(t, 60, 16, "UTF-8", sample(inRound, five), func(b *board) { b.far = true }), "■■□□□")
}
