//go:build !rtmidi

package midiin

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestPortsHint_SaysWhatThisBuildLacks(t *testing.T) {
	t.Parallel()
	assert.Contains(t, PortsHint(), "-tags rtmidi")
	assert.NotContains(t, PortsHint(), "\n")
	names, err := system().names()
	assert.NoError(t, err)
	assert.Empty(t, names)
	_, err = system().open(0, nil)
	assert.Error(t, err)
}
