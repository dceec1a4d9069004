package dashboard

import (
	"cmp"
	"fmt"
	"path/filepath"
	"strings"

	"stillhand/coach"
	"stillhand/session"
)

// drawStatus writes one line: a warning that came since a key was answered, the
// position that is being typed or the answer, any other warning, or source,
// take, notes and how sure.
func (b *board) drawStatus(c canvas) {
	warning := ""
	if b.s != nil {
		warning = b.s.Warning
	}
	speaks := b.speaks() && warning == b.heeded
	switch {
	case speaks && b.typed != "":
		c.text(1, 0, b.typedText(c.w-2), c.bold)
		return
	case speaks:
		c.text(1, 0, fitting(c.w-2, b.answer...), c.bold)
		return
	case warning != "":
		for x := range c.w {
			c.set(x, 0, ' ', c.alert)
		}
		c.text(1, 0, clip("WARNING: "+warning, c.w-2), c.alert)
		return
	}
	help := "? keys"
	c.right(c.w-1, 0, help, c.plain)
	if b.s != nil {
		c.text(1, 0, b.status(c.w-4-len(help), c.dot), c.plain)
	}
}

// fact is one thing that the status line says, in a long and a short form.
type fact struct {
	long, short string
	weight      int
}

// status joins as many of the sitting's facts as fit into limit columns, in an
// order that stays: short forms where the long ones do not fit, the lightest
// first, then without the lightest.
func (b *board) status(limit int, dot string) string {
	facts := b.facts()
	for {
		var texts []string
		longest, lightest := -1, 0 // the lightest that has a short form, the lightest
		for i, f := range facts {
			texts = append(texts, f.long)
			if f.long != f.short && (longest < 0 || f.weight < facts[longest].weight) {
				longest = i
			}
			if f.weight < facts[lightest].weight {
				lightest = i
			}
		}
		line := strings.Join(texts, dot)
		switch {
		case width(line) <= limit:
			return line
		case longest >= 0:
			facts[longest].long = facts[longest].short
		case len(facts) == 1:
			return clip(line, limit)
		default:
			facts = append(facts[:lightest], facts[lightest+1:]...)
		}
	}
}

func (b *board) facts() []fact {
	s := b.s
	ended := ""
	if s.Ended {
		ended = " has ended"
	}
	facts := []fact{{s.Source + ended, clip(s.Source, 20) + ended, 9}}
	add := func(long, short string, weight int) { facts = append(facts, fact{long, short, weight}) }
	switch {
	case s.Replay != nil:
	case s.TakePath == "":
		add("not saved", "not saved", 8)
	default:
		add("saving "+filepath.Base(s.TakePath), "saving", 8)
	}
	notes := coach.Many(s.Notes, "note")
	add(notes, notes, 5)
	if s.Dropped > 0 {
		text := fmt.Sprintf("%d cleaned away", s.Dropped)
		add(text, text, 7)
	}
	if s.OnHold > 0 {
		text := fmt.Sprintf("%d on hold", s.OnHold)
		add(text, text, 7)
	}
	if s.Lost > 0 {
		text := fmt.Sprintf("%d LOST", s.Lost)
		add(text, text, 10)
	}
	if s.Hand.Position > 0 && !s.Stale && !s.Held {
		text := session.Percent(s.Hand.Probability) + " sure"
		add(text, text, 6)
	}
	switch {
	case s.Reread:
		add("strings found: read again", "strings found: read again", 12)
		add(s.Channels, s.Channels, 11)
	case s.StringsTold:
		add(cmp.Or(s.Channels, "strings told"), "strings told", 2)
	case s.Unmapped:
		add("strings inferred: --strings tells them", "strings inferred: --strings", 9)
	default:
		add("strings inferred", "inferred", 2)
	}
	if s.Marks > 0 {
		text := coach.Many(s.Marks, "mark")
		add(text, text, 3)
	}
	if b.bell {
		add("bell on", "bell", 4)
	}
	return facts
}
