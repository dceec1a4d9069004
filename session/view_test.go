package session

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A percentage never says what the sign of an unsure answer beside it denies.
func TestPercent_NeverReachesTheBorderAhead(t *testing.T) {
	t.Parallel()
	for p, want := range map[float64]string{
		0: "0%", 0.001: "1%", 0.29: "29%", 0.496: "49%", 0.5: "50%", 0.796: "79%", 0.8: "80%",
		0.804: "80%", 0.806: "81%", 0.9949: "99%", 0.999: "99%", 1: "100%",
	} {
		assert.Equal(t, want, Percent(p), "%v", p)
	}
}
