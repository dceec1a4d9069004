package score

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
)

// Parse reads a score in the form that testdata/README.md describes. Metres
// and tempi come before the notes that they govern. An error names the line.
func Parse(r io.Reader) (*Score, error) {
	s := &Score{Format: 1, Fingers: "four"}
	in := bufio.NewScanner(r)
	for line := 1; in.Scan(); line++ {
		text, _, _ := strings.Cut(" "+in.Text(), " #") // the sharp of F#2 is no comment
		f := strings.Fields(text)
		if len(f) == 0 {
			continue
		}
		if err := s.line(line, f); err != nil {
			return nil, fmt.Errorf("line %d: %w", line, err)
		}
	}
	if err := in.Err(); err != nil {
		return nil, err
	}
	if len(s.Parts) == 0 || len(s.Tempi) == 0 || len(s.Metres) == 0 {
		return nil, fmt.Errorf("a score needs a metre, a tempo and a part")
	}
	for _, p := range s.Parts {
		slices.SortStableFunc(p.Notes, func(a, b Note) int {
			if a.Tick != b.Tick {
				return a.Tick - b.Tick
			}
			return b.String - a.String
		})
		type once struct{ tick, str, pitch int }
		seen := map[once]bool{}
		for _, n := range p.Notes {
			o := once{n.Tick, n.String, 0}
			if n.String == 0 {
				o.pitch = n.Pitch
			}
			if seen[o] {
				return nil, fmt.Errorf("line %d: %s plays this in bar %d already", n.Line, p.Name, n.Bar)
			}
			seen[o] = true
		}
	}
	return s, nil
}

func (s *Score) line(line int, f []string) (err error) {
	switch f[0] {
	case "title":
		s.Title = strings.Join(f[1:], " ")
	case "format":
		s.Format, err = number(f, 1)
	case "fingers":
		if len(f) < 2 || fingerOffset[f[1]] == nil {
			return fmt.Errorf("fingers: say four or three")
		}
		s.Fingers = f[1]
	case "bend":
		s.BendRange, err = number(f, 1)
	case "pickup":
		s.Pickup = true
	case "at":
		return s.change(f)
	case "part":
		return s.part(f)
	case "again":
		return s.again(f)
	default:
		return s.note(line, f)
	}
	return err
}

// Tempi in beats a minute: a file tells the microseconds of one in 24 bits.
const (
	slowest = 4
	fastest = 1000
)

// beatValues are the notes that can be a beat: those that a quarter's ticks divide
// into.
var beatValues = []int{1, 2, 4, 8, 16, 32, 64}

// change reads "at BAR metre 3/4", "at BAR tempo 96" or "at BAR mark TEXT".
func (s *Score) change(f []string) error {
	bar, err := number(f, 1)
	if err != nil || len(f) < 4 {
		return fmt.Errorf("at: say a bar, then metre, tempo or mark")
	}
	tick := s.tickOf(bar)
	switch f[2] {
	case "metre":
		m := Metre{Bar: bar, Tick: tick}
		if _, err := fmt.Sscanf(f[3], "%d/%d", &m.Numerator, &m.Denominator); err != nil {
			return fmt.Errorf("metre %q: %w", f[3], err)
		}
		if m.Numerator < 1 || !slices.Contains(beatValues, m.Denominator) {
			return fmt.Errorf("metre %q: say one like 3/4 or 6/8", f[3])
		}
		s.Metres = append(s.Metres, m)
	case "tempo":
		beats, err := number(f, 3)
		if err != nil {
			return err
		}
		if beats < slowest || beats > fastest {
			return fmt.Errorf("tempo %d: from %d to %d beats a minute", beats, slowest, fastest)
		}
		s.Tempi = append(s.Tempi, Tempo{tick, 60_000_000 / beats})
	case "mark":
		s.Marks = append(s.Marks, Mark{tick, strings.Join(f[3:], " ")})
	default:
		return fmt.Errorf("at %s: metre, tempo or mark, not %q", f[1], f[2])
	}
	return nil
}

// part reads "part NAME strings FIRST [program P]" or "part NAME channel N
// [program P]"; channels and programs count from 1 here, as players count.
func (s *Score) part(f []string) error {
	if len(f) != 4 && len(f) != 6 {
		return fmt.Errorf("part: say a name, strings or channel, a number, and perhaps program P")
	}
	channel, err := number(f, 3)
	if err != nil {
		return err
	}
	p := &Part{Name: f[1], Strings: f[2] == "strings", Channel: channel - 1, Program: -1}
	if len(f) == 6 {
		if p.Program, err = number(f, 5); err != nil {
			return err
		}
		p.Program--
	}
	s.Parts = append(s.Parts, p)
	return nil
}

// again reads "again FIRST-LAST at BAR": the part's notes of those bars once
// more.
func (s *Score) again(f []string) error {
	var first, last int
	if len(f) != 4 || len(s.Parts) == 0 {
		return fmt.Errorf("again: say FIRST-LAST at BAR, after a part")
	}
	if _, err := fmt.Sscanf(f[1], "%d-%d", &first, &last); err != nil {
		return fmt.Errorf("again %q: %w", f[1], err)
	}
	to, err := number(f, 3)
	if err != nil {
		return err
	}
	p := s.Parts[len(s.Parts)-1]
	for _, n := range slices.Clone(p.Notes) {
		if n.Bar >= first && n.Bar <= last {
			n.Tick += s.tickOf(to+n.Bar-first) - s.tickOf(n.Bar)
			n.Bar += to - first
			p.Notes = append(p.Notes, n)
		}
	}
	return nil
}

// note reads "BAR.BEAT STRING FRET FINGER POSITION LENGTH [WORD...]" or
// "BAR.BEAT PITCHES LENGTH [WORD...]".
func (s *Score) note(line int, f []string) error {
	if len(s.Parts) == 0 || len(f) < 3 {
		return fmt.Errorf("%q: not a line of a score", strings.Join(f, " "))
	}
	p := s.Parts[len(s.Parts)-1]
	n := Note{Line: line, Kind: Played}
	bar, beat, ok := strings.Cut(f[0], ".")
	if !ok {
		return fmt.Errorf("%q: say BAR.BEAT", f[0])
	}
	var err error
	if n.Bar, err = strconv.Atoi(bar); err != nil {
		return err
	}
	if len(s.Metres) == 0 {
		return fmt.Errorf("a note before any metre: say at 1 metre 4/4 first")
	}
	unit := s.metreAt(n.Bar).beat()
	into, err := beats(beat, unit)
	if err != nil {
		return err
	}
	n.Tick = s.tickOf(n.Bar) + into - unit
	if _, digit := strconv.Atoi(f[1]); digit != nil {
		return s.pitched(p, n, f, unit)
	}
	if len(f) < 6 {
		return fmt.Errorf("a fretted note needs string, fret, finger, position and length")
	}
	for i, to := range []*int{&n.String, &n.Fret, &n.Finger, &n.Position} {
		if *to, err = number(f, i+1); err != nil {
			return err
		}
	}
	if n.Length, err = beats(f[5], unit); err != nil {
		return err
	}
	extended, err := n.words(f[6:])
	if err != nil {
		return err
	}
	if err := s.hold(&n, extended); err != nil {
		return err
	}
	if (n.Slide || n.Vibrato) && s.BendRange < 1 {
		return fmt.Errorf("a slide or vibrato needs a bend range: say bend SEMITONES first")
	}
	p.Notes = append(p.Notes, n)
	return nil
}

// hold checks that the hand can hold the note where the score says, and gives
// it its pitch.
func (s *Score) hold(n *Note, extended bool) error {
	if n.String < 1 || n.String > len(openPitch) || n.Fret < 0 || n.Fret > frets {
		return fmt.Errorf("string %d fret %d: not on this bass", n.String, n.Fret)
	}
	n.Pitch = openPitch[n.String-1] + n.Fret
	if n.Fret == 0 {
		if n.Finger != 0 {
			return fmt.Errorf("an open string takes no finger")
		}
		return nil
	}
	offset, ok := fingerOffset[s.Fingers][n.Finger]
	off := n.Fret - n.Position - offset
	if !ok || extended && off != 1 && off != -1 || !extended && off != 0 {
		return fmt.Errorf("finger %d of %s fingers at position %d does not play fret %d", n.Finger, s.Fingers, n.Position, n.Fret)
	}
	return nil
}

func (n *Note) words(words []string) (extended bool, err error) {
	for _, w := range words {
		switch w {
		case "slide":
			n.Slide = true
		case "ring":
			n.Ring = true
		case "vibrato":
			n.Vibrato = true
		case "double":
			n.Double = true
		case "accent":
			n.Accent = 14
		case "soft":
			n.Accent = -18
		case "extend":
			extended = true
		case "wrong", "extra", "missing", "ghost":
			n.Kind = Kind(w)
		default:
			return false, fmt.Errorf("%q: no such word", w)
		}
	}
	return extended, nil
}

// drums names the General MIDI percussion keys that the scores use.
var drums = map[string]int{"kick": 36, "rim": 37, "snare": 38, "hat": 42, "open": 46, "ride": 51, "tom": 45, "crash": 49}

// pitched reads a note or a chord that has no place: names joined by commas.
func (s *Score) pitched(p *Part, n Note, f []string, unit int) error {
	if p.Strings {
		return fmt.Errorf("a part on strings needs string, fret, finger, position and length")
	}
	var err error
	if n.Length, err = beats(f[2], unit); err != nil {
		return err
	}
	if _, err = n.words(f[3:]); err != nil {
		return err
	}
	for _, name := range strings.Split(f[1], ",") {
		if n.Pitch, err = pitch(name); err != nil {
			return err
		}
		p.Notes = append(p.Notes, n)
	}
	return nil
}

// pitch reads a scientific pitch name (C4 is 60) or the name of a drum.
func pitch(name string) (int, error) {
	if key, ok := drums[name]; ok {
		return key, nil
	}
	if name == "" {
		return 0, fmt.Errorf("a pitch is missing beside a comma")
	}
	class := strings.Index("C D EF G A B", name[:1])
	rest := name[1:]
	if after, ok := strings.CutPrefix(rest, "#"); ok {
		class, rest = class+1, after
	} else if after, ok := strings.CutPrefix(rest, "b"); ok {
		class, rest = class-1, after
	}
	octave, err := strconv.Atoi(rest)
	if err != nil || !strings.Contains("CDEFGAB", name[:1]) {
		return 0, fmt.Errorf("%q: neither a pitch nor a drum", name)
	}
	return (octave+1)*12 + class, nil
}

// beats reads a decimal number of beats, two places at most, in ticks.
func beats(text string, unit int) (int, error) {
	whole, part, _ := strings.Cut(text, ".")
	hundredths, err := strconv.Atoi(whole + (part + "00")[:2])
	if err != nil || len(part) > 2 {
		return 0, fmt.Errorf("%q: not a number of beats like 2 or 1.25", text)
	}
	return hundredths * unit / 100, nil
}

func number(f []string, i int) (int, error) {
	if i >= len(f) {
		return 0, fmt.Errorf("%s: a number is missing", f[0])
	}
	v, err := strconv.Atoi(f[i])
	if err != nil {
		return 0, fmt.Errorf("%s: %q is not a whole number", f[0], f[i])
	}
	return v, nil
}
