package session

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"stillhand/coach"
	"stillhand/session/internal/players"
)

// What a profile keeps of a player after some takes of practice makes the next take's
// answers better: each player's first notes are heard, and the notes after them by a
// tracker that knows nobody and by one that knows the player.
//
//	go test ./session -run KnowsAPlayer -v -args -players 30 -notes 400 -set all -seed 200001
func TestTracker_KnowsAPlayerFromBefore(t *testing.T) {
	t.Parallel()
	const before = 2000
	least := []map[bool]float64{{true: 0.88, false: 0.70}, {true: 0.88, false: 0.72}}
	names := []string{"known to nobody", "known from before"}
	for _, told := range []bool{true, false} {
		for _, set := range tableSets(t) {
			var all [2][]players.Score
			var calibration [2]float64
			for _, f := range set.Families {
				var scores [2][]players.Score
				for s := range *tablePlayers {
					take := f.Play(uint64(*tableSeed+s), before+*tableNotes)
					notes, hits := take.Notes(told), take.Hits[before:]
					first := coach.NewTracker(take.Neck, take.System, coach.Habits{})
					for _, n := range notes[:before] {
						parts(first, n)
						first.Note(n)
					}
					first.End()
					shifts := players.Take{Hits: hits}.Shifts()
					for i, h := range []coach.Habits{{}, first.Habits()} {
						tr := coach.NewTracker(take.Neck, take.System, h)
						for j, n := range notes[before:] {
							n.At -= notes[before].At
							if j == 0 {
								n.Gap, n.Sounding = coach.Rest, false
							}
							parts(tr, n)
							tr.Note(n)
						}
						tr.End()
						scores[i] = append(scores[i], players.Judge(hits, tr.Settled(nil), tr.Expected(), shifts))
					}
				}
				for i := range scores {
					m := players.Mean(scores[i])
					all[i] = append(all[i], m)
					calibration[i] += m.Calibration() / float64(len(set.Families))
				}
			}
			var rows strings.Builder
			var exact [2]float64
			for i, name := range names {
				m := players.Mean(all[i])
				exact[i] = m.Exact
				row(&rows, name, m, calibration[i])
				if set.Name == "third" {
					assert.Greater(t, m.Exact, least[i][told], "%s, strings told %v", name, told)
				}
			}
			if set.Name == "third" {
				assert.Greater(t, exact[1], exact[0], "strings told %v", told)
			}
			t.Logf("%s, strings told %v\n%s", set.Name, told, rows.String())
		}
	}
}
