package session

import (
	"bytes"
	"testing"
	"time"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session/internal/players"
)

// A declaration is doubted when it is wrong, and practically never when right.
func TestTracker_DoubtsAWrongSystem(t *testing.T) {
	if testing.Short() {
		t.Skip("plays forty takes")
	}
	t.Parallel()
	const each = 4
	for _, strings := range []bool{true, false} {
		said, slandered, takes := 0, 0, 0
		for _, f := range players.Tuned {
			for seed := range uint64(each) {
				take := f.Play(seed+1, 400)
				for _, declared := range coach.Systems {
					tr := coach.NewTracker(take.Neck, declared, coach.Habits{})
					for _, n := range take.Notes(strings) {
						tr.Note(n)
					}
					tr.End()
					looks, ok := tr.Looks()
					switch {
					case declared.Name == take.System.Name && ok:
						slandered++
					case declared.Name != take.System.Name && ok:
						assert.Equal(t, take.System.Name, looks.Name)
						said++
					}
				}
				takes++
			}
		}
		t.Logf("strings known %v: of %d takes a wrong system was doubted in %d, a right one in %d", strings, takes, said, slandered)
		assert.LessOrEqual(t, slandered, takes/20)
		if strings {
			assert.Greater(t, said, takes/3)
		}
	}
}

// Accuracy grows with the notes heard, and is there within the first minute.
func TestTracker_LearnsWithinAMinute(t *testing.T) {
	t.Parallel()
	edges := []time.Duration{10 * time.Second, 30 * time.Second, time.Minute, 2 * time.Minute}
	right, all := make([]float64, len(edges)), make([]float64, len(edges))
	for _, f := range players.Tuned {
		for seed := range uint64(6) {
			take := f.Play(seed+1, 500)
			tr := coach.NewTracker(take.Neck, take.System, coach.Habits{})
			for _, n := range take.Notes(true) {
				tr.Note(n)
			}
			tr.End()
			for i, e := range tr.Settled(nil) {
				for k, edge := range edges {
					if e.At < edge {
						all[k]++
						if e.Position == take.Hits[i].Position {
							right[k]++
						}
						break
					}
				}
			}
		}
	}
	var share []float64
	for k := range edges {
		share = append(share, right[k]/all[k])
		t.Logf("up to %v: %.3f of %.0f positions right", edges[k], share[k], all[k])
	}
	assert.Greater(t, share[2], share[0], "the first seconds are the hardest")
	assert.InDelta(t, share[3], share[2], 0.03, "within a minute it is as good as it gets")
}

// What was learnt helps the next take's beginning, survives a file, and can be forgotten.
func TestHabits_HelpTheNextTake(t *testing.T) {
	t.Parallel()
	var fresh, known float64
	for _, f := range players.Tuned {
		for seed := range uint64(4) {
			first := f.Play(seed+1, 400)
			tr := coach.NewTracker(first.Neck, first.System, coach.Habits{})
			for _, n := range first.Notes(false) {
				tr.Note(n)
			}
			tr.End()
			var file bytes.Buffer
			require.NoError(t, toml.NewEncoder(&file).Encode(tr.Habits()))
			var habits coach.Habits
			_, err := toml.Decode(file.String(), &habits)
			require.NoError(t, err)
			require.Equal(t, tr.Habits(), habits)
			assert.InDelta(t, 400, habits.Notes, 1e-9)

			// The same player again: what comes later in a longer take, from new.
			later := f.Play(seed+1, 600)
			notes := later.Notes(false)[400:]
			for _, h := range []coach.Habits{{}, habits} {
				again := coach.NewTracker(later.Neck, later.System, h)
				for _, n := range notes {
					again.Note(n)
				}
				again.End()
				s := players.Judge(later.Hits[400:], again.Settled(nil), again.Expected(), 1)
				if h.Notes == 0 {
					fresh += s.String
				} else {
					known += s.String
				}
			}
		}
	}
	n := float64(4 * len(players.Tuned))
	t.Logf("string right from pitch alone in 200 notes: %.3f for a stranger, %.3f for a player known", fresh/n, known/n)
	assert.Greater(t, known, fresh)
}
