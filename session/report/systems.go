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
// many takes. Fewest and AsYouGo follow coach.Systems.
type Systems struct {
	Neck    coach.Neck // that stretches are told for, behind its capo
	Capo    int
	ReachMM float64        // 0 when not known
	Regions []coach.Region // in ascending order of position
	Fewest  [2]int
	AsYouGo [2]int
}

type systemsDocument struct {
	Format    string             `json:"format"`
	Version   int                `json:"version"`
	Neck      session.ReviewNeck `json:"neck"` // that stretches are told for, behind its capo
	Capo      int                `json:"capo"`
	ReachMM   *float64           `json:"reach_mm"`
	Crossover int                `json:"crossover_fret"` // 0 when four fingers save nothing
	Regions   []systemsRegion    `json:"regions"`
	Systems   map[string]prices  `json:"systems"`
}

type systemsRegion struct {
	Position int     `json:"position"`
	Notes    int     `json:"notes"`
	Four     int     `json:"four"`
	Three    int     `json:"three"`
	FourMM   float64 `json:"four_stretch_mm"`
	ThreeMM  float64 `json:"three_stretch_mm"`
}

type prices struct {
	Fewest  int `json:"fewest"`
	AsYouGo int `json:"as_you_go"`
}

// SystemsJSON writes s as the one document of `history --systems --json`.
func SystemsJSON(w io.Writer, s Systems) error {
	doc := systemsDocument{Format: "stillhand-systems", Version: 1, Crossover: coach.Crossover(s.Regions),
		Neck: session.ReviewNeck{Strings: pitchNamesOf(s.Neck.Open), Frets: s.Neck.Frets, ScaleMM: s.Neck.ScaleMM}, Capo: s.Capo,
		Regions: []systemsRegion{}, Systems: map[string]prices{}}
	if s.ReachMM > 0 {
		doc.ReachMM = &s.ReachMM
	}
	for _, r := range s.Regions {
		doc.Regions = append(doc.Regions, systemsRegion{r.Position, r.Notes, r.Four, r.Three,
			s.Neck.StretchMM(r.Position, coach.Four.Width()), s.Neck.StretchMM(r.Position, coach.Three.Width())})
	}
	for i, sys := range coach.Systems {
		doc.Systems[sys.Name] = prices{s.Fewest[i], s.AsYouGo[i]}
	}
	return writeDocument(w, doc)
}

// SystemsText writes s for a person: what follows first, then the table.
func SystemsText(w io.Writer, s Systems) error {
	var b bytes.Buffer
	if len(s.Regions) == 0 {
		b.WriteString("No takes to compare the systems on yet.\n")
		_, err := w.Write(b.Bytes())
		return err
	}
	wrapped(&b, "", crossoverText(s.Regions)+".")
	wrapped(&b, "", fmt.Sprintf("Not seeing ahead cost four fingers %s and three fingers %s.",
		times(float64(s.AsYouGo[0]-s.Fewest[0]), "shift"), times(float64(s.AsYouGo[1]-s.Fewest[1]), "shift")))
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
		fmt.Fprintf(&b, "A stretch with > lies beyond the reach of %.0f mm.\n", s.ReachMM)
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
	return fmt.Sprintf("mm are those of the neck in force now, open strings %s, scale %s mm%s; a take's position counts the frets of its own neck, from its own capo on.",
		strings.Join(pitchNamesOf(s.Neck.Open), " "), trim(s.Neck.ScaleMM, 0), capo)
}

func (s Systems) stretch(position int, sys coach.System) string {
	mm := s.Neck.StretchMM(position, sys.Width())
	if !coach.WithinReach(mm, s.ReachMM) {
		return fmt.Sprintf(">%.0f", mm)
	}
	return fmt.Sprintf("%.0f", mm)
}

// crossoverText is a sentence, without its full stop, on where four fingers save
// moves and where three cost none.
func crossoverText(regions []coach.Region) string {
	at := coach.Crossover(regions)
	if at == 0 {
		return "Over all that was played here three fingers cost nothing"
	}
	below, above := 0, 0
	for _, r := range regions {
		if r.Position < at {
			below += r.Notes
		} else {
			above += r.Three - r.Four
		}
	}
	if below == 0 {
		return fmt.Sprintf("Four fingers save %s, from the lowest position played on", times(float64(above), "shift"))
	}
	return fmt.Sprintf("Below position %d three fingers cost nothing in all (%s); from there up four save %s", at, coach.Many(below, "note"), times(float64(above), "shift"))
}
