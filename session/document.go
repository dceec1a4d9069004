package session

import (
	"math"
	"slices"

	"stillhand/coach"
)

// Review is the document of everything kept so far; complete after End. name
// is the source as it is to be shown, track how a file's track was chosen, and
// warnings what the source had to say.
//
// The document shares the pipeline's notes, shifts and advice: the pipeline must not be fed after.
func (p *Pipeline) Review(name, track string, warnings []string) *Review {
	s := p.setup
	r := &Review{
		Format: "stillhand-review", Version: 1, Source: name,
		Neck:    ReviewNeck{Frets: s.Neck.Frets, ScaleMM: s.Neck.ScaleMM, Capo: s.Capo},
		Fingers: p.system.Name,
		Input: ReviewInput{
			Strings: "inferred", Channels: p.channels, Track: track, Notes: p.record.len(),
			Dropped:  make([]ReviewDropped, 0, len(p.dropped.kept)),
			Warnings: append(append([]string{}, warnings...), p.warnings.kept...),
		},
		Notes:   p.record.notes,
		Shifts:  p.record.shifts,
		Systems: make(map[string]ReviewSystem, len(coach.Systems)),
		Advice:  p.record.advice,
		Marks:   make([]ReviewMark, 0, len(p.marks.kept)),
	}
	for _, open := range s.Neck.Open {
		r.Neck.Strings = append(r.Neck.Strings, coach.PitchName(open))
	}
	r.Input.Anchors, r.Input.Slid, r.Input.OneTrack = p.anchors, p.slid, s.oneTrack
	r.WidestMM, r.Wide = p.stretch.widest, p.stretch.wide
	if declared := p.counter.fingers(); len(declared) > 1 {
		r.Changed = declared
	}
	if s.ReachMM > 0 {
		r.ReachMM = &s.ReachMM
	}
	if p.told {
		r.Input.Strings = "known"
	}
	for _, d := range p.dropped.kept {
		r.Input.Dropped = append(r.Input.Dropped, ReviewDropped{seconds(d.At), d.Pitch, string(d.Reason)})
	}
	r.Input.Warnings = slices.Concat(s.offNeckWarning(r), s.otherChannelsWarning(r), r.Input.Warnings)
	r.Input.Warnings = append(r.Input.Warnings, p.crowd.warning(r.Input.Notes)...)
	for _, m := range p.marks.kept {
		r.Marks = append(r.Marks, ReviewMark{seconds(m.at), m.text})
	}
	for i := range r.Shifts {
		sh := &r.Shifts[i]
		if n := int(sh.Note) - p.record.base; n > 0 {
			sh.GapMS = math.Round((r.Notes[n].At-r.Notes[n-1].Off)*1e4) / 10
		}
	}
	p.reviewCounts(r)
	for _, at := range p.regions.All() {
		r.Regions = append(r.Regions, ReviewRegion{at.Position, at.Notes, at.Four, at.Three})
	}
	for i := range r.Advice {
		r.Advice[i].To = p.record.get(r.Advice[i].LastNote).Off
	}
	if other, ok := p.tracker.Looks(); ok {
		r.Looks = other.Name
	}
	if p.told {
		r.Phrases = worthSettling(r.Notes, p.record.base)
	}
	return r
}

func (p *Pipeline) reviewCounts(r *Review) {
	c := p.counter
	r.Count = ReviewCount{AtLeast: c.atLeast(), Likely: c.likely(p.tracker), Fewest: c.own.Fewest().Shifts}
	for i, s := range coach.Systems {
		best := c.economy[i].Fewest()
		r.Systems[s.Name] = ReviewSystem{
			Fewest: best.Shifts, TravelFrets: best.Travel,
			LeastTravelFrets: c.economy[i].LeastTravel(), AsYouGo: c.asYouGo[i].Shifts(),
			WidestMM: best.WidestMM,
		}
	}
	m := c.mixed.Result()
	r.Mixed = ReviewMixed{Fewest: m.Fewest, TravelFrets: m.Travel, ThreeShare: rounded(m.ThreeShare), CrossoverFret: p.regions.Crossover()}
}
