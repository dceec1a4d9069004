package midiin

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// outs are outputs that remember what they were sent.
type outs struct {
	list   []string
	opened int
	sent   [][]byte
	closed bool
	gate   chan struct{} // send waits for it; nil to go on
	broken error
}

func (o *outs) names() ([]string, error) { return o.list, nil }

func (o *outs) open(i int) (output, error) {
	o.opened = i
	return o, o.broken
}

func (o *outs) send(message []byte) {
	if o.gate != nil {
		<-o.gate
	}
	o.sent = append(o.sent, message)
}

func (o *outs) close() { o.closed = true }

// MIDI 1.0 Detailed Specification 4.2.1: status 9nH is a note-on, 8nH a
// note-off, n counting channels from 0. General MIDI 1: percussion is channel
// 10; 76 and 77 are high and low wood block (from memory).
func TestClick_StrikesWoodBlocksOnChannel10(t *testing.T) {
	t.Parallel()
	sys := &outs{list: []string{"Through 14:0", "Sound Module 20:0"}}
	c, err := openClick(sys, "module")
	require.NoError(t, err)
	c.Strike(true)
	c.Strike(false)
	require.NoError(t, c.Close())
	assert.Equal(t, 1, sys.opened)
	assert.Equal(t, [][]byte{{0x99, 76, 110}, {0x89, 76, 64}, {0x99, 77, 80}, {0x89, 77, 64}}, sys.sent)
	assert.True(t, sys.closed)
}

func TestClick_NeverWaitsForASlowOutput(t *testing.T) {
	t.Parallel()
	sys := &outs{list: []string{"slow"}, gate: make(chan struct{})}
	c, err := openClick(sys, "1")
	require.NoError(t, err)
	for range 100 {
		c.Strike(false)
	}
	close(sys.gate)
	require.NoError(t, c.Close())
	assert.Less(t, len(sys.sent), 20, "beats that came too late were left out")
}

func TestClick_SaysWhatIsThere(t *testing.T) {
	t.Parallel()
	_, err := openClick(&outs{list: []string{"Alpha", "Beta"}}, "gamma")
	assert.EqualError(t, err, `click: no MIDI output is called "gamma": choose 1 "Alpha", 2 "Beta"`)
	_, err = openClick(&outs{}, "x")
	assert.ErrorContains(t, err, "no MIDI output is called \"x\": none is connected")
	_, err = openClick(&outs{list: []string{"Alpha"}, broken: errors.New("busy")}, "Alpha")
	assert.EqualError(t, err, `click: port "Alpha" cannot be opened: busy`)
}
