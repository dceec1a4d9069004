package report

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

func jsonOf(t *testing.T, r *session.Review) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, JSON(&b, r))
	return b.String()
}

// promised is every field that version 1 of the document promises, by
// the path to it.
var promised = map[string]string{
	"":              "format version source neck fingers reach_mm input notes shifts count systems mixed advice",
	"neck":          "strings frets scale_mm",
	"input":         "strings notes dropped warnings",
	"input.dropped": "at_s pitch reason",
	"notes":         "at_s off_s pitch string fret finger position probability low high",
	"shifts":        "at_s note from to frets mm gap_ms kind probability",
	"count":         "at_least likely",
	"systems.four":  "fewest travel_frets least_travel_frets as_you_go widest_mm",
	"systems.three": "fewest travel_frets least_travel_frets as_you_go widest_mm",
	"mixed":         "fewest travel_frets three_share crossover_fret",
	"advice":        "from_s to_s first_note last_note kind system shifts_now shifts_then stretch_mm within_reach text path",
	"advice.path":   "note string fret finger position",
}

func TestJSON_HasEveryPromisedField(t *testing.T) {
	t.Parallel()
	var doc map[string]any
	require.NoError(t, json.Unmarshal([]byte(jsonOf(t, advised())), &doc))
	for path, fields := range promised {
		var at any = doc
		for _, step := range strings.FieldsFunc(path, func(r rune) bool { return r == '.' }) {
			at = at.(map[string]any)[step]
			if list, ok := at.([]any); ok {
				require.NotEmpty(t, list, path)
				at = list[0]
			}
		}
		for _, f := range strings.Fields(fields) {
			assert.Contains(t, at, f, "at %q", path)
		}
	}
}

// The outside reader is encoding/json, on both sides: the document means what
// encoding/json would have written, but for the rounding.
func TestJSON_MeansWhatEncodingJSONWrites(t *testing.T) {
	t.Parallel()
	for name, r := range map[string]*session.Review{"advised": advised(), "bare": {}, "plain": sample()} {
		text := jsonOf(t, r)
		var back session.Review
		d := json.NewDecoder(strings.NewReader(text))
		d.DisallowUnknownFields()
		require.NoError(t, d.Decode(&back), name)
		assert.Equal(t, text, jsonOf(t, &back), "%s: written, read and written again", name)

		// back holds rounded floats only, so both writers must agree on it.
		want, err := json.Marshal(back)
		require.NoError(t, err)
		assert.JSONEq(t, string(want), text, name)
	}
}

func TestJSON_RoundsByUnit(t *testing.T) {
	t.Parallel()
	r := sample()
	r.Notes = r.Notes[:1]
	r.Notes[0].At, r.Notes[0].Off, r.Notes[0].Probability = 0.123449, -0.00001, 2.0/3
	r.Shifts = []session.ReviewShift{{MM: 83.149, GapMS: 1e-9, Probability: 1}}
	r.Count.Likely = 17.405
	text := jsonOf(t, r)
	for _, want := range []string{`"at_s": 0.1234,`, `"off_s": 0,`, `"probability": 0.6667,`, `"mm": 83.1,`, `"gap_ms": 0,`, `"likely": 17.4`, `"scale_mm": 863.6`} {
		assert.Contains(t, text, want)
	}
}

func TestJSON_WritesNullForNoNumber(t *testing.T) {
	t.Parallel()
	r := sample()
	r.ReachMM = nil
	r.Count.Likely = math.NaN()
	r.Mixed.ThreeShare = math.Inf(1)
	text := jsonOf(t, r)
	require.True(t, json.Valid([]byte(text)))
	for _, want := range []string{`"reach_mm": null`, `"likely": null`, `"three_share": null`, `"warnings": []`, `"advice": []`} {
		assert.Contains(t, text, want)
	}
}

func TestJSON_LetsNoControlCharacterThrough(t *testing.T) {
	t.Parallel()
	r := sample()
	r.Source = "a\x1b[2J\u009b31m\x7f\xff<b>&.mid"
	text := jsonOf(t, r)
	for _, c := range text {
		assert.False(t, c != '\n' && (c < 0x20 || c >= 0x7f && c <= 0x9f), "%U", c)
	}
	var back session.Review
	require.NoError(t, json.Unmarshal([]byte(text), &back))
	assert.Equal(t, "a\x1b[2J\u009b31m\x7f\uFFFD<b>&.mid", back.Source)
}

func TestJSON_PutsOneNoteOnALine(t *testing.T) {
	t.Parallel()
	r := advised()
	text := jsonOf(t, r)
	assert.Equal(t, len(r.Notes), strings.Count(text, "\n    {\"at_s\": ")-len(r.Shifts)-len(r.Marks))
	assert.Equal(t, text, jsonOf(t, r))
}

// The reference is the encoder itself, which reads the tags.
func TestJSON_WritesManyAsTheirTagsSay(t *testing.T) {
	t.Parallel()
	odd := session.ReviewNote{At: -0.25, Off: math.NaN(), Probability: 2.0 / 3, Low: -1, Slide: -2}
	asTheirTagsSay(t, odd, session.ReviewNote{At: 54321.1234, Off: 54321.1235}, session.ReviewNote{})
	asTheirTagsSay(t, session.ReviewStep{Note: -1}, session.ReviewStep{})
}

// asTheirTagsSay checks values of T, and one with every whole number different.
func asTheirTagsSay[T any](t *testing.T, values ...T) {
	var full T
	for i := range reflect.TypeOf(full).NumField() {
		if x := reflect.ValueOf(&full).Elem().Field(i); x.CanInt() {
			x.SetInt(int64(i + 95))
		}
	}
	for _, value := range append(values, full) {
		list := reflect.ValueOf([]T{value})
		f, err := formOf(list.Type(), "")
		require.NoError(t, err)
		require.True(t, f.elem.many)
		var quick, byTags encoder
		quick.value(list, f, 0)
		f.elem.many = false
		byTags.value(list, f, 0)
		assert.Equal(t, string(byTags.buf), string(quick.buf))
	}
}

// numberOfWrites counts the pieces in which a document comes, and its longest.
type numberOfWrites struct{ pieces, longest int }

func (w *numberOfWrites) Write(b []byte) (int, error) {
	w.pieces, w.longest = w.pieces+1, max(w.longest, len(b))
	return len(b), nil
}

func TestJSON_ComesInPieces(t *testing.T) {
	t.Parallel()
	r := sample()
	for len(r.Notes) < 20_000 {
		r.Notes = append(r.Notes, r.Notes...)
	}
	var w numberOfWrites
	require.NoError(t, JSON(&w, r))
	assert.Greater(t, w.pieces, 20)
	assert.Less(t, w.longest, 2*pieceSize)
}

// Source: strconv, which rounds the exact value.
func TestJSON_WritesFloatsAsStrconvDoes(t *testing.T) {
	t.Parallel()
	for _, f := range []float64{0, 1, -1, 0.5, -0.25, 0.1234, 12.3456, 863.6, 1e6 + 0.0001, 1e17, -3e20, 123456.7} {
		assert.Equal(t, strconv.FormatFloat(f, 'f', -1, 64), string(appendFloat(nil, f, 4)))
	}
	assert.Equal(t, "0", string(appendFloat(nil, -0.00001, 4)))
	assert.Equal(t, "0.0601", string(appendFloat(nil, 0.06009, 4)))
}
