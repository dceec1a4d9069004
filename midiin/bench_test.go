package midiin

import (
	"bytes"
	"context"
	"testing"
	"time"

	"gitlab.com/gomidi/midi/v2/smf"
)

// Figures of speed:
//
//	go test ./midiin -run none -bench . -benchmem

func BenchmarkFile_MillionNotes(b *testing.B) {
	data := manyNotes(1_000_000)
	b.Run("midiin", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		b.ReportAllocs()
		for b.Loop() {
			f, err := ReadFile("many.mid", data, FileOptions{})
			if err != nil {
				b.Fatal(err)
			}
			n := 0
			if f.Run(context.Background(), func(Event) { n++ }); n != 2_000_001 {
				b.Fatal(n)
			}
		}
	})
	b.Run("gomidi", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		b.ReportAllocs()
		for b.Loop() {
			if _, err := smf.ReadFrom(bytes.NewReader(data)); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// silent is a Listener that does nothing.
type silent struct{}

func (silent) Note(Note)                  {}
func (silent) Release(int, time.Duration) {}
func (silent) Drop(Dropped)               {}
func (silent) StringsFound(StringMap)     {}

func BenchmarkCleaner_Note(b *testing.B) {
	for name, mode := range map[string]Mode{"pickup": Pickup, "auto": Auto, "keyboard": Keyboard} {
		b.Run(name, func(b *testing.B) {
			es := newPickup(1).play(5000)
			struck := 0
			for _, e := range es {
				if e.kind != "" {
					struck++
				}
			}
			c := NewCleaner(CleanerOptions{Open: bass4, Frets: 22, Mode: mode}, silent{})
			length := es[len(es)-1].At
			at := time.Duration(0)
			i := 0
			run := func() {
				for _, e := range es {
					e.At += at
					c.Event(e.Event)
				}
				at += length
			}
			run() // what strings there are is found
			b.ReportAllocs()
			for b.Loop() {
				run()
				i++
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(i*struck), "ns/note")
		})
	}
}

func BenchmarkStream_Message(b *testing.B) {
	var d decoder
	msg := []byte{0x90, 40, 80, 40, 0}
	b.ReportAllocs()
	for b.Loop() {
		for _, c := range msg {
			d.push(c)
		}
	}
}
