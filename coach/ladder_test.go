package coach

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func ladder(t require.TestingT, n Neck, reach float64, log []LadderDay, today int) Today {
	got, err := Ladder(n, Four, reach, log, today)
	require.NoError(t, err)
	return got
}

// days is a log at one rung: p passed, f did not, a digit passed with that
// discomfort, a blank is a missed day.
func days(first int, r Rung, marks string) []LadderDay {
	var log []LadderDay
	for i, m := range marks {
		d := LadderDay{Day: first + i, Rung: r}
		switch {
		case m == ' ':
			continue
		case m == 'p':
			d.Passed = true
		case m >= '0' && m <= '9':
			d.Passed, d.Discomfort = true, int(m-'0')
		}
		log = append(log, d)
	}
	return log
}

func window(position int) Rung { return Rung{WindowCell, "four", position} }

func TestLadder_StartsHigh(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	for reach, want := range map[float64]int{
		0:   12, // not known: the octave
		103: 8,  // frets 5-8 are 102.9 mm: lowest 5, three above
		60:  15, // nothing at the octave is within reach
		200: 4,
	} {
		got := ladder(t, n, reach, nil, 20000)
		assert.Equal(t, window(want), got.Rung, "reach %g", reach)
		assert.InDelta(t, n.StretchMM(want, 4), got.StretchMM, 1e-9)
		assert.Contains(t, got.Why, "frets lie close")
	}
}

func TestLadder_NeverAsksMoreThanTheReach(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	for reach := 60.0; reach < 140; reach += 7 {
		rungs, _ := rungs(n, Four, reach, nil)
		for _, r := range rungs {
			c, err := r.Cell(1)
			require.NoError(t, err)
			assert.True(t, WithinReach(c.StretchMM(n), reach))
			assert.True(t, c.Fits(n))
		}
	}
	_, err := Ladder(n, Four, 20, nil, 0)
	assert.ErrorContains(t, err, "within 20 mm")
}

func TestLadder_EndsWithTheNeck(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	for frets, want := range map[int]map[string]int{2: {}, 3: {"three": 1}, 4: {"four": 1, "three": 2}, 5: {"four": 4, "three": 5}} {
		n.Frets = frets
		for _, s := range Systems {
			today, err := Ladder(n, s, 0, nil, 0)
			if want[s.Name] == 0 {
				assert.ErrorContains(t, err, "no window of "+s.Name+" fingers fits")
				continue
			}
			require.NoError(t, err)
			assert.Equal(t, want[s.Name], today.Of, "%s on %d frets", s.Name, frets) // with five frets a cell with its shift in each system
		}
	}
}

// The five-fret cell follows the window cell, in the own system and then in
// the other.
func TestLadder_FiveFretsFollow(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	rungs, first := rungs(n, Four, 110, nil)
	assert.Equal(t, 0, first)
	var kinds []string
	for i, r := range rungs {
		if k := string(r.Kind) + " " + r.System; i == 0 || kinds[len(kinds)-1] != k {
			kinds = append(kinds, k)
		} else {
			assert.Equal(t, rungs[i-1].Position-1, r.Position, "one fret at a time")
		}
	}
	assert.Equal(t, []string{"window four", "five four", "five three"}, kinds)
	three, err := Ladder(n, Three, 110, nil, 0)
	require.NoError(t, err)
	assert.Equal(t, "three", three.Rung.System)
}

func TestLadder_ThreeSeparateDaysGoDownOneFret(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	log := days(100, window(12), "pp p")
	assert.Equal(t, 2, ladder(t, n, 0, log, 102).Passed)
	now := ladder(t, n, 0, log, 103)
	assert.Equal(t, window(12), now.Rung, "the rung of a day does not change within it")
	assert.Equal(t, 3, now.Passed)
	assert.Contains(t, now.Why, "tomorrow")
	next := ladder(t, n, 0, log, 104)
	assert.Equal(t, window(11), next.Rung)
	assert.Equal(t, []Turn{{104, window(12), window(11)}}, next.Way)
	assert.Equal(t, 1, next.Step)
	assert.Zero(t, next.Passed)

	twice := append(days(100, window(12), "pp"), days(100, window(12), "pp")...)
	assert.Equal(t, window(12), ladder(t, n, 0, twice, 110).Rung, "two passes on one day are one day")
}

func TestLadder_AMissedDayCostsNothing(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	for _, log := range [][]LadderDay{days(100, window(12), "ppp"), days(100, window(12), "p  p      p"), append(days(100, window(12), "p"), days(300, window(12), "pp")...)} {
		got := ladder(t, n, 0, log, 400)
		assert.Equal(t, window(11), got.Rung)
	}
}

func TestLadder_ARungThatDoesNotHoldGoesBackUp(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	log := append(days(100, window(12), "ppp"), days(103, window(11), "f")...)
	assert.Equal(t, window(11), ladder(t, n, 0, log, 108).Rung, "one bad day is no verdict")
	log = append(log, days(104, window(11), "f")...)
	assert.Equal(t, window(11), ladder(t, n, 0, log, 105).Rung, "two moves are three days apart")
	up := ladder(t, n, 0, log, 106)
	assert.Equal(t, window(12), up.Rung)
	assert.Contains(t, up.Why, "so this one is back")
	assert.Equal(t, []Turn{{103, window(12), window(11)}, {106, window(11), window(12)}}, up.Way)

	log = append(log, days(106, window(12), "pppp")...)
	wary := ladder(t, n, 0, log, 110)
	assert.Equal(t, window(12), wary.Rung, "the second try waits longer")
	assert.Equal(t, []int{4, 6}, []int{wary.Passed, wary.Needed})
	assert.Equal(t, "It has passed on 4 of 6 separate days.", wary.Why)
	down := ladder(t, n, 0, append(days(100, window(12), "ppp"), days(103, window(11), "f")...), 104)
	assert.Equal(t, "It has passed on 0 of 3 separate days.", down.Why, "it is not back")
	assert.Equal(t, "It has passed on 1 of 3 separate days.", ladder(t, n, 0, days(100, window(12), "p"), 101).Why)
	log = append(log, days(110, window(12), "pp")...)
	assert.Equal(t, window(11), ladder(t, n, 0, log, 112).Rung)

	again := append(days(100, window(12), "ppp"), days(103, window(11), "fpf")...)
	assert.Equal(t, window(11), ladder(t, n, 0, again, 120).Rung, "in a row only")
	top := days(100, window(12), "ffffff")
	assert.Equal(t, window(12), ladder(t, n, 0, top, 110).Rung, "nothing above the first")
}

func TestLadder_DiscomfortHolds(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	log := days(100, window(12), "pp3")
	got := ladder(t, n, 0, log, 103)
	assert.Equal(t, window(12), got.Rung)
	assert.True(t, got.Held)
	assert.False(t, got.Stop)
	assert.Zero(t, got.Passed, "the days before it are taken back")
	assert.Contains(t, got.Why, "discomfort 3 of 10")

	log = append(log, days(103, window(12), "pp")...)
	assert.Equal(t, window(12), ladder(t, n, 0, log, 105).Rung)
	log = append(log, days(105, window(12), "2")...)
	free := ladder(t, n, 0, log, 106)
	assert.Equal(t, window(11), free.Rung)
	assert.False(t, free.Held)

	back := days(100, window(12), "ppp")
	for day := 103; day < 106; day++ {
		back = append(back, LadderDay{Day: day, Rung: window(11), Discomfort: 3})
	}
	up := ladder(t, n, 0, back, 106)
	assert.Equal(t, window(12), up.Rung, "up again it may go")
	assert.Equal(t, "You reported discomfort 3 of 10: the way down waits until you say less than 3, and this rung has passed on 6 days since. It has passed on 0 of 6 separate days.", up.Why)

	worst := append(days(100, window(12), "5"), LadderDay{Day: 100, Rung: window(12), Passed: true, Discomfort: 1})
	assert.True(t, ladder(t, n, 0, worst, 101).Stop, "the worst of a day counts")

	stop := ladder(t, n, 0, days(100, window(12), "p5"), 101)
	assert.True(t, stop.Held && stop.Stop)
	assert.Contains(t, stop.Why, "qualified person")

	unsaid := append(days(100, window(12), "5"), LadderDay{Day: 101, Rung: window(12), Passed: true, Discomfort: NotSaid})
	assert.True(t, ladder(t, n, 0, unsaid, 102).Stop, "no answer takes nothing back")
	for day := 102; day < 110; day++ {
		unsaid = append(unsaid, LadderDay{Day: day, Rung: window(12), Passed: true, Discomfort: NotSaid})
	}
	held := ladder(t, n, 0, unsaid, 110)
	assert.Equal(t, window(12), held.Rung, "nobody said that it is less")
	assert.Zero(t, held.Passed)
	other := append(days(100, window(12), "pp"), LadderDay{Day: 101, Rung: window(3), Discomfort: 4})
	assert.True(t, ladder(t, n, 0, other, 102).Held, "wherever it was felt")
}

func TestLadder_EndsAtTheLastRung(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	for reach, why := range map[float64]string{
		110: "The last rung holds. To go lower, find your reach again; to keep it, play it now and then.",
		130: "The last rung holds. To keep it, play it now and then.", // frets 1-4 are 129.7 mm: nothing is lower
		0:   "The last rung holds. To keep it, play it now and then.",
	} {
		var log []LadderDay
		for day := 0; day < 400; day++ {
			r := ladder(t, n, reach, log, day).Rung
			log = append(log, LadderDay{Day: day, Rung: r, Passed: true})
		}
		end := ladder(t, n, reach, log, 400)
		assert.True(t, end.Done)
		assert.Equal(t, end.Of-1, end.Step)
		assert.Equal(t, Rung{FiveCell, "three", 1}, end.Rung)
		assert.Equal(t, why, end.Why)
		assert.Len(t, end.Way, end.Of-1)
	}
}

// A reach found later moves the end of the ladder and not the player's place.
func TestLadder_KeepsItsPlaceWhenTheReachChanges(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	log := append(days(100, window(12), "ppp"), days(103, window(11), "p")...)
	for _, reach := range []float64{0, 103, 120} {
		got := ladder(t, n, reach, log, 104)
		assert.Equal(t, window(11), got.Rung, "reach %g", reach)
		assert.Equal(t, 1, got.Passed)
	}
	other := append(days(90, Rung{FiveCell, "four", 14}, "f"), days(91, Rung{WindowCell, "three", 14}, "f")...)
	assert.Equal(t, window(12), ladder(t, n, 0, other, 104).Rung, "begun higher up in another run")
	narrow := ladder(t, n, 60, log, 104)
	assert.Equal(t, window(15), narrow.Rung, "beyond reach the way starts higher")
}

func TestLadder_LeavesTheLogAlone(t *testing.T) {
	t.Parallel()
	n := bass4(t)
	log := []LadderDay{{Day: 9, Rung: window(12)}, {Day: 3, Rung: window(12), Passed: true}, {Day: 50, Rung: window(12)}}
	before := append([]LadderDay(nil), log...)
	got := ladder(t, n, 0, log, 20)
	assert.Equal(t, before, log)
	assert.Equal(t, 1, got.Passed)

	two := append(days(100, window(12), "p"), days(100, window(13), "p")...)
	assert.Equal(t, window(13), ladder(t, n, 0, two, 101).Rung)
	slices.Reverse(two)
	assert.Equal(t, window(13), ladder(t, n, 0, two, 101).Rung, "begun on one day, in whatever order")
}
