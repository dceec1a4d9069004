package midiin

import "time"

// Wire is an open device or FIFO of a test.
type Wire interface {
	Read([]byte) (int, error)
	Cancel()
	Close()
}

// ErrGone says that a device is no longer there, or that a FIFO's writer left.
var ErrGone = errGone

// NewWireSource is what OpenStream makes of a path, on a wire that open opens.
func NewWireSource(name string, fifo bool, open func() (Wire, error)) Source {
	return &pathSource{path: name, fifo: fifo, retry: retryEvery, arrivals: newArrivals(), open: func(string, bool) (byteReader, error) {
		w, err := open()
		return wire{w}, err
	}}
}

type wire struct{ w Wire }

func (w wire) read(b []byte) (int, error) { return w.w.Read(b) }
func (w wire) until(end time.Time) {
	if !end.IsZero() && end.Before(time.Now()) {
		w.w.Cancel()
	}
}
func (w wire) close() { w.w.Close() }
