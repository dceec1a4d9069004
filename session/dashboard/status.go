package dashboard

import (
	"fmt"
	"path/filepath"
	"strings"
)

// drawStatus writes one line: the warning if something is wrong, the position
// that is being typed, or source, take, notes and how sure.
func (b *board) drawStatus(c canvas) {
	if b.s != nil && b.s.Warning != "" {
		for x := range c.w {
			c.set(x, 0, ' ', c.alert)
		}
		c.text(1, 0, clip("WARNING: "+b.s.Warning, c.w-2), c.alert)
		return
	}
	if b.typed > 0 {
		c.text(1, 0, b.typedText(), c.bold)
		return
	}
	help := "? keys"
	c.right(c.w-1, 0, help, c.plain)
	if b.s != nil {
		c.text(1, 0, b.status(c.w-4-len(help), c.dot), c.plain)
	}
}

// status joins as many of the sitting's facts as fit into limit columns, the
// weightiest kept longest, in an order that stays.
func (b *board) status(limit int, dot string) string {
	s := b.s
	type fact struct {
		text   string
		weight int
	}
	var facts []fact
	add := func(weight int, format string, a ...any) {
		facts = append(facts, fact{fmt.Sprintf(format, a...), weight})
	}
	source := clip(s.Source, 24)
	if s.Ended {
		source += " has ended"
	}
	add(9, "%s", source)
	switch {
	case s.Replay != nil:
	case s.TakePath == "":
		add(5, "not saved")
	default:
		add(4, "saving %s", clip(filepath.Base(s.TakePath), 24))
	}
	add(6, "%d notes", s.Notes)
	if s.Dropped > 0 {
		add(7, "%d cleaned away", s.Dropped)
	}
	if s.Lost > 0 {
		add(10, "%d LOST", s.Lost)
	}
	if s.Hand.Position > 0 {
		add(8, "%s sure", percent(s.Hand.Probability))
	}
	if s.StringsTold {
		add(2, "strings told")
	} else {
		add(2, "strings inferred")
	}
	if s.Marks > 0 {
		add(3, "%d marks", s.Marks)
	}
	if b.bell {
		add(1, "bell on")
	}
	for {
		var texts []string
		lightest := 0
		for i, f := range facts {
			texts = append(texts, f.text)
			if f.weight < facts[lightest].weight {
				lightest = i
			}
		}
		line := strings.Join(texts, dot)
		if width(line) <= limit || len(facts) == 1 {
			return clip(line, limit)
		}
		facts = append(facts[:lightest], facts[lightest+1:]...)
	}
}
