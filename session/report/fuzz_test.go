package report

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"io/fs"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2/smf"

	"stillhand/midiin"
	"stillhand/session"
	"stillhand/testdata"
	"stillhand/testdata/bound"
)

// FuzzAnswers takes any bytes and any name of a file through the whole of
// review: from the reader to every form of the answer. None panics, hangs or
// takes memory without end; no text of the file reaches a terminal or a page
// raw.
func FuzzAnswers(f *testing.F) {
	require.NoError(f, fs.WalkDir(testdata.Files, ".", func(path string, d fs.DirEntry, err error) error {
		if ending := filepath.Ext(path); err != nil || d.IsDir() || ending != ".mid" && ending != ".rmi" {
			return err
		}
		data, err := testdata.Files.ReadFile(path)
		if len(data) < 700 {
			f.Add(data, path)
		}
		return err
	}))
	setup, err := session.Resolve().Setup()
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, data []byte, name string) {
		bound.Check(t, len(data), func() { answers(t, data, name, setup) })
	})
}

func answers(t *testing.T, data []byte, name string, setup session.Setup) {
	file, err := midiin.ReadFile(name, data, midiin.FileOptions{})
	if err != nil {
		return
	}
	r, err := session.NewRecording(file).Review(context.Background(), setup)
	require.NoError(t, err)

	var text, doc, page bytes.Buffer
	require.NoError(t, Text(&text, r, file))
	for _, c := range text.String() {
		if c < ' ' && c != '\n' || c >= 0x7f && c <= 0x9f {
			t.Fatalf("%U reaches the terminal: %q", c, text.String())
		}
	}
	require.NoError(t, JSON(&doc, r))
	require.True(t, json.Valid(doc.Bytes()))
	require.NoError(t, CSV(io.Discard, r))
	require.NoError(t, Sheet(&page, SheetData{Review: r, Title: "<q>" + name, Note: "<q>" + name, Student: "<q>" + name, Bars: file}))
	require.NotContains(t, page.String(), "<q>")
	for _, c := range page.String() {
		if c < ' ' && c != '\n' && c != '\t' || c >= 0x7f && c <= 0x9f || c == '\u202e' {
			t.Fatalf("%U reaches the page", c)
		}
	}
	line, err := MIDI(r, file)
	require.NoError(t, err)
	_, err = smf.ReadFrom(bytes.NewReader(line))
	require.NoError(t, err)
}
