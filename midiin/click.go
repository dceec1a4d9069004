package midiin

import (
	"fmt"
	"slices"
)

// outputSystem is the outputs of the system's MIDI service, or a stand-in for
// them in tests.
type outputSystem interface {
	names() ([]string, error)   // as portSystem's
	open(i int) (output, error) // names()[i]
}

// output is an open MIDI output.
type output interface {
	send(message []byte)
	close()
}

// Click strikes the beat on a MIDI output: percussion on channel 10, with an
// accent for the first beat of a bar.
type Click struct {
	out     output
	strikes chan bool
	done    chan struct{}
	err     error // of run; for who waits for done
}

// Notes of the click: high and low wood block (General MIDI 1 percussion key
// map; from memory), on channel 10.
const (
	accentKey, beatKey = 76, 77
	accentVelocity     = 110
	beatVelocity       = 80
)

// OpenClick opens the output that name tells: its number in the list that an
// unknown name brings up, its name, or a part of it that no other has.
func OpenClick(name string) (*Click, error) { return openClick(outputs(), name) }

func openClick(sys outputSystem, name string) (*Click, error) {
	names, err := sys.names()
	if err != nil {
		return nil, fmt.Errorf("click: the system's MIDI ports cannot be listed: %w", err)
	}
	p, err := match("output", listPorts(names, nil), name)
	if err != nil {
		return nil, fmt.Errorf("click: %w", err)
	}
	out, err := sys.open(slices.Index(stableNames(names), p.Name))
	if err != nil {
		return nil, fmt.Errorf("click: port %q cannot be opened: %w", p.Name, err)
	}
	c := &Click{out: out, strikes: make(chan bool, 4), done: make(chan struct{})}
	go c.run()
	return c, nil
}

// Strike sounds a beat. It never waits: a beat that an output cannot take in
// time is left out.
func (c *Click) Strike(accent bool) {
	select {
	case c.strikes <- accent:
	default:
	}
}

// Close ends the click. Strike must not be called after it. Its error is a
// *CrashError, after which nothing was struck any more.
func (c *Click) Close() error {
	close(c.strikes)
	<-c.done
	return c.err
}

// run sends the strikes. Each ends the one before: a wood block needs no
// length, and other sounds then do not pile up.
func (c *Click) run() {
	defer close(c.done)
	defer catch(&c.err)
	defer c.out.close()
	last := byte(0)
	release := func() {
		if last != 0 {
			c.out.send([]byte{0x80 | percussion, last, 64})
		}
	}
	for accent := range c.strikes {
		release()
		key, velocity := byte(beatKey), byte(beatVelocity)
		if accent {
			key, velocity = accentKey, accentVelocity
		}
		c.out.send([]byte{0x90 | percussion, key, velocity})
		last = key
	}
	release()
}
