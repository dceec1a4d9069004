//go:build rtmidi

package midiin

import (
	"errors"
	"os"
	"runtime"
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

// sequencer is ALSA's, through which RtMidi finds ports on Linux.
const sequencer = "/dev/snd/seq"

var errNoService = errors.New("the system's MIDI service does not answer (on Linux it needs the sequencer " + sequencer + ": load snd-seq)")

func (s *rtSystem) names() ([]string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.probe == nil {
		// Where there is no sequencer, RtMidi and ALSA print to standard error:
		// look before asking.
		if _, err := os.Stat(sequencer); runtime.GOOS == "linux" && err != nil {
			return nil, errNoService
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

func outputs() outputSystem { return rtOutputs{} }

// rtOutputs are the same systems' outputs.
type rtOutputs struct{}

func (rtOutputs) names() ([]string, error) {
	out, err := rtmidi.NewMIDIOutDefault()
	if err != nil {
		return nil, errNoService
	}
	defer out.Close()
	n, err := out.PortCount()
	if err != nil {
		return nil, errNoService
	}
	names := make([]string, n)
	for i := range names {
		names[i], _ = out.PortName(i) // a port that left meanwhile has none
	}
	return names, nil
}

func (rtOutputs) open(i int) (output, error) {
	out, err := rtmidi.NewMIDIOutDefault()
	if err != nil {
		return nil, errNoService
	}
	if err := out.OpenPort(i, "stillhand"); err != nil {
		out.Close()
		return nil, errors.New("the driver does not open it")
	}
	return rtOutput{out}, nil
}

type rtOutput struct{ out rtmidi.MIDIOut }

func (o rtOutput) send(message []byte) { _ = o.out.SendMessage(message) } // a lost click is a lost click
func (o rtOutput) close()              { o.out.Close() }
