package report

import (
	"cmp"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// SheetData is what a sheet is made from. Only Review is needed.
type SheetData struct {
	Review   *session.Review
	Title    string   // "" names the take
	Name     string   // what the player calls the take; "" shows the file's name
	Note     string   // the teacher's words, shown as written
	Student  string   // whose hand it is
	Date     string   // as it shall stand on the page
	Bars     Bars     // nil where the file has no bars
	Practice []string // what to practise beside the advice, a sentence each: the ladder's rung
}

// What fits on two pages: passages drawn, and pieces of advice told in words
// beside them.
const (
	mostPassages = 2
	mostToldMore = 3
	mostPractice = 4
	mostWarnings = 3
)

var (
	//go:embed page.html
	pageSource string // what every page shares
	//go:embed sheet.html
	sheetSource string
	//go:embed sheet.css
	sheetStyle string

	pageTemplate  = template.Must(template.New("page").Parse(pageSource))
	sheetTemplate = template.Must(template.Must(pageTemplate.Clone()).New("sheet").Parse(sheetSource))
)

// Sheet writes a page for the student: one self-contained HTML file with
// inline pictures, no script and no request to anywhere, which prints on one
// or two pages of A4 or Letter.
func Sheet(w io.Writer, d SheetData) error {
	r := d.Review
	neck, err := neckOf(r)
	if err != nil {
		return fmt.Errorf("sheet: %w", err)
	}
	page := sheetPage{
		Style:     template.CSS(sheetStyle),
		Title:     plain(d.Title),
		Note:      noteLines(d.Note),
		Student:   plain(d.Student),
		Date:      plain(d.Date),
		Lead:      headline(r, d.Bars),
		About:     aboutTake(r, neck),
		Unsure:    unsureLine(r),
		Warnings:  warnings(r),
		Counts:    countRows(r),
		Crossover: crossoverLine(r, !leftOut(r)),
		Fall:      fallText(r, neck),
		Stretch:   stretchPicture("stretch", r, neck),
		Within:    stretchLine(r, neck),
		Care:      careLines,
	}
	if page.Title == "" {
		page.Title = fmt.Sprintf("The fretting hand in “%s”", shortened(cmp.Or(d.Name, strings.TrimSuffix(r.Source, ".mid"))))
	}
	if leftOut(r) {
		page.LeftOut = fmt.Sprintf("Mixed leaves four fingers out beyond your reach of %s; alone they ask %s.", reachText(r), millimetres(r.Systems[coach.Four.Name].WidestMM))
	}
	if len(r.Notes) > 0 {
		strips := timeStrips(r, neck)
		page.TimePage = timePicture("time", r, strips, d.Bars, pageWidth)
		page.TimeColumn = timePicture("time-narrow", r, strips, d.Bars, columnWidth)
		page.FallPage = fallPicture("fall", r, neck, pageWidth)
		page.FallColumn = fallPicture("fall-narrow", r, neck, columnWidth)
		page.Bands = stripsMean(strips)
		if len(r.Notes) > mostPlanned {
			page.Capped = fmt.Sprintf("The fewest ways are drawn for the first %d notes.", mostPlanned)
		}
	}
	room := passageRoom - leadLine*float64(max(0, 1+len(page.Lead)/leadLetters-leadLines)) -
		headerLine*float64(len(page.Title)/titleLetters+(len(page.Student)+len(page.Date))/lineLetters)
	for _, line := range append(page.Note, page.Warnings...) {
		room -= headerLine * float64(1+len(line)/lineLetters)
	}
	page.Passages, page.More, page.Left = passages(r, neck, d.Bars, room)
	page.Practice = practiceLines(r, neck, d)
	return sheetTemplate.Execute(w, page)
}

// sheetPage is the page in plain parts, in the order in which it shows them.
type sheetPage struct {
	Style                template.CSS
	Title, Student, Date string
	Note                 []string
	Lead                 string
	About, Unsure        string
	Warnings             []string
	Passages             []passage
	More                 []string // advice in words
	Left                 int      // advice not shown
	TimePage, TimeColumn template.HTML
	Bands, Capped        string
	FallPage, FallColumn template.HTML
	Fall                 string
	Counts               []countRow
	LeftOut, Crossover   string
	Stretch              template.HTML
	Within               string
	Practice             []string
	Care                 []string
}

// careLines are the cautions. They claim nothing medical: what studies support
// is weak, and breaks are common advice (expert custom, no trial).
var careLines = []string{
	"Stop when something hurts. If pain, numbness or weakness stays or comes back, ask a doctor or another qualified person before you go on.",
	"Let playing time and difficulty grow in small steps, and press no harder than the note needs: this page cannot measure pressure.",
	"A break of five minutes in each half hour is common advice.",
	"Distances, counts and minutes are no medical advice; no number here says what a hand can bear.",
}

func aboutTake(r *session.Review, neck coach.Neck) string {
	notes := coach.Many(len(r.Notes), "note")
	if n := len(r.Input.Dropped); n > 0 {
		notes += fmt.Sprintf(" read, %d dropped", n)
	}
	strung := strings.Join(pitchNamesOf(neck.Open), " ")
	if capo := capoText(r); capo != "" {
		strung += ", " + capo
	}
	return fmt.Sprintf("%s · %s · strings %s, scale %s · %s · reach %s", shortened(r.Source), notes, strung, millimetres(neck.ScaleMM), fingersDeclared(r), reachText(r))
}

// shortened is a name that fits on a line: its beginning and its end.
func shortened(name string) string {
	const most = 60
	runes := []rune(plain(name))
	if len(runes) <= most {
		return string(runes)
	}
	return string(runes[:most/2]) + "…" + string(runes[len(runes)-most/2:])
}

// countRow is one line of the count; Said stands for all figures where there
// are no others.
type countRow struct {
	Name                            string
	Own                             string // "yours"; "" for what is not
	Said                            string
	Shifts, AsYouGo, Travel, Widest string
}

func countRows(r *session.Review) []countRow {
	rows := []countRow{{Name: "As played", Said: playedText(r)}}
	for _, s := range coach.Systems {
		v, ok := r.Systems[s.Name]
		if !ok {
			continue
		}
		own := ""
		if s.Name == r.Fingers {
			own = yours(len(r.Changed) > 1)
		}
		rows = append(rows, countRow{
			Name: capital(s.Name) + " fingers", Own: own,
			Shifts: fmt.Sprint(v.Fewest), AsYouGo: fmt.Sprint(v.AsYouGo), Travel: fmt.Sprint(v.TravelFrets), Widest: millimetres(v.WidestMM),
		})
	}
	return append(rows, countRow{Name: "Either, mixed", Shifts: fmt.Sprint(r.Mixed.Fewest), AsYouGo: "–", Travel: fmt.Sprint(r.Mixed.TravelFrets), Widest: "–"})
}

func warnings(r *session.Review) []string {
	out := plainAll(r.Input.Warnings)
	if n := len(out) - mostWarnings; n > 0 {
		out = append(out[:mostWarnings], fmt.Sprintf("%d more in the review itself", n))
	}
	return out
}

func noteLines(note string) []string {
	var out []string
	for _, line := range strings.Split(note, "\n") {
		if line = plain(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}

func plainAll(list []string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = plain(s)
	}
	return out
}
