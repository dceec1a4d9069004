package midiin

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"time"
)

// Port is one MIDI input.
type Port struct {
	Number int    // as `ports` lists it, from 1
	Name   string // stable: without the numbers that change from one plugging to the next
	Path   string // of a raw device; "" for a port of the system's own MIDI service
}

// portSystem is the system's MIDI service, or a stand-in for it in tests.
type portSystem interface {
	// names lists the inputs in the system's order, as it calls them.
	names() ([]string, error)
	// open begins to listen to names()[i]. deliver gets whole messages, from one
	// thread at a time, and must return at once.
	open(i int, deliver func([]byte)) (portHandle, error)
}

// portHandle is an open input. Drivers crash when an input is closed while a
// message arrives, so one that is still connected is never closed: it goes idle,
// and opening it again wakes it.
type portHandle interface {
	idle() // nobody listens any more
	gone() // the system no longer has the port, so that nothing can arrive
}

// pollEvery is how often the system is asked whether the port is still there;
// systems do not say. Twice a second keeps the answer under two seconds even if
// one poll is late.
const pollEvery = 500 * time.Millisecond

// devicePattern is where Linux has raw MIDI devices.
const devicePattern = "/dev/snd/midiC*D*"

// Ports lists every MIDI input that this build can open, and on Linux the raw
// devices, which every build can. The list may be partial when err is not nil.
func Ports() ([]Port, error) {
	names, err := system().names()
	if err != nil {
		err = fmt.Errorf("the system's MIDI ports cannot be listed: %w", err)
	}
	return listPorts(names, devices()), err
}

func devices() []string {
	paths, _ := filepath.Glob(devicePattern) // the pattern is well formed
	return paths
}

func listPorts(names, paths []string) []Port {
	var ps []Port
	for _, n := range stableNames(names) {
		ps = append(ps, Port{Number: len(ps) + 1, Name: n})
	}
	for _, p := range paths {
		ps = append(ps, Port{Number: len(ps) + 1, Name: p, Path: p})
	}
	return ps
}

// What RtMidi adds to names to make them different changes with every plugging:
// with ALSA's sequencer the numbers of client and port, on Windows the port's
// place in the list.
var (
	clientAndPort = regexp.MustCompile(` \d+:\d+$`)
	placeInList   = regexp.MustCompile(` \d+$`)
)

// stableNames strips what changes from names, and numbers those that are then
// equal, in the system's order.
func stableNames(names []string) []string {
	numbering := clientAndPort
	if runtime.GOOS == "windows" {
		numbering = placeInList
	}
	stable := make([]string, len(names))
	seen := map[string]int{}
	for i, n := range names {
		n = strings.TrimSpace(numbering.ReplaceAllString(n, ""))
		if n == "" {
			n = "unnamed"
		}
		seen[n]++
		if seen[n] > 1 {
			n = fmt.Sprintf("%s (%d)", n, seen[n])
		}
		stable[i] = n
	}
	return stable
}

// OpenPort makes a source of the input that name tells: its number in Ports,
// its name, or a part of its name that no other has (letter case does not
// matter); "" is the only one that there is. The error of a name that tells
// none, or several, lists them.
func OpenPort(name string) (Source, error) {
	ports, err := Ports()
	p, e := matchPort(ports, name)
	if e != nil {
		if err != nil {
			e = fmt.Errorf("%w; %w", e, err)
		}
		return nil, e
	}
	if p.Path != "" {
		return OpenStream(p.Path)
	}
	return newPortSource(system(), p.Name), nil
}

func matchPort(ports []Port, name string) (Port, error) {
	switch {
	case strings.TrimSpace(name) != "":
		return match("input", ports, name)
	case len(ports) == 1:
		return ports[0], nil
	case len(ports) > 1:
		return Port{}, fmt.Errorf("there are several MIDI inputs: choose %s", choices(ports))
	}
	return Port{}, errors.New("no MIDI input found: plug one in, or name a device or FIFO path, or - for standard input" + lacks())
}

// match finds the port of kind, input or output, that name tells.
func match(kind string, ports []Port, name string) (Port, error) {
	name = strings.TrimSpace(name)
	if n, err := strconv.Atoi(name); err == nil {
		for _, p := range ports {
			if p.Number == n {
				return p, nil
			}
		}
	}
	var found []Port
	for _, p := range ports {
		if p.Name == name {
			return p, nil
		}
		if name != "" && strings.Contains(strings.ToLower(p.Name), strings.ToLower(name)) {
			found = append(found, p)
		}
	}
	if len(found) == 1 {
		return found[0], nil
	}
	why := fmt.Sprintf("no MIDI %s is called %q", kind, name)
	if len(found) > 1 {
		why, ports = fmt.Sprintf("%q fits several MIDI %ss", name, kind), found
	}
	if len(ports) == 0 {
		return Port{}, errors.New(why + ": none is connected" + lacks())
	}
	return Port{}, fmt.Errorf("%s: choose %s", why, choices(ports))
}

// choices names ports with their numbers.
func choices(ports []Port) string {
	named := make([]string, len(ports))
	for i, p := range ports {
		named[i] = fmt.Sprintf("%d %q", p.Number, p.Name)
	}
	return strings.Join(named, ", ")
}

// lacks is PortsHint as the end of an error.
func lacks() string {
	if h := PortsHint(); h != "" {
		return "; " + h
	}
	return ""
}

// portSource listens to a port by its stable name, over unplugging.
type portSource struct {
	sys  portSystem
	name string
	poll <-chan time.Time // nil for pollEvery
	*arrivals
	crash atomic.Pointer[error] // the first one on the driver's thread
}

func newPortSource(sys portSystem, name string) *portSource {
	return &portSource{sys: sys, name: name, arrivals: newArrivals()}
}

func (p *portSource) Name() string { return p.name }

// connection is one opening of a port.
type connection struct {
	raw    string // the system's name, numbers and all
	handle portHandle
	shut   atomic.Bool // nothing is delivered any more
}

func (p *portSource) Run(ctx context.Context, emit func(Event)) error {
	p.begin()
	emit = inOrder(emit)
	c, err := p.connect()
	if err != nil {
		return err
	}
	poll := p.poll
	if poll == nil {
		t := time.NewTicker(pollEvery)
		defer t.Stop()
		poll = t.C
	}
	for {
		select {
		case e := <-p.events:
			emit(e)
		case <-ctx.Done():
			if c != nil {
				c.shut.Store(true)
				c.handle.idle()
			}
			p.drain(emit)
			if crash := p.crash.Load(); crash != nil {
				return *crash
			}
			return nil
		case <-poll:
			if c != nil && p.present(c.raw) {
				continue
			}
			if c != nil {
				c.shut.Store(true)
				c.handle.gone()
				c = nil
				p.drain(emit)
				emit(Event{At: p.now(), Kind: Lost, Text: p.name})
			}
			if c, err = p.connect(); err != nil {
				c = nil
				continue
			}
			emit(Event{At: p.now(), Kind: Found, Text: p.name})
		}
	}
}

// present reports whether the system still has a port. Not to be able to ask
// is no sign that it left.
func (p *portSource) present(raw string) bool {
	names, err := p.sys.names()
	return err != nil || slices.Contains(names, raw)
}

// connect opens the port by its stable name.
func (p *portSource) connect() (*connection, error) {
	names, err := p.sys.names()
	if err != nil {
		return nil, fmt.Errorf("port %q: the system's MIDI ports cannot be listed: %w", p.name, err)
	}
	i := slices.Index(stableNames(names), p.name)
	if i < 0 {
		return nil, fmt.Errorf("port %q is not connected: plug it in, or choose another with ports", p.name)
	}
	c := &connection{raw: names[i]}
	c.handle, err = p.sys.open(i, func(b []byte) { p.deliver(c, b) })
	if err != nil {
		return nil, fmt.Errorf("port %q cannot be opened: %w: close the program that uses it", p.name, err)
	}
	return c, nil
}

// deliver runs on the driver's thread: it must not wait, and must not panic. A
// message that makes it panic is counted as lost, and playing goes on: Run
// returns the first such panic at its end.
func (p *portSource) deliver(c *connection, b []byte) {
	var crash error
	defer func() {
		if crash != nil {
			p.lost.Add(1)
			p.crash.CompareAndSwap(nil, &crash)
		}
	}()
	defer catch(&crash)
	if c.shut.Load() {
		return
	}
	p.bytes(context.Background(), new(decoder), b, p.offer)
}
