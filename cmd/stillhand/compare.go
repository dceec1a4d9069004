package main

import (
	"io"
	"time"

	"github.com/spf13/cobra"

	"stillhand/coach"
	"stillhand/session/report"
)

func compareCommand(w *world) *cobra.Command {
	v := &reviewing{w: w}
	var fingersB string
	c := &cobra.Command{
		Use: "compare A B", Short: "Two takes of one phrase, side by side",
		Long: `Two takes of one phrase, side by side: two systems, two days, two players. A and
B are MIDI files or takes, named as for stillhand review. Notes are aligned by
pitch; wrong, missing and extra ones do not disturb. The options hold
for both takes; --fingers-b names the second player's system when it differs.`,
		RunE: func(cmd *cobra.Command, paths []string) error {
			v.cmd = cmd
			if err := v.outputs(); err != nil {
				return err
			}
			if fingersB != "" {
				if _, err := coach.ParseSystem(fingersB); err != nil {
					return usage("--fingers-b: %v", err)
				}
			}
			for i, name := range paths {
				var err error
				if paths[i], err = findTake(cmd.Context(), name); err != nil {
					return err
				}
			}
			return v.compare(paths[0], paths[1], fingersB)
		},
	}
	addSettings(c)
	withoutScreen(c)
	addTrack(c)
	c.ValidArgsFunction = recordingNames(2)
	f := c.Flags()
	f.StringVar(&fingersB, "fingers-b", "", "finger system of the second take: "+coach.SystemNames())
	f.BoolVar(&v.json, "json", false, "print one JSON document")
	offer(c, "fingers-b", oneOf(systemNames()...))
	f.StringVar(&v.html, "html", "", "write a sheet of both to this file")
	f.StringVar(&v.title, "title", "", "title of the sheet")
	f.StringVar(&v.note, "note", "", "the teacher's note on the sheet")
	f.StringVar(&v.student, "student", "", "whose hand it is, on the sheet")
	return c
}

func (v *reviewing) compare(pathA, pathB, fingersB string) error {
	v.names = distinctNames([]string{pathA, pathB})
	a := v.answer(pathA)
	if a.err != nil {
		return a.err
	}
	if fingersB != "" {
		if err := v.cmd.Flags().Set("fingers", fingersB); err != nil {
			return err
		}
	}
	b := v.answer(pathB)
	if b.err != nil {
		return b.err
	}
	if fingersB == "" && !b.owned && !v.cmd.Flags().Changed("fingers") {
		v.w.notice("%s does not say with which fingers it was played and is read with %s: --fingers-b names others", b.review.Source, b.review.Fingers)
	}
	for _, of := range []answer{a, b} {
		for _, warning := range of.review.Input.Warnings {
			v.w.notice("%s: %s", of.review.Source, warning)
		}
	}
	c := report.Compare(a.review, b.review)
	if v.html != "" {
		err := v.write(a, v.html, "", false, func(to io.Writer, _ answer) error {
			return report.CompareSheet(to, report.CompareData{
				Comparison: c, Title: v.title, NameA: a.label.Name, NameB: b.label.Name, Note: v.note, Student: v.student,
				Date: time.Now().Format(sheetDate), BarsA: a.file, BarsB: b.file,
			})
		})
		if err != nil || !v.json {
			return err
		}
	}
	if v.json {
		return report.CompareJSON(v.w.out, c)
	}
	return report.CompareText(v.w.out, c, a.file, b.file)
}
