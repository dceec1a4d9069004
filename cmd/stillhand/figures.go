package main

import (
	"context"
	"fmt"
	"path/filepath"

	"stillhand/coach"
	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/store"
)

// figuresMethod names the computation of takeFigures; a change of it makes an
// interrupted rebuild begin anew. A migration that sets takes.generation to 0 has
// what was computed before computed again.
const figuresMethod = "9"

// takeFigures computes what the history keeps of the take at path, from the
// take alone, so that a rebuild gives the same.
func takeFigures(ctx context.Context, path string) (store.TakeFigures, error) {
	rec, err := session.OpenRecording(path, midiin.FileOptions{})
	if err != nil {
		return store.TakeFigures{}, err
	}
	start, err := rec.Started()
	if err != nil {
		return store.TakeFigures{}, err
	}
	setup, err := setupOf(rec)
	if err != nil {
		return store.TakeFigures{}, err
	}
	setup.Habits, _ = rec.Habits()
	r, err := rec.Review(ctx, setup)
	if err != nil {
		return store.TakeFigures{}, err
	}
	f := figuresOf(r)
	f.Start, f.Length = start, rec.File.Length()
	return f, nil
}

// figuresFor are the figures of the take at path. One whose review crashes, or
// gives what is no number, fails alone.
func (w *world) figuresFor(ctx context.Context, path string) (f store.TakeFigures, err error) {
	defer session.Catch("the review of "+filepath.Base(path), &err)
	f, err = w.figures(ctx, path)
	if err == nil && !f.Finite() {
		err = fmt.Errorf("%s: it cannot be counted, a figure of it is no number: it is left out of the history; please report it, with the file", filepath.Base(path))
	}
	return f, err
}

// figuresOf are the figures that follow from a review.
func figuresOf(r *session.Review) store.TakeFigures {
	f := store.TakeFigures{
		Notes: r.Input.Notes, Fingers: r.Fingers, Likely: r.Count.Likely, AtLeast: r.Count.AtLeast, Looks: r.Looks,
		Declared: r.Changed, Played: session.Played(r.Notes), WidestMM: r.WidestMM, Wide: r.Wide,
	}
	for _, n := range r.Notes {
		if n.Fret == 0 {
			continue
		}
		if int(n.Fret) <= coach.LowTo {
			f.Low++
		}
		if int(n.Fret) >= coach.HighFrom {
			f.High++
		}
	}
	if f.Notes > 0 {
		f.Low /= float64(f.Notes)
		f.High /= float64(f.Notes)
	}
	for _, s := range coach.Systems {
		g := r.Systems[s.Name]
		f.Systems = append(f.Systems, store.SystemFigures{
			System: s.Name, Fewest: g.Fewest, AsYouGo: g.AsYouGo, Travel: g.TravelFrets, LeastTravel: g.LeastTravelFrets, WidestMM: g.WidestMM,
		})
	}
	for _, at := range r.Regions {
		f.Regions = append(f.Regions, store.Region{Position: at.Position, Notes: at.Notes, Four: at.Four, Three: at.Three})
	}
	return f
}
