package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"stillhand/coach"
	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/report"
	"stillhand/session/store"
)

// reviewing is one call of review.
type reviewing struct {
	w                    *world
	cmd                  *cobra.Command
	json, csv            bool
	html, midi           string
	title, note, student string
	names                map[string]string // of recordings whose base name is not theirs alone
	written              map[string]int    // names given in a folder
	overview             report.Overview   // of several recordings, for a person
	texts                bytes.Buffer      // what is told of each of them, after that
}

func reviewCommand(w *world) *cobra.Command {
	v := &reviewing{w: w}
	c := &cobra.Command{
		Use: "review FILE...", Short: "Answers about recordings, without a screen",
		Long: `Answers about recordings, without a screen: a summary, the advice and the
shifts. FILE is a MIDI file, a take, or a folder, which stands for the recordings
in it. A take is named as stillhand history shows it, or by the beginning of that,
or by the name it was given. Several recordings are read in parallel; one that
cannot be read does not stop the rest. With several, the text begins with a line
for each, --json prints an array, and --html and --midi name a folder that exists.
Of what --midi wrote, files in *.shifts.mid (the names that it gives in a folder)
are replaced, and a folder is read without them and without what it hides (names
that begin with a dot); no other recording is ever overwritten.`,
		RunE: func(cmd *cobra.Command, names []string) error {
			v.cmd = cmd
			return v.run(names)
		},
	}
	addSettings(c)
	withoutScreen(c)
	addTrack(c)
	f := c.Flags()
	f.BoolVar(&v.json, "json", false, "print one JSON document")
	f.BoolVar(&v.csv, "csv", false, "print one row a note")
	f.StringVar(&v.html, "html", "", "write a sheet for the student to this file")
	f.StringVar(&v.midi, "midi", "", "write the line with shifts as markers and fingers as lyrics to this file")
	f.StringVar(&v.title, "title", "", "title of the sheet")
	f.StringVar(&v.note, "note", "", "the teacher's note on the sheet; without it, the note on the take")
	f.StringVar(&v.student, "student", "", "whose hand it is, on the sheet; without it, the take's tag")
	c.ValidArgsFunction = recordingNames(math.MaxInt)
	return c
}

func addTrack(c *cobra.Command) {
	c.Flags().String("track", "auto", "track to read: a number from 1, part of a name, or auto; one that does not exist lists all")
}

// answer is what became of one recording.
type answer struct {
	path   string
	file   *midiin.File
	review *session.Review
	owned  bool        // a take of our own
	label  store.Label // of a take, where a sheet of it is asked for
	ladder []string    // the player's own rung, on the sheet of a take among the player's
	err    error
}

// reviewGC is how much garbage, in per cent of what is in use, is let gather
// while recordings are reviewed: a third of Go's 100, so that a file of nothing but
// notes stays under 32 times its size and 64 MB.
const reviewGC = 35

func (v *reviewing) run(names []string) error {
	defer debug.SetGCPercent(debug.SetGCPercent(reviewGC))
	if v.json && v.csv {
		return usage("--json and --csv contradict each other: give one")
	}
	if err := v.outputs(); err != nil {
		return err
	}
	paths, unread, err := recordings(v.cmd.Context(), names)
	if err != nil {
		return err
	}
	for _, folder := range unread {
		v.w.notice("stillhand: %v: left out", folder)
	}
	if len(paths) > 0 {
		err = v.reviewed(paths)
	}
	if len(unread) > 0 {
		err = errors.Join(err, fmt.Errorf("%s could not be read", coach.Many(len(unread), "folder")))
	}
	return err
}

// reviewed answers about the recordings at paths.
func (v *reviewing) reviewed(paths []string) error {
	v.names = distinctNames(paths)
	if len(paths) == 1 {
		if v.html != "" && v.midi != "" && output(v.html).same(output(v.midi)) {
			return usage("--html and --midi name one file, %s: name two", v.midi)
		}
		a := v.answer(paths[0])
		if a.err != nil {
			return a.err
		}
		return v.give(a, one)
	}
	for _, of := range [][2]string{{"html", v.html}, {"midi", v.midi}} {
		if of[1] != "" && !isFolder(of[1]) {
			return usage("--%s %s: several recordings need a folder that exists: make it first, or name another", of[0], of[1])
		}
	}
	return v.all(paths)
}

// outputs says what is wrong with the files to write: results go to standard
// output, a file never does, and what stands on a sheet needs one.
func (v *reviewing) outputs() error {
	for _, of := range [][2]string{{"html", v.html}, {"midi", v.midi}} {
		switch {
		case of[1] == "-":
			return usage("--%s writes a file: name one, not -", of[0])
		case of[1] == "" && v.cmd.Flags().Changed(of[0]):
			return usage("--%s writes a file: name one", of[0])
		}
	}
	if v.html == "" && v.title+v.note+v.student != "" {
		return usage("--title, --note and --student stand on the sheet: give --html too")
	}
	return nil
}

// all answers about several recordings on all cores, in the order given; for a
// person it begins with which of them matter. What was answered stands, also when
// the rest is left.
func (v *reviewing) all(paths []string) error {
	failed := 0
	next := first
	var broken error
	inOrder(paths, v.answer, func(i int, a answer) bool {
		if broken = v.cmd.Context().Err(); broken != nil {
			v.w.notice("interrupted: %d of %d recordings reviewed", i-failed, len(paths))
			return false
		}
		name := filepath.Base(a.path)
		if own, ok := v.names[a.path]; ok {
			name = own
		}
		v.w.notice("%d of %d: %s", i+1, len(paths), name)
		if a.err != nil {
			failed++
			err := crashed(v.w, a.err)
			v.w.notice("stillhand: %v", err)
			v.overview.AddUnread(name, err)
			return true
		}
		if broken = v.give(a, next); broken == nil {
			next = later
		}
		return broken == nil
	})
	if v.texts.Len() > 0 {
		if err := v.overview.Text(v.w.out); err != nil {
			return err
		}
		if _, err := v.texts.WriteTo(v.w.out); err != nil {
			return err
		}
	}
	if v.json {
		fmt.Fprintln(v.w.out, map[place]string{first: "[]", later: "]"}[next])
	}
	if broken == nil && failed > 0 {
		return fmt.Errorf("%d of %d recordings could not be reviewed", failed, len(paths))
	}
	return broken
}

// answer reviews the recording at path. One that crashes it leaves the others
// their answers.
func (v *reviewing) answer(path string) (a answer) {
	a.path = path
	defer session.Catch("the review", &a.err)
	rec, who, err := openRecording(v.w, v.cmd, path)
	if err == nil {
		a.file = rec.File
		a.review, err = rec.Review(v.cmd.Context(), who.setup)
	}
	if err == nil {
		if name, ok := v.names[path]; ok {
			a.review.Source = name
		}
		err = playable(path, rec, who.setup, a.review)
	}
	if err == nil {
		a.owned = rec.Owned()
	}
	if v.html != "" && a.owned {
		var ours bool
		if a.label, ours = writtenOn(v.cmd.Context(), path); ours && v.sheetText("student", a.label.Student) == "" {
			a.ladder = v.rung(who)
		}
	}
	a.err = err
	return a
}

// place is where an answer stands in the output.
type place int

const (
	one   place = iota // alone
	first              // of several
	later
)

// give prints an answer and writes what was asked for beside it.
func (v *reviewing) give(a answer, at place) error {
	if err := v.write(a, v.html, ".html", at != one, v.sheet); err != nil {
		return err
	}
	if err := v.write(a, v.midi, lineEnding, at != one, line); err != nil {
		return err
	}
	switch {
	case v.json:
		return report.JSON(&led{v.w.out, map[place]string{first: "[\n", later: ",\n"}[at]}, a.review)
	case v.csv:
		rows := report.CSV
		if at == later {
			rows = report.CSVRows
		}
		return rows(v.w.out, a.review)
	case v.html != "" || v.midi != "":
		return nil
	}
	if at == one {
		return report.Text(v.w.out, a.review, a.file)
	}
	v.overview.Add(a.review)
	fmt.Fprintln(&v.texts)
	return report.Text(&v.texts, a.review, a.file)
}

// write writes one output of one answer to out, or into the folder out.
func (v *reviewing) write(a answer, out, ending string, folder bool, put func(io.Writer, answer) error) error {
	if out == "" {
		return nil
	}
	if folder {
		base := filepath.Base(a.path)
		out = v.unused(filepath.Join(out, strings.TrimSuffix(base, filepath.Ext(base))), ending)
	}
	if err := output(out).check(a.path); err != nil {
		return err
	}
	if err := output(out).write(func(to io.Writer) error { return put(to, a) }); err != nil {
		return err
	}
	v.w.notice("written: %s", out)
	return nil
}

// unused is stem and ending, with a number between where a recording of the
// same name was written before it.
func (v *reviewing) unused(stem, ending string) string {
	if v.written == nil {
		v.written = map[string]int{}
	}
	v.written[stem+ending]++
	if n := v.written[stem+ending]; n > 1 {
		return fmt.Sprintf("%s-%d%s", stem, n, ending)
	}
	return stem + ending
}

// sheetDate is how a date stands on a sheet.
const sheetDate = "2 January 2006"

// sheetText is what stands on a sheet: what the player gave with a flag, else what is
// written on the take.
func (v *reviewing) sheetText(flag, written string) string {
	if given := v.cmd.Flags().Lookup(flag); given.Changed {
		return given.Value.String()
	}
	return written
}

func (v *reviewing) sheet(to io.Writer, a answer) error {
	return report.Sheet(to, report.SheetData{
		Review: a.review, Title: v.title, Name: a.label.Name, Note: v.sheetText("note", a.label.Note), Student: v.sheetText("student", a.label.Student),
		Date: time.Now().Format(sheetDate), Bars: a.file, Practice: a.ladder,
	})
}

// rung says where the player stands on the ladder; nothing if that cannot be
// read, since a sheet is good without it.
func (v *reviewing) rung(who *player) []string {
	l := ladder{w: v.w, who: who}
	t, err := l.today(v.cmd.Context())
	if err != nil || t.Stop {
		return nil
	}
	return []string{fmt.Sprintf("The ladder: %s, %.0f mm.", t.Rung.Text(), t.StretchMM)}
}

func line(to io.Writer, a answer) error {
	data, err := report.MIDI(a.review, a.file)
	if err != nil {
		return err
	}
	_, err = to.Write(data)
	return err
}
