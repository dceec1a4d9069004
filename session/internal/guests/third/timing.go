package third

import (
	"math"
	"time"

	"stillhand/session/internal/players"
)

// moving is the time that the way between two positions takes this time.
func (p *player) moving(mm float64) float64 {
	t := p.touch.leave + p.touch.perRoot*math.Sqrt(mm)
	return t * math.Exp(0.18*p.r.NormFloat64())
}

// perform strikes and releases the notes of a score.
func (p *player) perform(score []step) []players.Hit {
	on := p.onsets(score)
	hits := make([]players.Hit, len(score))
	manner, phrase := plain, -1
	for i, s := range score {
		if s.phrase != phrase {
			phrase = s.phrase
			manner = p.newManner()
		}
		next := on[i] + 1
		if i+1 < len(score) {
			next = on[i+1]
		}
		off := p.release(score, on, i, next, manner)
		off = max(off, on[i]+0.028)
		for j := i + 1; j < min(i+3, len(score)); j++ { // a string sounds one note
			if score[j].place.String == s.place.String {
				off = min(off, on[j]-0.001)
				break
			}
		}
		loud := p.touch.loud + 5*p.r.NormFloat64()
		if at := math.Mod(s.beat, 1); at < 0.01 || at > 0.99 {
			loud += p.touch.accent
		}
		if i > 0 && s.slid {
			loud -= 12
		}
		hits[i] = players.Hit{
			On: seconds(on[i]), Off: seconds(off), Place: s.place, Position: s.pos,
			Velocity: min(max(int(loud), 12), 127), Slid: s.slid,
		}
	}
	return hits
}

// onsets is when each note sounds. Two noises: the beat that is felt wanders
// and its error stays; the finger's error does not reach the next note.
func (p *player) onsets(score []step) []float64 {
	t := &p.touch
	on := make([]float64, len(score))
	bpm, drift, felt := t.bpm, 0.0, 0.5
	for i, s := range score {
		if i > 0 {
			before := score[i-1]
			beats := swung(s.beat, t.swing) - swung(before.beat, t.swing)
			if s.phrase != before.phrase {
				if p.chance(t.sections) {
					bpm = t.bpm * p.between(0.78, 1.28)
				}
				beats *= 1 + t.broaden*p.r.Float64()
			}
			drift = 0.97*drift + t.wander*p.r.NormFloat64()*math.Sqrt(beats)
			felt += beats * 60 / (bpm * (1 + drift))
			felt += t.clock * p.r.NormFloat64() * math.Sqrt(min(beats, 2))
		}
		on[i] = felt + t.motor*p.r.NormFloat64()
		if i == 0 {
			continue
		}
		// A hand that has too little time comes late, and catches up.
		before := score[i-1]
		if before.pos != s.pos && before.place.Fret != 0 && !s.slid {
			need := t.leave + t.perRoot*math.Sqrt(p.travel(before.pos, s.pos))
			if have := 0.6 * (on[i] - on[i-1]); need > have {
				on[i] += t.late * (need - have)
			}
		}
		on[i] = max(on[i], on[i-1]+0.062)
		felt = max(felt, on[i]-0.08)
	}
	return on
}

// swung delays what falls on the second eighth of a beat.
func swung(beat, by float64) float64 {
	whole := math.Floor(beat + 0.001)
	at := beat - whole
	if at < 0.5 {
		return whole + at*(0.5+by)/0.5
	}
	return whole + 0.5 + by + (at-0.5)*(0.5-by)/0.5
}

// release is when note i is let go.
func (p *player) release(score []step, on []float64, i int, next float64, manner int) float64 {
	t, s, r := &p.touch, score[i], p.r
	room := next - on[i]
	if i+1 == len(score) {
		return on[i] + room*t.hold
	}
	n := score[i+1]
	share := min(s.length/max(n.beat-s.beat, 0.01), 1) // below 1: a rest is written
	written := room * share
	half := func(x float64) float64 { return x * math.Abs(r.NormFloat64()) }
	if n.slid {
		return next - 0.001
	}

	// What the phrase asks, were the hand to stay.
	var off float64
	switch {
	case manner == staccato:
		off = on[i] + max(0.05, min(written*t.short*math.Exp(0.12*r.NormFloat64()), 0.3))
	case share < 0.93:
		off = on[i] + written*min(1.03, t.hold+0.03+0.06*r.NormFloat64())
	case manner == legato:
		off = next - 0.004 + 0.004*r.NormFloat64()
	default:
		off = on[i] + room*min(0.995, t.hold*math.Exp(0.05*r.NormFloat64()))
	}
	// What the fingers ask.
	joined := manner != staccato && share >= 0.93
	switch {
	case n.place == s.place: // plucked again
		off = min(off, next-t.plant*(0.6+0.8*r.Float64()))
	case n.place.String == s.place.String:
		if n.place.Fret < s.place.Fret { // lifted off to what lies ready below
			off = min(off, next-half(0.008))
		} else if manner != legato {
			off = min(off, next-half(t.plant/2))
		} else {
			off = min(off, next-half(0.003))
		}
	case s.place.Fret == 0 && joined: // another string, nothing holds it back
		off = max(off, next+t.ring*r.Float64()-half(0.01))
	case n.place.Fret == s.place.Fret && n.pos == s.pos && s.place.Fret > 0:
		if !p.chance(t.barre) {
			off = min(off, next-t.hop*math.Exp(0.25*r.NormFloat64()))
		}
	case manner == legato && joined:
		off = next + t.over*r.NormFloat64() + t.over/2
	}
	// What the move asks. An open string sounds on while the hand travels.
	if n.pos != s.pos && s.place.Fret != 0 {
		way := p.moving(p.travel(s.pos, n.pos))
		// Short of time the hand hurries, and gives up some of the note.
		if most := room * 0.62; way > most {
			way = most + 0.25*min(way-most, room*0.4)
		}
		gone := next - way
		if p.chance(t.early) && room > 0.25 {
			gone -= (room - way) * p.between(0.05, 0.45)
		}
		off = min(off, gone)
	}
	return min(off, next+0.09)
}

func seconds(t float64) time.Duration {
	return time.Duration(t*1e6) * time.Microsecond
}
