package midiin

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"
)

// retryEvery is how often a device or writer that vanished is looked for, and how
// long it has to stay, if nothing comes of it, to be back: often enough that coming
// back is noticed within the two seconds that a player waits.
const retryEvery = 500 * time.Millisecond

// readSize is how many bytes one read takes: more than a MIDI cable carries in
// a second.
const readSize = 4096

// NewStream makes a source of raw MIDI bytes from r, read until its end. Run
// closes r. Reading may outlast a cancelled Run if closing does not end it (as
// with standard input); what it reads then is dropped.
func NewStream(name string, r io.ReadCloser) Source { return &stream{name: name, reader: r} }

// OpenStream makes a source of the raw MIDI bytes at path: a device such as
// /dev/snd/midiC1D0, a FIFO, or - for standard input. A device that vanishes is
// looked for at the same path, and so is the next writer of a FIFO; the end of
// standard input ends the source. Errors name the path and what to do.
func OpenStream(path string) (Source, error) {
	if path == "-" {
		return NewStream("standard input", os.Stdin), nil
	}
	info, err := os.Stat(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w: name a port, a MIDI device or a FIFO", path, reason(err))
	}
	switch mode := info.Mode(); {
	case mode.IsDir():
		return nil, fmt.Errorf("%s: is a directory: name a port, a MIDI device or a FIFO", path)
	case mode.IsRegular():
		return nil, fmt.Errorf("%s: is a file, not a live input: use replay or review", path)
	case mode&os.ModeNamedPipe == 0 && mode&os.ModeCharDevice == 0:
		return nil, fmt.Errorf("%s: is neither a MIDI device nor a FIFO: name one, or a port", path)
	}
	return openPath(path, info.Mode()&os.ModeNamedPipe != 0)
}

// stream is a source that reads once, to the end.
type stream struct {
	name   string
	reader io.ReadCloser
}

func (s *stream) Name() string { return s.name }

func (s *stream) Waits() bool { return true }

func (s *stream) Run(ctx context.Context, emit func(Event)) error {
	a := newArrivals()
	a.begin()
	done := make(chan error, 1)
	go func() { done <- s.read(ctx, a) }()
	defer s.reader.Close()
	for {
		select {
		case e := <-a.events:
			emit(e)
		case <-ctx.Done():
			a.drain(emit)
			return nil
		case err := <-done:
			a.drain(emit)
			if err != nil && ctx.Err() == nil {
				return fmt.Errorf("%s: cannot be read: %w", s.name, reason(err))
			}
			return nil
		}
	}
}

// read reads to the end, or until ctx is done.
func (s *stream) read(ctx context.Context, a *arrivals) (err error) {
	defer catch(&err)
	var d decoder
	buf := make([]byte, readSize)
	for {
		n, err := s.reader.Read(buf)
		a.bytes(ctx, &d, buf[:n], a.put)
		if ctx.Err() != nil || err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// bytes decodes what one read brought; all of it arrived at the same moment.
func (a *arrivals) bytes(ctx context.Context, d *decoder, b []byte, take func(context.Context, Event)) {
	at := a.now()
	for _, c := range b {
		if msg, ok := d.push(c); ok {
			take(ctx, Event{At: at, Kind: Message, Data: msg})
		}
	}
}

// errGone says that a device is no longer there, or that a FIFO's writer left.
var errGone = errors.New("gone")

// pathSource is a device or FIFO that may vanish and come back.
type pathSource struct {
	path  string
	fifo  bool
	open  func(path string, fifo bool) (byteReader, error)
	retry time.Duration
	*arrivals
}

// byteReader is an open device or FIFO. read waits for bytes; it returns
// errGone when the device or the writer has left. For a FIFO reading goes on
// afterwards: the next read waits for the next writer, and returns no bytes and
// no error if it finds one that has sent nothing yet. A read waits no longer than
// until says, for ever with the zero time, and then returns os.ErrDeadlineExceeded.
type byteReader interface {
	read([]byte) (int, error)
	until(time.Time)
	close()
}

func (p *pathSource) Name() string { return filepath.Base(p.path) }

func (p *pathSource) Waits() bool { return p.fifo }

func (p *pathSource) Run(ctx context.Context, emit func(Event)) error {
	p.begin()
	r, err := p.open(p.path, p.fifo)
	if err != nil {
		return err
	}
	done := make(chan error, 1)
	go func() { done <- p.follow(ctx, r) }()
	for {
		select {
		case e := <-p.events:
			emit(e)
		case err := <-done:
			p.drain(emit)
			return err
		}
	}
}

// follow reads until ctx is done, over every gap.
func (p *pathSource) follow(ctx context.Context, r byteReader) (err error) {
	defer catch(&err)
	take := p.offer
	if p.Waits() {
		take = p.put
	}
	var d decoder
	buf := make([]byte, readSize)
	gone := false  // and said to be
	there := false // while gone: open again. It counts once bytes come, or it stays so
	for {
		if gone { // a writer that opens a FIFO wakes nobody: look for one
			r.until(time.Now().Add(p.retry))
		}
		stop := context.AfterFunc(ctx, func() { r.until(time.Unix(1, 0)) })
		n, err := r.read(buf)
		stop()
		late := gone && errors.Is(err, os.ErrDeadlineExceeded)
		switch {
		case ctx.Err() != nil:
			r.close()
			return nil
		case gone && !there && err == nil && n == 0:
			there = true
			continue
		case late && !there:
			continue
		case late, err == nil:
			if gone {
				gone, there = false, false
				r.until(time.Time{})
				p.put(ctx, Event{At: p.now(), Kind: Found, Text: p.Name()})
			}
			p.bytes(ctx, &d, buf[:n], take)
			continue
		case !errors.Is(err, errGone):
			r.close()
			return fmt.Errorf("%s: cannot be read: %w", p.path, reason(err))
		}
		d = decoder{}
		if !gone {
			p.put(ctx, Event{At: p.now(), Kind: Lost, Text: p.Name()})
		}
		gone, there = true, false
		if p.fifo { // read on: the next writer may be there
			continue
		}
		r.close()
		if r = p.reopen(ctx); r == nil {
			return nil
		}
		there = true
	}
}

// reopen tries the path until it opens, or ctx is done.
func (p *pathSource) reopen(ctx context.Context) byteReader {
	tick := time.NewTicker(p.retry)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-tick.C:
			if r, err := p.open(p.path, p.fifo); err == nil {
				return r
			}
		}
	}
}
