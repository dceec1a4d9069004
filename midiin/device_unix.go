//go:build unix

package midiin

import (
	"errors"
	"fmt"
	"os"
	"syscall"
	"time"
)

func openPath(path string, fifo bool) (Source, error) {
	return &pathSource{path: path, fifo: fifo, open: openDevice, retry: retryEvery, arrivals: newArrivals()}, nil
}

// device is a file read without blocking: the runtime's poller waits, so that
// a deadline can end the waiting, and so that one descriptor lasts over a
// FIFO's writers (closing it between two of them would lose the second's
// bytes).
type device struct {
	file    *os.File
	conn    syscall.RawConn
	fifo    bool
	writing bool // a FIFO has a writer
}

func openDevice(path string, fifo bool) (byteReader, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	switch {
	case errors.Is(err, syscall.EBUSY):
		return nil, fmt.Errorf("%s: is in use: close the program that reads it", path)
	case errors.Is(err, os.ErrPermission):
		return nil, fmt.Errorf("%s: no permission to read: join the group that owns the device (often audio)", path)
	case err != nil:
		return nil, fmt.Errorf("%s: cannot be opened: %w: name another device, a FIFO or a port", path, reason(err))
	}
	conn, err := f.SyscallConn()
	if err != nil {
		f.Close()
		return nil, fmt.Errorf("%s: %w", path, reason(err))
	}
	return &device{file: f, conn: conn, fifo: fifo}, nil
}

func (d *device) read(b []byte) (n int, err error) {
	wait := d.conn.Read(func(fd uintptr) (done bool) {
		for {
			n, err = syscall.Read(int(fd), b)
			if err != syscall.EINTR {
				break
			}
		}
		n = max(n, 0)
		switch {
		case err == syscall.EAGAIN:
			return d.fifo && !d.writing // only with a writer there is something to wait for
		case err == nil && n == 0 && d.fifo && !d.writing:
			return false // no writer yet: wait for one
		}
		return true
	})
	switch {
	case wait != nil:
		return 0, wait
	case err == syscall.EAGAIN, err == nil && n > 0:
		d.writing = true
		return n, nil
	case err == nil || err == syscall.ENODEV || err == syscall.EIO || err == syscall.ENXIO:
		d.writing = false
		return 0, errGone
	}
	return n, err
}

func (d *device) until(end time.Time) { d.file.SetReadDeadline(end) }

func (d *device) close() { d.file.Close() }
