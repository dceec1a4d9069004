package report

import (
	"fmt"
	"html/template"
	"math"

	"stillhand/coach"
	"stillhand/session"
)

// Room on the first printed page, in CSS pixels: Letter, the shorter of the two,
// less margins, title, and the heading and last line of what else is worth a look;
// and what a passage takes beside its pictures, and a piece of advice in words.
// Estimates: they decide whether a second passage is drawn and how much is told.
// What does not fit there does not fit on the second page either.
const (
	passageRoom  = 790.0
	headerLine   = 22.0
	lineLetters  = 95
	titleLetters = 50
	leadLine     = 27.0
	leadLetters  = 70
	leadLines    = 2 // that the room allows for
	passageHead  = 110.0
	cellRow      = 28.5
	cellsInRow   = 11
	toldLine     = 18.0
	toldLetters  = 110
)

// passage is one piece of advice with its pictures: the way played beside the
// way advised.
type passage struct {
	Where, Why      string
	Played, Advised way
}

// way is one of the two.
type way struct {
	Label   string
	Picture template.HTML
	Cells   []wayCell
}

// wayCell is one note of the line under a picture, in playing order.
type wayCell struct {
	Name, Finger, Place string
	Shift               bool // the hand moved to play it
	Unsure              bool
}

// passages are the advice that matters most, the first drawn always and the next
// where the page has room; then what else is worth a sentence and has room; then
// how many pieces are left out.
func passages(r *session.Review, neck coach.Neck, bars Bars, room float64) (drawn []passage, more []string, left int) {
	for _, a := range ranked(r) {
		where := capital(span(bars, a.From, lastOnset(r, a)))
		valid := a.FirstNote >= 0 && a.FirstNote <= a.LastNote && a.LastNote < len(r.Notes) && len(a.Path) > 0
		if valid && !beyondReach(a) && len(drawn) < mostPassages {
			p, height := drawPassage(fmt.Sprintf("p%d", len(drawn)+1), r, neck, a, where)
			if len(drawn) == 0 || height <= room {
				drawn = append(drawn, p)
				room -= height
				continue
			}
		}
		text := where + ": " + plain(a.Text)
		height := toldLine * float64(1+len(text)/toldLetters)
		if len(more) == mostToldMore || left > 0 || height > room {
			left++
			continue
		}
		more = append(more, text)
		room -= height
	}
	return drawn, more, left
}

func drawPassage(id string, r *session.Review, neck coach.Neck, a session.ReviewAdvice, where string) (p passage, height float64) {
	own, other := systemOf(r.Fingers), systemOf(a.System)
	doubt := map[int]bool{}
	for i := a.FirstNote; i <= a.LastNote; i++ {
		doubt[i] = fingerUnsure(r, r.Notes[i])
	}
	played := handPicture{id: id + "a", title: where + " as played", neck: neck, system: own,
		path: playedSteps(r, a.FirstNote, a.LastNote), stays: playedStays(r, a.FirstNote, a.LastNote), moves: movesIn(r, a.FirstNote, a.LastNote), unsure: doubt}
	advised := handPicture{id: id + "b", title: where + " as advised", neck: neck, system: other, path: steps(a.Path), advised: true}
	advised.stays, advised.moves = pathStays(advised.path), map[int]bool{}
	for _, st := range advised.stays[min(1, len(advised.stays)):] {
		advised.moves[st.first] = true
	}
	low, high := fretRange(neck, own.Width(), played.stays, played.path)
	low2, high2 := fretRange(neck, other.Width(), advised.stays, advised.path)
	low, high = min(low, low2), max(high, high2)
	played.low, played.high, advised.low, advised.high = low, high, low, high
	p = passage{
		Where: where, Why: plain(a.Text),
		Played:  way{playedLabel(played, a.ShiftsNow), played.draw(), cells(r, played)},
		Advised: way{fmt.Sprintf("As advised: %s, %s", times(float64(a.ShiftsThen), "shift"), fingersOf(a.System)), advised.draw(), cells(r, advised)},
	}
	rows := math.Ceil(float64(max(len(p.Played.Cells), len(p.Advised.Cells))) / cellsInRow)
	return p, passageHead + max(played.height(), advised.height()) + cellRow*rows
}

// playedLabel counts the shifts that the picture of what was played marks: the
// listed ones. now are those that the advice counts, which the notes may force
// without telling where.
func playedLabel(p handPicture, now int) string {
	marked := len(p.moves)
	text := "As played: " + times(float64(marked), "shift")
	if marked < now {
		text = fmt.Sprintf("As played: %s counted, %s marked", times(float64(now), "shift"), numeral(float64(marked)))
	}
	if within := marked - max(0, len(p.stays)-1); within > 0 {
		text += fmt.Sprintf(", %s of them within a window: where from is a guess", numeral(float64(within)))
	}
	return text
}

func cells(r *session.Review, p handPicture) []wayCell {
	out := make([]wayCell, 0, len(p.path))
	for _, s := range p.path {
		if s.Note < 0 || s.Note >= len(r.Notes) {
			continue
		}
		c := wayCell{Name: coach.PitchName(int(r.Notes[s.Note].Pitch)), Finger: fingerLabel(s), Unsure: p.unsure[s.Note]}
		c.Place = fmt.Sprintf("string %d, fret %d", s.Place.String, s.Place.Fret)
		if s.Place.Fret == 0 {
			c.Place = fmt.Sprintf("string %d, open", s.Place.String)
		}
		c.Shift = p.moves[s.Note]
		out = append(out, c)
	}
	return out
}
