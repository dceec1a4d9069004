package session

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"stillhand/coach"
	"stillhand/session/internal/players"
)

// A declaration that does not fit the playing is said; one that fits is never
// called wrong. Each player is heard under both systems.
func TestTracker_NamesAWrongDeclaration(t *testing.T) {
	t.Parallel()
	least := map[bool]float64{true: 0.8, false: 0.3}
	for _, told := range []bool{true, false} {
		named, wrong, falsely := 0, 0, 0
		for _, f := range players.Tuned {
			for s := range *tablePlayers {
				take := f.Play(uint64(s)+1, 400)
				for _, declared := range coach.Systems {
					tr := coach.NewTracker(take.Neck, declared, coach.Habits{})
					for _, n := range take.Notes(told) {
						tr.Note(n)
					}
					other, looks := tr.Looks()
					switch {
					case declared.Name == take.System.Name && looks:
						falsely++
					case declared.Name == take.System.Name:
					default:
						wrong++
						if looks && other.Name == take.System.Name {
							named++
						}
					}
				}
			}
		}
		t.Logf("strings known %v: %d of %d wrong declarations named, %d right ones called wrong", told, named, wrong, falsely)
		assert.Zero(t, falsely)
		assert.GreaterOrEqual(t, float64(named), least[told]*float64(wrong))
	}
}
