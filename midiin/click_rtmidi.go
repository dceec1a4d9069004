//go:build rtmidi

package midiin

import (
	"errors"

	"gitlab.com/gomidi/midi/v2/drivers/rtmididrv/imported/rtmidi"
)

func outputs() outputSystem { return rtOutputs{} }

// rtOutputs are the same systems' outputs.
type rtOutputs struct{}

func (rtOutputs) names() ([]string, error) {
	if err := service(); err != nil {
		return nil, err
	}
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
