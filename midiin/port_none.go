//go:build !rtmidi

package midiin

import "errors"

// PortsHint says what this build lacks and what to do about it.
func PortsHint() string {
	return "this build reads files, raw devices and FIFOs only: for all ports of the system build with -tags rtmidi"
}

func system() portSystem { return noSystem{} }

// noSystem has no ports.
type noSystem struct{}

func (noSystem) names() ([]string, error) { return nil, nil }

func (noSystem) open(int, func([]byte)) (portHandle, error) {
	return nil, errors.New("this build has no system ports")
}

func outputs() outputSystem { return noOutputs{} }

// noOutputs has no outputs.
type noOutputs struct{}

func (noOutputs) names() ([]string, error) { return nil, nil }

func (noOutputs) open(int) (output, error) {
	return nil, errors.New("this build has no system ports")
}
