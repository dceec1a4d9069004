package report

import (
	"bytes"
	"encoding/xml"
	"io"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/coach"
	"stillhand/session"
)

func sheetOf(t testing.TB, d SheetData) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Sheet(&b, d))
	return b.String()
}

func demoSheet(t testing.TB) SheetData {
	return SheetData{Review: recorded(t, "demo", true), Student: "Robin", Date: "25 November 2026", Note: "Keep the tone.", Bars: sampleBars,
		Practice: []string{"The ladder: the cell at fret 7, three days."}}
}

// words is what a reader of the page meets, tags and style left out.
func words(page string) string {
	page = page[strings.Index(page, "</style>"):]
	return strings.Join(strings.Fields(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page, " ")), " ")
}

func TestSheet_SaysWhatToChangeAndWhy(t *testing.T) {
	t.Parallel()
	d := demoSheet(t)
	text := words(sheetOf(t, d))
	for _, want := range []string{
		"For Robin", "25 November 2026", "no shift instead of five", "As played: five shifts", "As advised: no shift, four fingers (1 2 3 4)",
		plain(ranked(d.Review)[0].Text), "What to practise next", "The ladder: the cell at fret 7", "The count", "at least 33", "Four fingers yours 33 48 93",
		"Three fingers (1 2 4), fewest possible: 85", "Where the notes fell", "Open strings 13%", "Within 105 mm: four fingers from position 5 up (at most 130 mm), three fingers everywhere (at most 89 mm).",
		"Stop when something hurts", "five minutes in each half hour", "Keep the tone.",
	} {
		assert.Contains(t, text, want)
	}
	assert.Less(t, strings.Index(text, "no shift instead of five"), 200, "the sentence that matters stands first")
}

// The strips draw exactly the ways that the count table counts.
func TestTimeStrips_ShowAsManyShiftsAsTheCount(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"demo", "band", "lesson-three", "twobar"} {
		r := recorded(t, name, true)
		neck, err := neckOf(r)
		require.NoError(t, err)
		strips := timeStrips(r, neck)
		require.Len(t, strips, 3)
		assert.Len(t, strips[0].shifts, len(r.Shifts), name)
		assert.Len(t, strips[1].shifts, r.Systems["four"].Fewest, name)
		assert.Len(t, strips[2].shifts, r.Systems["three"].Fewest, name)
	}
}

// The caption of what was played counts the shifts that its line marks, which
// are the listed ones; two windows in a row are never one and the same.
func TestSheet_CountsTheShiftsItDraws(t *testing.T) {
	t.Parallel()
	r := advised()
	a := &r.Advice[0]
	a.ShiftsNow = 3
	neck, err := neckOf(r)
	require.NoError(t, err)
	played := func() (string, int, []stay) {
		p, _ := drawPassage("p", r, neck, *a, "x")
		marked := 0
		for _, c := range p.Played.Cells {
			if c.Shift {
				marked++
			}
		}
		return p.Played.Label, marked, playedStays(r, a.FirstNote, a.LastNote)
	}
	label, marked, stays := played()
	assert.Equal(t, "As played: four shifts", label)
	assert.Equal(t, 4, marked)
	assert.Len(t, stays, 5)

	r.Shifts = append(r.Shifts, session.ReviewShift{Note: 17, From: 3, To: 5, Kind: "likely", Probability: 0.7})
	label, marked, stays = played()
	assert.Equal(t, "As played: five shifts, one of them within a window: where from is a guess", label)
	assert.Equal(t, 5, marked)
	require.Len(t, stays, 5)
	assert.Equal(t, stay{first: 16, last: 17, position: 5, low: 5, high: 5, unsure: true}, stays[0])

	r.Shifts = nil
	label, marked, _ = played()
	assert.Equal(t, "As played: three shifts counted, none marked", label)
	assert.Zero(t, marked)
}

func TestSheet_SpeaksOnlyOfWhatLiesWithinReach(t *testing.T) {
	t.Parallel()
	r := advised()
	r.Advice = r.Advice[len(r.Advice)-1:] // beyond reach
	page := sheetOf(t, SheetData{Review: r})
	assert.NotContains(t, page, "As advised")
	assert.Contains(t, words(page), "what would save more lies beyond your reach")
	assert.Contains(t, words(page), "Four fingers would do it in one place, but the stretch of 130 mm lies beyond your reach")
}

func TestSheet_ClaimsNothingMedical(t *testing.T) {
	t.Parallel()
	text := strings.ToLower(words(sheetOf(t, demoSheet(t))))
	for _, word := range []string{"safe", "prevent", "injur", "risk", "healthy", "protect"} {
		assert.NotContains(t, text, word)
	}
}

func TestSheet_IsOneFileThatAsksForNothing(t *testing.T) {
	t.Parallel()
	page := sheetOf(t, demoSheet(t))
	assert.Contains(t, page, `content="default-src 'none'; style-src 'unsafe-inline'"`)
	for _, bad := range []string{"<script", "http:", "https:", " src=", " href=", "url(", "@import", "<link", "<img", "<iframe", "NaN", "Inf", "%!"} {
		assert.NotContains(t, page, bad)
	}
}

// TestSheet_EscapesEveryText puts markup and control characters into every
// string that the page could show.
func TestSheet_EscapesEveryText(t *testing.T) {
	t.Parallel()
	const evil = "</style></title><script>alert(1)</script><img src=x onerror=alert(2)>\"'&\x1b[2J\u202e\x00"
	d := demoSheet(t)
	d.Title, d.Student, d.Note, d.Date, d.Practice = evil, evil, evil, evil, []string{evil}
	r := d.Review
	r.Advice = append(r.Advice, r.Advice...)
	poison(reflect.ValueOf(r).Elem(), evil)
	r.Neck.Strings = []string{"G2", "D2", "A1", "E1"} // anything else is refused
	for name, page := range map[string]string{"evil": sheetOf(t, d)} {
		for _, bad := range []string{"<script", "<img", "\x1b", "\u202e", "\x00"} {
			assert.NotContains(t, page, bad, name)
		}
		assert.Equal(t, 1, strings.Count(page, "</style>"), name)
		assert.Contains(t, page, "&lt;script&gt;", name)
	}
}

// poison sets every string that can be reached from v.
func poison(v reflect.Value, s string) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(s)
	case reflect.Struct:
		for i := range v.NumField() {
			poison(v.Field(i), s)
		}
	case reflect.Slice:
		if v.Len() == 0 && v.Type().Elem().Kind() == reflect.String {
			v.Set(reflect.ValueOf([]string{s}))
		}
		for i := range v.Len() {
			poison(v.Index(i), s)
		}
	}
}

func TestSVG_EscapesWhatItWrites(t *testing.T) {
	t.Parallel()
	s := newSVG("x", "<b>&\x1b", "\"<i>", 10, 10)
	s.text("small", 1, 2, "<script>'")
	assert.Equal(t, `<svg class="full" viewBox="0 0 10 10" role="img" aria-labelledby="x-t x-d"><title id="x-t">&lt;b&gt;&amp;`+"\uFFFD"+
		`</title><desc id="x-d">&#34;&lt;i&gt;</desc><text class="small" x="1" y="2">&lt;script&gt;&#39;</text></svg>`, string(s.done()))
}

var svgPattern = regexp.MustCompile(`(?s)<svg .*?</svg>`)

// The outside reader is encoding/xml in its strict mode: every picture is a
// well-formed document with a title, a description and references that hold.
func TestSheet_PicturesAreWellFormedAndDescribed(t *testing.T) {
	t.Parallel()
	page := sheetOf(t, demoSheet(t))
	pictures := svgPattern.FindAllString(page, -1)
	require.GreaterOrEqual(t, len(pictures), 7)
	ids := map[string]bool{}
	for _, picture := range pictures {
		var labels []string
		texts := map[string]string{}
		d := xml.NewDecoder(strings.NewReader(picture))
		element := ""
		for {
			token, err := d.Token()
			if err == io.EOF {
				break
			}
			require.NoError(t, err, picture)
			switch token := token.(type) {
			case xml.StartElement:
				element = token.Name.Local
				for _, a := range token.Attr {
					switch a.Name.Local {
					case "id":
						assert.False(t, ids[a.Value], "id %q twice", a.Value)
						ids[a.Value] = true
						texts[a.Value] = ""
						element = a.Value
					case "aria-labelledby":
						labels = strings.Fields(a.Value)
					case "role":
						assert.Equal(t, "img", a.Value)
					}
				}
			case xml.CharData:
				if _, ok := texts[element]; ok {
					texts[element] += string(token)
				}
			}
		}
		require.Len(t, labels, 2)
		for _, id := range labels {
			assert.NotEmpty(t, texts[id], id)
		}
	}
}

// Koch, Building Electric Guitars: distances from the nut of a 34-inch scale,
// in inches, frets 1 to 22.
var inchesFromNut = []float64{1.908, 3.709, 5.410, 7.014, 8.529, 9.958, 11.308, 12.581, 13.783, 14.918, 15.989, 17.000,
	17.954, 18.855, 19.705, 20.507, 21.264, 21.979, 22.654, 23.291, 23.892, 24.459}

func TestSheet_DrawsTheNeckToScale(t *testing.T) {
	t.Parallel()
	neck, _ := coach.ParseNeck("bass4")
	picture := string(fallPicture("x", sample(), neck, pageWidth))
	var wires []float64
	for _, m := range regexp.MustCompile(`<line class="(?:nut|fret)" x1="([0-9.]+)"`).FindAllStringSubmatch(picture, -1) {
		wires = append(wires, parse(t, m[1]))
	}
	require.Len(t, wires, 23)
	for f, inches := range inchesFromNut {
		want := wires[0] + (wires[22]-wires[0])*inches/inchesFromNut[21]
		assert.InDelta(t, want, wires[f+1], 0.1, "fret %d", f+1) // coordinates keep one decimal
	}
}

func TestSheet_DrawsDoubtAsDoubt(t *testing.T) {
	t.Parallel()
	sure := sample()
	for i := range sure.Notes {
		sure.Notes[i].Probability = 0.8 // the range that holds nine in ten may be wider
	}
	sure.Advice = advised().Advice
	page := sheetOf(t, SheetData{Review: sure})
	page = page[strings.Index(page, "</style>"):]
	for _, sign := range []string{"maybe", "haze", "?", "unsure"} {
		assert.NotContains(t, strings.ReplaceAll(page, `shift maybe`, ""), sign)
	}
	page = sheetOf(t, SheetData{Review: advised()})
	for _, sign := range []string{`class="window maybe"`, `class="mark maybe"`, `class="haze"`, "10–13 ?", "1?", "it is unsure for 5 of 40 notes"} {
		assert.Contains(t, page, sign)
	}
}

func TestSheet_StaysSmallForALongTake(t *testing.T) {
	t.Parallel()
	r := sample()
	day := 40 * 600
	notes := make([]session.ReviewNote, 0, day)
	for i := range day {
		n := r.Notes[i%40]
		n.At, n.Off = n.At+float64(i/40)*12, n.Off+float64(i/40)*12
		notes = append(notes, n)
		if i%3 == 0 {
			r.Shifts = append(r.Shifts, session.ReviewShift{At: n.At, Note: int32(i), Kind: "sure"})
		}
	}
	r.Notes = notes
	page := sheetOf(t, SheetData{Review: r})
	assert.Less(t, len(page), 400_000)
	assert.Contains(t, words(page), "The fewest ways are drawn for the first 20000 notes.")
}

func TestSheet_HoldsWhateverItIsGiven(t *testing.T) {
	t.Parallel()
	open := reviewOf("open.mid", at(0, [3]int{1, 0, 0}, [3]int{2, 0, 0}))
	bad := advised()
	bad.Advice[0].LastNote, bad.Advice[1].Path, bad.Fingers = 999, nil, "seven"
	odd := advised()
	odd.Advice[0].Path[0].Note, odd.Advice[0].Path[1].String = -4, 99
	empty := blank("empty.mid", coach.Neck{Open: []int{43, 38, 33, 28}, Frets: 22, ScaleMM: 864})
	for name, r := range map[string]*session.Review{"open strings": open, "bad advice": bad, "odd path": odd, "no note": empty} {
		assert.NotContains(t, sheetOf(t, SheetData{Review: r}), "NaN", name)
	}
	var b bytes.Buffer
	assert.ErrorContains(t, Sheet(&b, SheetData{Review: &session.Review{}}), "sheet: neck")
	assert.Zero(t, b.Len())
}

func TestPlain_LeavesNoControlCharacter(t *testing.T) {
	t.Parallel()
	got := plain("a\x00\x1b[1mb\u009b\u202ec\u200bd\xff \t\r\n e")
	assert.Equal(t, "a\uFFFD\uFFFD[1mb\uFFFD\uFFFDc\uFFFDd\uFFFD e", got)
	assert.False(t, strings.ContainsFunc(got, unicode.IsControl))
}

// What to practise where nothing is advised follows from the take.
func TestSheet_OffersWhatTheTakeAsksFor(t *testing.T) {
	t.Parallel()
	next := func(r *session.Review, bars Bars) string {
		r.ReachMM = nil
		return strings.Join(practiceLines(r, coach.Neck{}, SheetData{Review: r, Bars: bars}), " ")
	}
	assert.Contains(t, next(inPlace(5, 200, "four"), nil), "Keep what works")
	shifts := sample()
	assert.Equal(t, "Bars 3 to 4 (0:04.8): six likely shifts, the most within 4 seconds. Play this slowly and unbroken, then at tempo.", next(shifts, sampleBars))
	shifts.Shifts = shifts.Shifts[:1]
	assert.Equal(t, "0:04.8: one shift. Play up to it and on from it, slowly and unbroken, then at tempo.", next(shifts, nil))
	guess := sample()
	for i := range guess.Notes {
		guess.Notes[i].Probability = 0.4
	}
	assert.Equal(t, "Nothing yet: where the hand lay is mostly a guess.", next(guess, nil))
	guess.Input.Strings = "inferred"
	assert.Contains(t, next(guess, nil), "An instrument that sends each string on a channel of its own tells much more.")
	assert.Contains(t, next(&session.Review{}, nil), "no note was read")
}

// Unicode Standard Annex 9: a number takes the direction of the letters before it, so
// that a date after a name written from the right would stand before that name.
// HTML Living Standard, 4.5.24: bdi keeps a name's direction to itself.
func TestSheets_KeepTheDirectionOfANameToItself(t *testing.T) {
	t.Parallel()
	d := demoSheet(t)
	d.Student, d.Date, d.Title, d.Note = "שרה", "25 November 2026", "שיעור 1", "לאט"
	html := sheetOf(t, d)
	assert.Contains(t, html, "For <bdi>"+d.Student+"</bdi>, "+d.Date)
	assert.Contains(t, html, `<h1 dir="auto">`+d.Title)
	assert.Contains(t, html, `<p class="note" dir="auto">`+d.Note)
	c := lesson(t)
	c.A.Source, c.B.Source = d.Student, d.Title
	var b bytes.Buffer
	require.NoError(t, CompareSheet(&b, CompareData{Comparison: c, Note: d.Note}))
	assert.Contains(t, b.String(), "A: <bdi>"+d.Student+"</bdi> · B: <bdi>"+d.Title+"</bdi>")
	assert.Contains(t, b.String(), `<p class="note" dir="auto">`+d.Note)
}
