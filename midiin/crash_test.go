package midiin

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// crasher delivers one note, and panics when it is asked for more.
type crasher struct {
	asked  bool
	closed bool
}

func (c *crasher) Read(b []byte) (int, error) {
	if c.asked {
		panic("a read")
	}
	c.asked = true
	return copy(b, []byte{0x90, 40, 80}), nil
}

func (c *crasher) Close() error {
	c.closed = true
	return nil
}

func (c *crasher) read(b []byte) (int, error) { return c.Read(b) }
func (c *crasher) until(time.Time)            {}
func (c *crasher) close()                     {}

// crashedWith checks that err is a crash of this package, and names its culprit.
func crashedWith(t *testing.T, err error, value, culprit string) {
	t.Helper()
	var crash *CrashError
	require.ErrorAs(t, err, &crash)
	assert.Equal(t, value, crash.Value)
	assert.Contains(t, string(crash.Stack), culprit)
	assert.NotContains(t, err.Error(), "\n")
}

// A panic where it reads ends a source with an error, after what came before.
func TestSource_ACrashWhileReadingIsAnError(t *testing.T) {
	t.Parallel()
	reader := &crasher{}
	for name, s := range map[string]Source{
		"stream": NewStream("cable", reader),
		"device": &pathSource{path: "cable", open: func(string, bool) (byteReader, error) { return &crasher{}, nil }, arrivals: newArrivals()},
		"fifo":   &pathSource{path: "cable", fifo: true, open: func(string, bool) (byteReader, error) { return &crasher{}, nil }, arrivals: newArrivals()},
	} {
		t.Run(name, func(t *testing.T) {
			r := start(t, s)
			crashedWith(t, r.end(), "a read", "crasher")
			r.t = t
			e := <-r.events
			assert.Equal(t, [3]byte{0x90, 40, 80}, e.Data)
		})
	}
	assert.True(t, reader.closed)
}

// On the driver's thread nothing may panic: the message is counted, playing goes
// on, and the end tells.
func TestPort_ACrashInTheCallbackIsToldAtTheEnd(t *testing.T) {
	t.Parallel()
	rig := &rig{t: t, ports: []string{"Bass 20:0"}}
	s := newPortSource(rig, "Bass")
	r := start(t, s)
	port := rig.port(1)
	port.send(0x90, 40, 80)
	r.message(0x90, 40, 80)
	s.deliver(nil, []byte{0x90, 41, 80}) // what is not there cannot be asked whether it is shut
	port.send(0x80, 40, 64)
	r.message(0x80, 40, 64)
	assert.Equal(t, 1, s.Lost())
	r.cancel()
	var crash *CrashError
	require.ErrorAs(t, r.end(), &crash)
	assert.Contains(t, string(crash.Stack), "deliver")
}

// crashingOut panics at the third message.
type crashingOut struct{ outs }

func (o *crashingOut) open(int) (output, error) { return o, nil }

func (o *crashingOut) send(message []byte) {
	if o.outs.send(message); len(o.sent) == 3 {
		panic("a driver")
	}
}

// A click that crashes is silent; the beat goes on in the picture, and whoever
// closes it is told.
func TestClick_ACrashSilencesItAndIsTold(t *testing.T) {
	t.Parallel()
	sys := &crashingOut{outs{list: []string{"Module"}, gate: make(chan struct{})}}
	c, err := openClick(sys, "Module")
	require.NoError(t, err)
	c.Strike(true)
	c.Strike(true) // ends the first and strikes again: the third message
	close(sys.gate)
	<-c.done
	for range 100 {
		c.Strike(true) // waits for nobody
	}
	crashedWith(t, c.Close(), "a driver", "crashingOut")
	assert.Len(t, sys.sent, 3)
	assert.True(t, sys.closed)
}
