//go:build rtmidi

package midiin

import (
	"errors"
	"os"
	"runtime"
	"sync"
	"sync/atomic"

	"gitlab.com/gomidi/midi/v2/drivers/rtmididrv/imported/rtmidi"
)

// PortsHint says what this build lacks: nothing.
func PortsHint() string { return "" }

var system = sync.OnceValue(func() portSystem { return &rtSystem{} })

// rtSystem is RtMidi: ALSA, CoreMIDI or Windows MM. RtMidi's error texts point
// to freed memory, so errors here have words of their own.
type rtSystem struct {
	mu    sync.Mutex
	probe rtmidi.MIDIIn      // lists ports; opened once, never listens
	ports map[string]*rtPort // open ones, by the system's name
}

// rtPort is an open input, for as long as the system has it.
type rtPort struct {
	sys  *rtSystem
	name string
	in   rtmidi.MIDIIn
	to   atomic.Pointer[func([]byte)] // nil while idle
}

// sequencer is ALSA's, through which RtMidi finds ports on Linux.
const sequencer = "/dev/snd/seq"

var errNoService = errors.New("the system's MIDI service does not answer (on Linux it needs the sequencer " + sequencer + ": load snd-seq)")

// service reports whether there is a MIDI service to ask. Without a sequencer
// RtMidi and ALSA print to standard error: look before asking.
func service() error {
	if _, err := os.Stat(sequencer); runtime.GOOS == "linux" && err != nil {
		return errNoService
	}
	return nil
}

func (s *rtSystem) names() ([]string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.probe == nil {
		if err := service(); err != nil {
			return nil, err
		}
		in, err := rtmidi.NewMIDIInDefault()
		if err != nil {
			return nil, errNoService
		}
		s.probe = in
	}
	n, err := s.probe.PortCount()
	if err != nil {
		return nil, errNoService
	}
	names := make([]string, n)
	for i := range names {
		names[i], _ = s.probe.PortName(i) // a port that left meanwhile has none
	}
	return names, nil
}

func (s *rtSystem) open(i int, deliver func([]byte)) (portHandle, error) {
	names, err := s.names()
	switch {
	case err != nil:
		return nil, err
	case i >= len(names):
		return nil, errors.New("it has just been unplugged")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if p := s.ports[names[i]]; p != nil {
		p.to.Store(&deliver)
		return p, nil
	}
	in, err := rtmidi.NewMIDIInDefault()
	if err != nil {
		return nil, errNoService
	}
	p := &rtPort{sys: s, name: names[i], in: in}
	p.to.Store(&deliver)
	// The callback is set before the port is opened, so that nothing waits in a
	// queue that nobody reads.
	if err := in.SetCallback(p.hear); err != nil {
		in.Close()
		return nil, errors.New("the driver takes no callback")
	}
	if err := in.OpenPort(i, "stillhand"); err != nil {
		in.Close()
		return nil, errors.New("the driver does not open it")
	}
	if s.ports == nil {
		s.ports = map[string]*rtPort{}
	}
	s.ports[p.name] = p
	return p, nil
}

// hear runs on the driver's thread.
func (p *rtPort) hear(_ rtmidi.MIDIIn, b []byte, _ float64) {
	if deliver := p.to.Load(); deliver != nil {
		(*deliver)(b)
	}
}

func (p *rtPort) idle() { p.to.Store(nil) }

func (p *rtPort) gone() {
	p.to.Store(nil)
	p.sys.mu.Lock()
	defer p.sys.mu.Unlock()
	delete(p.sys.ports, p.name)
	p.in.Close()
}
