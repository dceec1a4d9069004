package report

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// csvColumns is the header. The shift columns are empty where the hand stayed.
var csvColumns = []string{
	"source", "note", "at_s", "off_s", "pitch", "name", "string", "fret", "finger", "position", "probability", "low", "high",
	"shift_kind", "shift_probability", "shift_from", "shift_frets", "shift_mm", "gap_ms",
}

// CSV writes one row a note, with its finger (0 an open string), and the shift
// into it if there was one (RFC 4180, LF line ends as encoding/csv writes
// them), under a header.
func CSV(w io.Writer, r *session.Review) error {
	out := csv.NewWriter(w)
	if err := out.Write(csvColumns); err != nil {
		return err
	}
	out.Flush()
	return CSVRows(w, r)
}

// CSVRows writes the rows alone, to go on under the header of another review;
// the first column tells them apart.
func CSVRows(w io.Writer, r *session.Review) error {
	out := csv.NewWriter(w)
	shifts := r.Shifts // in order of their notes
	for i, n := range r.Notes {
		row := []string{
			cell(r.Source), strconv.Itoa(i), number(n.At, "at_s"), number(n.Off, "off_s"), strconv.Itoa(int(n.Pitch)), coach.PitchName(int(n.Pitch)),
			strconv.Itoa(int(n.String)), strconv.Itoa(int(n.Fret)), strconv.Itoa(int(n.Finger)), strconv.Itoa(int(n.Position)),
			number(n.Probability, "probability"), strconv.Itoa(int(n.Low)), strconv.Itoa(int(n.High)),
			"", "", "", "", "", "",
		}
		for ; len(shifts) > 0 && int(shifts[0].Note) <= i; shifts = shifts[1:] {
			s := shifts[0]
			copy(row[13:], []string{
				cell(s.Kind), number(s.Probability, "probability"), strconv.Itoa(int(s.From)), strconv.Itoa(int(s.Frets)),
				number(s.MM, "mm"), number(s.GapMS, "gap_ms"),
			})
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func shiftsByNote(r *session.Review) map[int]session.ReviewShift {
	m := make(map[int]session.ReviewShift, len(r.Shifts))
	for _, s := range r.Shifts {
		m[int(s.Note)] = s
	}
	return m
}

// number is the float as JSON writes it, empty where JSON says null.
func number(f float64, key string) string {
	return strings.TrimPrefix(string(appendFloat(nil, f, decimals(key))), "null")
}

// cell keeps a text from being run as a formula by a spreadsheet: one that
// begins with = + - or @ gets an apostrophe before it (OWASP, CSV Injection).
func cell(s string) string {
	s = plain(s)
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}
