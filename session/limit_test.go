package session

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"stillhand/session/internal/players"
)

// limits are what one family allows to be known, with the strings told and
// from pitches only, and what the tracker reached on the same takes.
type limits [2]struct{ notes, gaps, soon, reached players.Answer }

var inputs = [2]string{"string known", "pitch only"}

// How far the tracker is from what can be known: the best answer of all is
// each family's own model with the player's own habits. The pickup's notes are
// those of the strings. Players play one after another, families at once:
//
//	go test ./session -run NearTheLimit -v -timeout 30m -args -players 24 -notes 400
func TestTracker_ComesNearTheLimit(t *testing.T) {
	t.Parallel()
	all := make([]limits, len(players.Tuned))
	t.Run("families", func(t *testing.T) {
		for k, f := range players.Tuned {
			t.Run(f.Name, func(t *testing.T) {
				t.Parallel()
				all[k] = limitsOf(t, f)
				for i, l := range all[k] {
					// The true model is right as often as it claims; a wrong one is found out.
					assert.InDelta(t, l.notes.Claimed, l.notes.Exact, 0.06, inputs[i])
					assert.InDelta(t, l.gaps.Claimed, l.gaps.Exact, 0.06, inputs[i])
					assert.Greater(t, l.gaps.Exact, l.notes.Exact-0.02, "%s: gaps tell something", inputs[i])
					assert.Less(t, l.reached.Exact, l.gaps.Exact+0.01, "%s: above the limit by luck only", inputs[i])
					if f.Name == "improviser" {
						assert.Greater(t, l.reached.Exact, l.notes.Exact-0.22, inputs[i])
					}
				}
			})
		}
	})
	for i, input := range inputs {
		var table strings.Builder
		var mean limits
		for k, f := range players.Tuned {
			l := all[k][i]
			limitRow(&table, f.Name, l.notes, l.gaps, l.soon, l.reached)
			m, share := &mean[i], 1/float64(len(all))
			m.notes.Add(l.notes, share)
			m.gaps.Add(l.gaps, share)
			m.soon.Add(l.soon, share)
			m.reached.Add(l.reached, share)
		}
		limitRow(&table, "mean", mean[i].notes, mean[i].gaps, mean[i].soon, mean[i].reached)
		t.Logf("%s: position and string right, at most\n%-13s %-14s %-14s %-14s %s\n%s", input,
			"", "notes alone", "with gaps", "gaps, in time", "the tracker", table.String())
	}
}

func limitRow(w *strings.Builder, name string, answers ...players.Answer) {
	fmt.Fprintf(w, "%-13s", name)
	for _, a := range answers {
		fmt.Fprintf(w, " %.3f %.3f   ", a.Exact, a.String)
	}
	fmt.Fprintln(w)
}

func limitsOf(t *testing.T, f players.Family) limits {
	draws := 100
	if *tablePlayers > 4 {
		draws = 300
	}
	var sum limits
	share := 1 / float64(*tablePlayers)
	for s := range *tablePlayers {
		seed := uint64(s) + 1
		take, limit := f.Play(seed, *tableNotes), f.NewLimit(seed, *tableNotes, draws)
		for i := range inputs {
			told, l := i == 0, &sum[i]
			x := hear(told)(t, take, seed, nil)
			l.reached.Add(players.Answer{Exact: x.Exact, String: x.String}, share)
			whole, _ := limit.Answers(told, false)
			l.notes.Add(whole, share)
			whole, soon := limit.Answers(told, true)
			l.gaps.Add(whole, share)
			l.soon.Add(soon, share)
		}
		assert.LessOrEqual(t, limit.Escapes, *tableNotes/50, "%s %d: decisions that no draw came upon", f.Name, seed)
	}
	return sum
}
