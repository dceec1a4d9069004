package report

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"stillhand/coach"
	"stillhand/session"
)

// Systems is where on the neck which finger system costs what, over one or
// many takes. Shifts is by a system's name.
type Systems struct {
	Neck    coach.Neck // that stretches are told for, behind its capo
	Capo    int
	ReachMM float64        // 0 when not known
	Regions []coach.Region // in ascending order of position
	Shifts  map[string]Prices
}

// Prices is how many shifts a system costs over all takes.
type Prices struct {
	Fewest  int `json:"fewest"`
	AsYouGo int `json:"as_you_go"`
}

type systemsDocument struct {
	Format    string             `json:"format"`
	Version   int                `json:"version"`
	Neck      session.ReviewNeck `json:"neck"` // that stretches are told for, behind its capo
	Capo      int                `json:"capo"`
	ReachMM   *float64           `json:"reach_mm"`
	Crossover int                `json:"crossover_fret"` // 0 when four fingers save nothing
	Regions   []systemsRegion    `json:"regions"`
	Systems   map[string]Prices  `json:"systems"`
}

type systemsRegion struct {
	Position int     `json:"position"`
	Notes    int     `json:"notes"`
	Four     int     `json:"four"`
	Three    int     `json:"three"`
	FourMM   float64 `json:"four_stretch_mm"`
	ThreeMM  float64 `json:"three_stretch_mm"`
}

// SystemsJSON writes s as the one document of `history --systems --json`.
func SystemsJSON(w io.Writer, s Systems) error {
	doc := systemsDocument{Format: "stillhand-systems", Version: 1, Crossover: coach.Crossover(s.Regions),
		Neck: session.ReviewNeck{Strings: pitchNamesOf(s.Neck.Open), Frets: s.Neck.Frets, ScaleMM: s.Neck.ScaleMM}, Capo: s.Capo,
		Regions: []systemsRegion{}, Systems: map[string]Prices{}}
	if s.ReachMM > 0 {
		doc.ReachMM = &s.ReachMM
	}
	for _, r := range s.Regions {
		doc.Regions = append(doc.Regions, systemsRegion{r.Position, r.Notes, r.Four, r.Three,
			s.Neck.StretchMM(r.Position, coach.Four.Width()), s.Neck.StretchMM(r.Position, coach.Three.Width())})
	}
	for _, sys := range coach.Systems {
		doc.Systems[sys.Name] = s.Shifts[sys.Name]
	}
	return writeDocument(w, doc)
}

// SystemsText writes s for a person: what follows first, then the table.
func SystemsText(w io.Writer, s Systems) error {
	var b bytes.Buffer
	if len(s.Regions) == 0 {
		b.WriteString("No fretted note was played yet to compare the systems on.\n")
		_, err := w.Write(b.Bytes())
		return err
	}
	wrapped(&b, "", crossoverText(s.Regions)+".")
	var costs []string
	for _, sys := range coach.Systems {
		p := s.Shifts[sys.Name]
		costs = append(costs, fmt.Sprintf("%s fingers %s", sys.Name, times(float64(p.AsYouGo-p.Fewest), "shift")))
	}
	wrapped(&b, "", "Not seeing ahead cost "+inWords(costs)+".")
	b.WriteString("\n")
	t := tabwriter.NewWriter(&b, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "position\tnotes\tfour\tthree\tfour save\tfour, mm\tthree, mm\t")
	for _, r := range s.Regions {
		fmt.Fprintf(t, "%d\t%d\t%d\t%d\t%d\t%s\t%s\t\n", r.Position, r.Notes, r.Four, r.Three, r.Three-r.Four,
			s.stretch(r.Position, coach.Four), s.stretch(r.Position, coach.Three))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	b.WriteString("\nShifts are those each system would have needed on these notes, in hindsight.\n")
	wrapped(&b, "", s.neckLine())
	if s.ReachMM > 0 {
		fmt.Fprintf(&b, "A stretch with > lies beyond the reach of %s.\n", millimetres(s.ReachMM))
	}
	_, err := w.Write(b.Bytes())
	return err
}

// neckLine says what neck the stretches are of: takes do not tell theirs here.
func (s Systems) neckLine() string {
	capo := ""
	if s.Capo > 0 {
		capo = fmt.Sprintf(" from a capo at fret %d on", s.Capo)
	}
	return fmt.Sprintf("mm are those of the neck in force now, open strings %s, scale %s%s; a take's position counts the frets of its own neck, from its own capo on.",
		strings.Join(pitchNamesOf(s.Neck.Open), " "), millimetres(s.Neck.ScaleMM), capo)
}

func (s Systems) stretch(position int, sys coach.System) string {
	mm := s.Neck.StretchMM(position, sys.Width())
	if !coach.WithinReach(mm, s.ReachMM) {
		return ">" + trim(mm, 0)
	}
	return trim(mm, 0)
}

// crossoverText is a sentence, without its full stop, on where four fingers save
// moves and where three cost none. What each saves on its side adds up to what the
// fewest of all differ by.
func crossoverText(regions []coach.Region) string {
	at := coach.Crossover(regions)
	notes, below, above := 0, 0, 0 // shifts that four fingers save on either side
	for _, r := range regions {
		if r.Position < at || at == 0 {
			notes, below = notes+r.Notes, below+r.Three-r.Four
		} else {
			above += r.Three - r.Four
		}
	}
	three := "three fingers cost no more"
	if below < 0 {
		three = "three fingers save " + times(float64(-below), "shift")
	}
	switch {
	case at == 0:
		return "Over all that was played here " + three
	case notes == 0 && below == 0:
		return fmt.Sprintf("Four fingers save %s, from the lowest position played on", times(float64(above), "shift"))
	}
	text := fmt.Sprintf("Below position %d %s (%s); from there up four save %s", at, three, coach.Many(notes, "note"), times(float64(above), "shift"))
	if below < 0 {
		text += ", " + numeral(float64(above+below)) + " in all"
	}
	return text
}
