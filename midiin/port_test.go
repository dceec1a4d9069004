package midiin

import (
	"errors"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2/drivers"
	"gitlab.com/gomidi/midi/v2/drivers/testdrv"
)

// rig is a fake system of MIDI ports. Like RtMidi it calls back on a thread of
// its own, and like RtMidi it would crash when closed while a message arrives,
// or when one arrives afterwards: here that fails the test.
type rig struct {
	t     testing.TB
	mu    sync.Mutex
	ports []string
	fail  error
	in    *rigPort // the newest opening
	opens int
}

type rigPort struct {
	t       testing.TB
	deliver func([]byte)
	inside  atomic.Int32 // messages being delivered
	resting atomic.Bool
	closed  atomic.Bool
}

func (r *rig) names() ([]string, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return slices.Clone(r.ports), r.fail
}

func (r *rig) open(i int, deliver func([]byte)) (portHandle, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if i >= len(r.ports) {
		return nil, errors.New("no such port")
	}
	r.opens++
	r.in = &rigPort{t: r.t, deliver: deliver}
	return r.in, nil
}

func (p *rigPort) idle() { p.resting.Store(true) }

func (p *rigPort) gone() {
	assert.Zero(p.t, p.inside.Load(), "closed while a message arrives: the driver crashes")
	p.closed.Store(true)
}

// send is the driver's thread with one message.
func (p *rigPort) send(b ...byte) {
	p.inside.Add(1)
	defer p.inside.Add(-1)
	if p.closed.Load() {
		p.t.Error("a message after closing: the driver crashes")
	}
	p.deliver(b)
}

// plug sets the ports that are connected.
func (r *rig) plug(names ...string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.ports = names
}

// port waits for the n-th opening.
func (r *rig) port(n int) *rigPort {
	r.t.Helper()
	for begin := time.Now(); time.Since(begin) < patience; runtime.Gosched() {
		r.mu.Lock()
		opens, in := r.opens, r.in
		r.mu.Unlock()
		if opens >= n {
			return in
		}
	}
	require.FailNow(r.t, "the port is not opened")
	return nil
}

// source listens to a port of the rig; the system is looked at when poll says.
func (r *rig) source(name string) (s *portSource, poll chan<- time.Time) {
	c := make(chan time.Time)
	s = newPortSource(r, name)
	s.poll = c
	return s, c
}

func TestPort_KeepsSourceContract(t *testing.T) {
	t.Parallel()
	r := &rig{t: t, ports: []string{"Bass:Bass MIDI 1 20:0"}}
	opened := 0
	CheckSource(t, func(*testing.T) Source {
		s, _ := r.source("Bass:Bass MIDI 1")
		opened++
		return s
	}, func(*testing.T) { r.port(opened).send(0x90, 40, 80) }, false)
}

func TestPort_IsFoundAgainByName(t *testing.T) {
	t.Parallel()
	r := &rig{t: t, ports: []string{"Midi Through 14:0", "Bass 20:0"}}
	s, poll := r.source("Bass")
	run := start(t, s)
	r.port(1).send(0x90, 40, 80)
	run.message(0x90, 40, 80)
	poll <- time.Time{} // still there
	first := r.port(1)
	r.plug("Midi Through 14:0")
	poll <- time.Time{}
	run.change(Lost, "Bass")
	require.True(t, first.closed.Load())
	poll <- time.Time{} // still away
	r.plug("Midi Through 14:0", "Other 20:0", "Bass 24:0")
	poll <- time.Time{}
	run.change(Found, "Bass")
	r.port(2).send(0x90, 41, 80)
	run.message(0x90, 41, 80)

	// Pulled out and put back between two looks: the number shows it.
	r.plug("Bass 28:0")
	poll <- time.Time{}
	run.change(Lost, "Bass")
	run.change(Found, "Bass")
	r.port(3).send(0x90, 42, 80)
	run.message(0x90, 42, 80)

	// Not to be able to ask is no sign that the port left.
	r.mu.Lock()
	r.fail = errors.New("asked too often")
	r.mu.Unlock()
	poll <- time.Time{}
	poll <- time.Time{}
	r.port(3).send(0x90, 43, 80)
	run.message(0x90, 43, 80)
	run.stop()
	assert.Zero(t, s.Lost())
}

func TestPort_IsLookedForOftenEnough(t *testing.T) {
	t.Parallel()
	// Two seconds are promised, and one look may come late.
	assert.LessOrEqual(t, 2*pollEvery+pollEvery/2, 2*time.Second)
	assert.LessOrEqual(t, 2*retryEvery+retryEvery/2, 2*time.Second)
}

// load sends notes to the newest opening as fast as a thread can, while the port
// is connected, until stopped.
type load struct {
	wire sync.RWMutex // written to plug and unplug: nothing is on the way then
	port *rigPort
	sent atomic.Int64
	stop func()
}

func startLoad() *load {
	l := &load{}
	stop, stopped := make(chan struct{}), make(chan struct{})
	l.stop = func() {
		close(stop)
		<-stopped
	}
	go func() {
		defer close(stopped)
		for {
			select {
			case <-stop:
				return
			default:
			}
			l.wire.RLock()
			if l.port != nil {
				l.port.send(0x90, byte(l.sent.Add(1)%128), 80)
			}
			l.wire.RUnlock()
			runtime.Gosched()
		}
	}()
	return l
}

func (l *load) connect(p *rigPort) {
	l.wire.Lock()
	l.port = p
	l.wire.Unlock()
}

func TestPort_ClosesUnderLoadWithoutCrash(t *testing.T) {
	t.Parallel()
	// Notes arrive all the time while the port is unplugged, found again, and
	// stopped.
	for range 5 {
		r := &rig{t: t, ports: []string{"Bass 20:0"}}
		s, poll := r.source("Bass")
		run := start(t, s)
		l := startLoad()
		notes := 0
		take := func(n int) {
			for range n {
				require.Equal(t, Message, run.next().Kind)
				notes++
			}
		}
		for opening := range 3 {
			p := r.port(opening + 1)
			l.connect(p)
			take(100)
			l.connect(nil) // the cable is pulled
			r.plug()
			poll <- time.Time{}
			for e := run.next(); e.Kind != Lost; e = run.next() {
				notes++
			}
			require.True(t, p.closed.Load())
			r.plug("Bass 24:0")
			poll <- time.Time{}
			run.change(Found, "Bass")
		}
		p := r.port(4)
		l.connect(p)
		take(100)
		run.stop() // in the middle of it
		l.stop()
		require.False(t, p.closed.Load(), "a port that is still there is not closed")
		require.True(t, p.resting.Load())
		assert.LessOrEqual(t, notes+len(run.events)+s.Lost(), int(l.sent.Load()))
	}
}

func TestPort_CountsWhatFindsNoRoom(t *testing.T) {
	t.Parallel()
	r := &rig{t: t, ports: []string{"Bass 20:0"}}
	s, _ := r.source("Bass")
	gate, taken := make(chan struct{}), make(chan struct{}, 1)
	got := 0
	done := make(chan error, 1)
	ctx := t.Context()
	go func() {
		done <- s.Run(ctx, func(Event) {
			select {
			case taken <- struct{}{}:
			default:
			}
			<-gate
			got++
		})
	}()
	p := r.port(1)
	p.send(0x90, 40, 80)
	<-taken // the listener is stuck with the first
	for range arrivalsBuffer + 7 {
		p.send(0x90, 40, 80)
	}
	assert.Equal(t, 7, Source(s).(Counter).Lost(), "never waits, never loses in silence")
	close(gate)
	for begin := time.Now(); len(s.events) > 0 && time.Since(begin) < patience; {
		runtime.Gosched()
	}
	require.Empty(t, s.events)
}

func TestPort_CallbackDoesNotPanicOut(t *testing.T) {
	t.Parallel()
	s := newPortSource(&rig{t: t}, "Bass")
	s.begin()
	close(s.events) // any fault within the callback
	require.NotPanics(t, func() { s.deliver(&connection{}, []byte{0x90, 40, 80}) })
	assert.Equal(t, 1, s.Lost())
}

func TestPort_RefusesInOneLine(t *testing.T) {
	t.Parallel()
	r := &rig{t: t, ports: []string{"Bass 20:0"}}
	assert.EqualError(t, newPortSource(r, "Cello").Run(t.Context(), nil), `port "Cello" is not connected: plug it in, or choose another with ports`)
	r.fail = errors.New("no service")
	assert.EqualError(t, newPortSource(r, "Bass").Run(t.Context(), nil), `port "Bass": the system's MIDI ports cannot be listed: no service`)
}

func TestStableNames_StripNumbersAndTellDuplicatesApart(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("names of ALSA")
	}
	assert.Equal(t,
		[]string{"Midi Through:Midi Through Port-0", "USB MIDI:USB MIDI MIDI 1", "USB MIDI:USB MIDI MIDI 1 (2)", "Keys 4:20", "unnamed"},
		stableNames([]string{"Midi Through:Midi Through Port-0 14:0", "USB MIDI:USB MIDI MIDI 1 20:0", "USB MIDI:USB MIDI MIDI 1 24:0", "Keys 4:20 28:0", ""}))
}

func TestMatchPort_TakesNumbersNamesAndParts(t *testing.T) {
	t.Parallel()
	ports := listPorts([]string{"Midi Through 14:0", "Bass 20:0", "Bass Left 24:0"}, []string{"/dev/snd/midiC1D0"})
	for name, want := range map[string]string{
		"2":       "Bass", // by number
		"Bass":    "Bass", // whole, though a part of another
		"left":    "Bass Left",
		"through": "Midi Through",
		"C1D0":    "/dev/snd/midiC1D0",
	} {
		p, err := matchPort(ports, name)
		require.NoError(t, err, name)
		assert.Equal(t, want, p.Name)
	}
	p, err := matchPort(ports, "4")
	require.NoError(t, err)
	assert.Equal(t, Port{Number: 4, Name: "/dev/snd/midiC1D0", Path: "/dev/snd/midiC1D0"}, p)
	for name, want := range map[string]string{
		"bas":   `"bas" fits several MIDI inputs: choose 2 "Bass", 3 "Bass Left"`,
		"cello": `no MIDI input is called "cello": choose 1 "Midi Through", 2 "Bass", 3 "Bass Left", 4 "/dev/snd/midiC1D0"`,
		"9":     `no MIDI input is called "9": choose 1 "Midi Through", 2 "Bass", 3 "Bass Left", 4 "/dev/snd/midiC1D0"`,
		"":      `there are several MIDI inputs: choose 1 "Midi Through", 2 "Bass", 3 "Bass Left", 4 "/dev/snd/midiC1D0"`,
	} {
		_, err := matchPort(ports, name)
		assert.EqualError(t, err, want)
	}
	_, err = matchPort(nil, "cello")
	assert.ErrorContains(t, err, `no MIDI input is called "cello": none is connected`)
}

func TestMatchPort_WithoutANameIsTheOnlyOne(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"", " "} {
		p, err := matchPort([]Port{{1, "Bass", ""}}, name)
		require.NoError(t, err)
		assert.Equal(t, Port{1, "Bass", ""}, p)
		_, err = matchPort([]Port{{1, "Bass", ""}, {2, "Keys", ""}}, name)
		assert.EqualError(t, err, `there are several MIDI inputs: choose 1 "Bass", 2 "Keys"`)
		_, err = matchPort(nil, name)
		assert.ErrorContains(t, err, "no MIDI input found: plug one in, or name a device or FIFO path, or - for standard input")
	}
}

func TestPorts_AnswersOnThisMachine(t *testing.T) {
	t.Parallel()
	ports, err := Ports()
	for _, p := range ports {
		assert.NotEmpty(t, p.Name)
	}
	if err != nil {
		assert.NotContains(t, err.Error(), "\n")
	}
	_, err = OpenPort("no port has this name")
	require.Error(t, err)
	assert.NotContains(t, err.Error(), "\n")
	assert.Contains(t, err.Error(), "no port has this name")
	if len(ports) == 0 && PortsHint() != "" {
		assert.Contains(t, err.Error(), PortsHint())
	}
}

// loop is gomidi's loopback driver as a system of ports.
type loop struct{ drv drivers.Driver }

func (l loop) names() (names []string, err error) {
	ins, err := l.drv.Ins()
	for _, in := range ins {
		names = append(names, in.String())
	}
	return names, err
}

func (l loop) open(i int, deliver func([]byte)) (portHandle, error) {
	ins, err := l.drv.Ins()
	if err != nil {
		return nil, err
	}
	if err := ins[i].Open(); err != nil {
		return nil, err
	}
	_, err = ins[i].Listen(func(b []byte, _ int32) { deliver(b) }, drivers.ListenConfig{TimeCode: true, ActiveSense: true, SysEx: true})
	return loopHandle{}, err
}

type loopHandle struct{}

func (loopHandle) idle() {}

func (loopHandle) gone() {}

func TestPort_HearsGomidiLoopback(t *testing.T) {
	t.Parallel()
	drv := testdrv.New("loop")
	outs, err := drv.Outs()
	require.NoError(t, err)
	require.NoError(t, outs[0].Open())
	opened := make(chan struct{})
	run := start(t, newPortSource(signalling{loop{drv}, opened}, "loop-in"))
	<-opened
	for i := range byte(100) {
		require.NoError(t, outs[0].Send([]byte{0x90, i, 80}))
		require.NoError(t, outs[0].Send([]byte{0xF8}))
		run.message(0x90, i, 80)
	}
	run.stop()
}

// signalling closes opened when a port has been opened.
type signalling struct {
	loop
	opened chan struct{}
}

func (s signalling) open(i int, deliver func([]byte)) (portHandle, error) {
	h, err := s.loop.open(i, deliver)
	close(s.opened)
	return h, err
}
