//go:build rtmidi

package midiin

import (
	"errors"
	"sync"

	"gitlab.com/gomidi/midi/v2/drivers/rtmididrv/imported/rtmidi"
)

// PortsHint says what this build lacks: nothing.
func PortsHint() string { return "" }

var system = sync.OnceValue(func() portSystem { return &rtSystem{} })

// rtSystem is RtMidi: ALSA, CoreMIDI or Windows MM. RtMidi's error texts point
// to freed memory, so errors here have words of their own.
type rtSystem struct {
	mu    sync.Mutex
	probe rtmidi.MIDIIn // lists ports; opened once, never listens
}

var errNoService = errors.New("no MIDI service answers (on Linux: is the ALSA sequencer there, /dev/snd/seq?)")

func (s *rtSystem) names() ([]string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.probe == nil {
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
	in, err := rtmidi.NewMIDIInDefault()
	if err != nil {
		return nil, errNoService
	}
	// The callback is set before the port is opened, so that nothing waits in a
	// queue that nobody reads.
	if err := in.SetCallback(func(_ rtmidi.MIDIIn, b []byte, _ float64) { deliver(b) }); err != nil {
		in.Close()
		return nil, errors.New("the driver takes no callback")
	}
	if err := in.OpenPort(i, "stillhand"); err != nil {
		in.Close()
		return nil, errors.New("the driver does not open it")
	}
	return rtHandle{in}, nil
}

type rtHandle struct{ in rtmidi.MIDIIn }

func (h rtHandle) close() { h.in.Close() }
