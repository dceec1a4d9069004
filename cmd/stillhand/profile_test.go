package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"stillhand/coach"
)

// A guess at how the player moves waits for shifts to tell it from.
func TestLearntText_SaysWhatIsTooLittleToTell(t *testing.T) {
	t.Parallel()
	assert.Contains(t, learntText(coach.Habits{}), "Nothing learnt")
	h := coach.Habits{Notes: 200, Shifts: 4, Held: [3]float64{0, 6, 0}, Ended: [3]float64{10, 2, 0}}
	assert.Contains(t, learntText(h), "about 2 in a hundred notes; too few shifts yet")
	assert.Contains(t, learntText(h), "75 in a hundred bound notes ring on")
	assert.Contains(t, learntText(h), "from 200 notes:")
	assert.Contains(t, learntText(coach.Habits{Notes: 1.2}), "from 1 note:")
	h.Shifts = 40
	assert.Contains(t, learntText(h), "about 20 in a hundred notes; planning ahead explains them with 0 per cent")
	assert.NotContains(t, learntText(h), "gaps show", "of shifts that none was sure enough of")
	for hidden, says := range map[float64]string{ // as learnt of hands that hide none, a fourth and half, see Unseen
		0.7: "gaps show nearly all of them\n", 4.3: "gaps show most of them\n", 6.4: "gaps show half of them or fewer",
	} {
		h.Hidden, h.Shown = hidden, 10-hidden
		assert.Contains(t, learntText(h), says)
	}
}

// Unicode Standard Annex 11: a letter of East Asia takes two columns.
func TestParted_CountsColumns(t *testing.T) {
	t.Parallel()
	assert.Equal(t, []string{strings.Repeat("左手ペダル,", 4), "左手ペダル"}, parted(strings.Repeat("左手ペダル,", 4)+"左手ペダル", mostValue))
}
