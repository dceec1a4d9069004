package midiin

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2"
)

func decode(b []byte) (ms [][3]byte) {
	var d decoder
	for _, c := range b {
		if m, ok := d.push(c); ok {
			ms = append(ms, m)
		}
	}
	return ms
}

func TestDecoder_FollowsMIDI10(t *testing.T) {
	t.Parallel()
	// MIDI 1.0 Detailed Specification 4.2.1: running status, real-time messages,
	// what ends system exclusive data, undefined status bytes.
	for name, c := range map[string]struct {
		in   string
		want [][3]byte
	}{
		"every kind":                    {"902850 802840 A02811 B00703 C021 D022 E00040", [][3]byte{{0x90, 40, 80}, {0x80, 40, 64}, {0xA0, 40, 17}, {0xB0, 7, 3}, {0xC0, 33, 0}, {0xD0, 34, 0}, {0xE0, 0, 64}}},
		"running status":                {"902850 2800 2950", [][3]byte{{0x90, 40, 80}, {0x90, 40, 0}, {0x90, 41, 80}}},
		"running status of one byte":    {"C02122", [][3]byte{{0xC0, 33, 0}, {0xC0, 34, 0}}},
		"real time anywhere":            {"F8 90 F8 28 FE 50 FF 28 FA 00", [][3]byte{{0x90, 40, 80}, {0x90, 40, 0}}},
		"a status inside a message":     {"9028 902950", [][3]byte{{0x90, 41, 80}}},
		"system exclusive in a message": {"9028F0 7E7F0901F7 2850", nil},
		"system exclusive ends running": {"902850 F07EF7 2950 902A50", [][3]byte{{0x90, 40, 80}, {0x90, 42, 80}}},
		"real time in system exclusive": {"F07E F8 09F7 902850", [][3]byte{{0x90, 40, 80}}},
		"system exclusive cut off":      {"F07E7F 902850", [][3]byte{{0x90, 40, 80}}},
		"system common ends running":    {"902850 F20102 2950 F6 2950 F101 2950 F301 2950", [][3]byte{{0x90, 40, 80}}},
		"undefined status":              {"902850 F4 2950 F5 2950", [][3]byte{{0x90, 40, 80}}},
		"an end of exclusive by itself": {"F7 902850", [][3]byte{{0x90, 40, 80}}},
		"data before any status":        {"2850 902950", [][3]byte{{0x90, 41, 80}}},
	} {
		assert.Equal(t, c.want, decode(unhex(t, c.in)), name)
	}
}

func TestDecoder_AgreesWithGomidiOnWholeMessages(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 3))
	var in []byte
	var want [][3]byte
	for range 5000 {
		ch, a, b := uint8(rng.IntN(16)), uint8(rng.IntN(128)), uint8(rng.IntN(128))
		m := []midi.Message{midi.NoteOn(ch, a, b), midi.NoteOff(ch, a), midi.ControlChange(ch, a, b), midi.ProgramChange(ch, a),
			midi.AfterTouch(ch, a), midi.PolyAfterTouch(ch, a, b), midi.Pitchbend(ch, int16(a)*64)}[rng.IntN(7)]
		in = append(in, m...)
		var x [3]byte
		copy(x[:], m)
		want = append(want, x)
	}
	assert.Equal(t, want, decode(in))
}

// chunks is a reader that returns its parts one by one.
type chunks struct{ parts [][]byte }

func (c *chunks) Read(b []byte) (int, error) {
	if len(c.parts) == 0 {
		return 0, io.EOF
	}
	n := copy(b, c.parts[0])
	c.parts = c.parts[1:]
	return n, nil
}

func (c *chunks) Close() error { return nil }

func TestStream_ReadsAlikeHoweverItIsSplit(t *testing.T) {
	t.Parallel()
	in := unhex(t, "902850 2800 F8 91 29 FE 50 F07E7F0901F7 E00040 9028 C021 F20102 B00703 2850")
	want := decode(in)
	for i := range in {
		for j := i; j < len(in); j++ {
			s := NewStream("split", &chunks{[][]byte{bytes.Clone(in[:i]), bytes.Clone(in[i:j]), bytes.Clone(in[j:])}})
			var got [][3]byte
			require.NoError(t, s.Run(context.Background(), func(e Event) { got = append(got, e.Data) }))
			require.Equal(t, want, got, "split at %d and %d", i, j)
		}
	}
}

func TestStream_KeepsSourceContract(t *testing.T) {
	t.Parallel()
	var w *io.PipeWriter
	CheckSource(t, func(*testing.T) Source {
		var r *io.PipeReader
		r, w = io.Pipe()
		return NewStream("pipe", r)
	}, func(t *testing.T) {
		_, err := w.Write([]byte{0x90, 40, 80})
		require.NoError(t, err)
		require.NoError(t, w.Close())
	}, true)
}

func TestStream_LosesNothingToASlowListener(t *testing.T) {
	t.Parallel()
	// More than fits between reader and listener, who begins to listen only when
	// everything has been sent that can be.
	n := 3 * arrivalsBuffer
	in := bytes.Repeat([]byte{0x90, 40, 80}, n)
	got, gate := 0, make(chan struct{})
	r := &gated{Reader: bytes.NewReader(in), at: arrivalsBuffer * 3 / 2, gate: gate}
	s := NewStream("slow", r)
	require.NoError(t, s.Run(context.Background(), func(Event) {
		<-gate
		got++
	}))
	assert.Equal(t, n, got)
}

// gated opens its gate once at bytes have been read.
type gated struct {
	*bytes.Reader
	at   int
	gate chan struct{}
}

func (g *gated) Read(b []byte) (int, error) {
	n, err := g.Reader.Read(b)
	if before := g.at; before > 0 {
		if g.at -= n; g.at <= 0 {
			close(g.gate)
		}
	}
	return n, err
}

func (g *gated) Close() error { return nil }

func TestStream_ErrorNamesTheSource(t *testing.T) {
	t.Parallel()
	r, w := io.Pipe()
	run := start(t, NewStream("the cable", r))
	require.NoError(t, w.CloseWithError(errors.New("broken")))
	assert.EqualError(t, run.end(), "the cable: cannot be read: broken")
}

func TestOpenStream_RefusesInOneLine(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	file := filepath.Join(dir, "take.mid")
	require.NoError(t, os.WriteFile(file, []byte("MThd"), 0o600))
	for path, want := range map[string]string{
		dir:                      "is a directory: name a port, a MIDI device or a FIFO",
		file:                     "is a file, not a live input: use replay or review",
		filepath.Join(dir, "no"): "name a port, a MIDI device or a FIFO",
	} {
		_, err := OpenStream(path)
		require.Error(t, err)
		assert.Contains(t, err.Error(), path)
		assert.Contains(t, err.Error(), want)
		assert.NotContains(t, err.Error(), "\n")
	}
	s, err := OpenStream("-")
	require.NoError(t, err)
	assert.Equal(t, "standard input", s.Name())
}

func TestStream_OnlyPipesWait(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		source Source
		waits  bool
	}{{NewStream("pipe", &chunks{}), true}, {NewWireSource("fifo", true, nil), true}, {NewWireSource("device", false, nil), false}} {
		assert.Equal(t, c.waits, c.source.(Waiter).Waits(), c.source.Name())
	}
	_, ok := Source(newPortSource(&rig{t: t}, "Bass")).(Waiter)
	assert.False(t, ok)
}

func TestFile_KeepsSourceContract(t *testing.T) {
	t.Parallel()
	CheckSource(t, func(t *testing.T) Source {
		f, err := ReadFile("a.mid", unhex(t, exampleFormat1), FileOptions{})
		require.NoError(t, err)
		return f
	}, nil, true)
}

// paced is a reader whose second part arrives a while after the first was taken;
// when both were, it opens the gate.
type paced struct {
	chunks
	gate  chan struct{}
	reads int
}

const pace = 5 * time.Millisecond

func (p *paced) Read(b []byte) (int, error) {
	switch p.reads++; p.reads {
	case 2:
		for begin := time.Now(); time.Since(begin) < pace; {
			runtime.Gosched()
		}
	case 3:
		close(p.gate)
	}
	return p.chunks.Read(b)
}

func TestStream_StampsArrivalNotDelivery(t *testing.T) {
	t.Parallel()
	// The listener takes the first event only when the second has arrived too.
	r := &paced{chunks: chunks{[][]byte{{0x90, 40, 80}, {0x80, 40, 0}}}, gate: make(chan struct{})}
	var at []time.Duration
	require.NoError(t, NewStream("stamps", r).Run(context.Background(), func(e Event) {
		<-r.gate
		at = append(at, e.At)
	}))
	require.Len(t, at, 2)
	assert.GreaterOrEqual(t, at[1]-at[0], pace)
}

// The sitting counts from Run too.
func TestPathSource_CountsFromRunHoweverLongOpeningTakes(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		s := NewWireSource("slow", false, func() (Wire, error) {
			time.Sleep(3 * time.Second)
			return &oneNote{end: make(chan struct{})}, nil
		})
		ctx, stop := context.WithCancel(t.Context())
		var at time.Duration
		require.NoError(t, s.Run(ctx, func(e Event) {
			at = e.At
			stop()
		}))
		assert.Equal(t, 3*time.Second, at)
	})
}

// oneNote is a wire that brings one note.
type oneNote struct {
	told bool
	end  chan struct{}
}

func (w *oneNote) Read(b []byte) (int, error) {
	if !w.told {
		w.told = true
		return copy(b, []byte{0x90, 40, 80}), nil
	}
	<-w.end
	return 0, ErrGone
}
func (w *oneNote) Cancel() { close(w.end) }
func (w *oneNote) Close()  {}
