package report

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

func rowsOf(t *testing.T, reviews ...*session.Review) []map[string]string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, CSV(&b, reviews[0]))
	for _, r := range reviews[1:] {
		require.NoError(t, CSVRows(&b, r))
	}
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	out := make([]map[string]string, 0, len(rows))
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, name := range rows[0] {
			m[name] = row[i]
		}
		out = append(out, m)
	}
	return out
}

func TestCSV_OneRowANoteWithFinger(t *testing.T) {
	t.Parallel()
	r := advised()
	rows := rowsOf(t, r)
	require.Len(t, rows, len(r.Notes))
	shifts := 0
	for i, n := range r.Notes {
		assert.Equal(t, strconv.Itoa(i), rows[i]["note"])
		assert.Equal(t, strconv.Itoa(int(n.Finger)), rows[i]["finger"])
		assert.Equal(t, strconv.Itoa(int(n.Pitch)), rows[i]["pitch"])
		if rows[i]["shift_kind"] != "" {
			shifts++
		}
	}
	assert.Equal(t, len(r.Shifts), shifts)
	assert.Equal(t, map[string]string{
		"source": "evening walk.mid", "note": "21", "at_s": "6.3", "off_s": "6.57", "pitch": "53", "name": "F3", "string": "1", "fret": "10", "finger": "1",
		"position": "10", "probability": "0.62", "low": "9", "high": "10",
		"shift_kind": "likely", "shift_probability": "0.7", "shift_from": "12", "shift_frets": "2", "shift_mm": "52.9", "gap_ms": "30",
	}, rows[21])
}

func TestCSV_JoinsSeveralTakesUnderOneHeader(t *testing.T) {
	t.Parallel()
	a, b := sample(), sample()
	b.Source = "second.mid"
	rows := rowsOf(t, a, b)
	require.Len(t, rows, len(a.Notes)+len(b.Notes))
	assert.Equal(t, "second.mid", rows[len(a.Notes)]["source"])
}

// OWASP, CSV Injection: a cell that begins with = + - @ tab or CR may be run.
func TestCSV_GuardsAgainstFormulas(t *testing.T) {
	t.Parallel()
	for _, bad := range []string{"=1+1|cmd", "+1", "-1", "@sum", "\t=1", "\r=1", " =1"} {
		r := sample()
		r.Source = bad
		got := rowsOf(t, r)[0]["source"]
		assert.Equal(t, byte('\''), got[0], "%q", bad)
	}
	r := sample()
	r.Source = "a \"quoted\", name\n.mid"
	assert.Equal(t, "a \"quoted\", name .mid", rowsOf(t, r)[0]["source"])
}
