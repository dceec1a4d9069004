package report

import (
	"encoding/json"
	"io"
	"testing"

	"stillhand/session"
)

// BenchmarkJSON shows what the encoder is worth: ns a note by it and by
// encoding/json, which would neither round nor lay out lines.
func BenchmarkJSON(b *testing.B) {
	r := sample()
	for len(r.Notes) < 10_000 {
		r.Notes = append(r.Notes, r.Notes...)
	}
	perNote := func(b *testing.B, write func(*session.Review) error) {
		b.ReportAllocs()
		for b.Loop() {
			if err := write(r); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(r.Notes)), "ns/note")
	}
	b.Run("own", func(b *testing.B) {
		perNote(b, func(r *session.Review) error { return JSON(io.Discard, r) })
	})
	b.Run("encoding", func(b *testing.B) {
		perNote(b, func(r *session.Review) error { return json.NewEncoder(io.Discard).Encode(r) })
	})
}
