package dashboard

import (
	"strings"
	"unicode/utf8"

	"github.com/gdamore/tcell/v2"
	"github.com/rivo/uniseg"

	"stillhand/session"
)

// canvas is a rectangle of the screen in its own coordinates. Whatever falls
// outside is not drawn.
type canvas struct {
	screen     tcell.Screen
	x, y, w, h int
	*glyphs
	styles
}

// rows is the part of c that begins at row y and is h rows high.
func (c canvas) rows(y, h int) canvas {
	c.y, c.h = c.y+y, max(0, min(h, c.h-y))
	return c
}

// cols is the part of c that begins at column x and is w columns wide.
func (c canvas) cols(x, w int) canvas {
	c.x, c.w = c.x+x, max(0, min(w, c.w-x))
	return c
}

func (c canvas) set(x, y int, r rune, style tcell.Style) {
	if x >= 0 && y >= 0 && x < c.w && y < c.h {
		c.screen.SetContent(c.x+x, c.y+y, r, nil, style)
	}
}

// text writes s from (x, y) as far as it fits and returns the column after it.
// Control and formatting characters come out as blanks: text from outside
// cannot move the cursor or change the writing direction. tview's style tags
// mean nothing here.
func (c canvas) text(x, y int, s string, style tcell.Style) int {
	if y < 0 || y >= c.h {
		return x
	}
	state := -1
	for s != "" && x < c.w {
		var cluster string
		var columns int
		cluster, columns, s, state = firstCluster(s, state)
		if x+columns > c.w {
			break
		}
		if len(cluster) == 1 && cluster[0] < utf8.RuneSelf { // by far the most
			c.set(x, y, rune(cluster[0]), style)
		} else if x >= 0 {
			runes := []rune(cluster)
			c.screen.SetContent(c.x+x, c.y+y, runes[0], runes[1:], style)
		}
		x += columns
	}
	return x
}

// firstCluster cuts from s what text writes first, with its columns: a letter and
// what joins it, or a blank for what cannot be shown. state is -1 at first.
func firstCluster(s string, state int) (cluster string, columns int, rest string, next int) {
	if s[0] >= ' ' && s[0] < 0x7f && (len(s) == 1 || s[1] < 0x80) { // ASCII
		return s[:1], 1, s[1:], -1
	}
	cluster, rest, columns, next = uniseg.FirstGraphemeClusterInString(s, state)
	if r, _ := utf8.DecodeRuneInString(cluster); session.Printable(r) != r || columns == 0 {
		return " ", 1, rest, next
	}
	return cluster, columns, rest, next
}

// right writes s so that it ends before column x.
func (c canvas) right(x, y int, s string, style tcell.Style) { c.text(x-width(s), y, s, style) }

// middle writes s in the middle of row y.
func (c canvas) middle(y int, s string, style tcell.Style) {
	c.text(max(0, (c.w-width(s))/2), y, s, style)
}

// width is the number of columns that text writes.
func width(s string) (columns int) {
	for state := -1; s != ""; {
		var w int
		_, w, s, state = firstCluster(s, state)
		columns += w
	}
	return columns
}

// wrap breaks s into lines of at most limit columns as measured, at blanks; a
// word that is wider than a line stands alone.
func wrap(s string, limit int, measure func(string) int) []string {
	s = strings.Join(strings.Fields(s), " ")
	var lines []string
	begin, end := 0, 0 // of the line so far
	for end < len(s) {
		word := len(s)
		if i := strings.IndexByte(s[end+1:], ' '); i >= 0 {
			word = end + 1 + i
		}
		if end > begin && measure(s[begin:word]) > limit {
			lines = append(lines, s[begin:end])
			begin = end + 1
		}
		end = word
	}
	if end > begin {
		lines = append(lines, s[begin:end])
	}
	return lines
}

// clip shortens s to at most limit columns, with two dots for what is left out.
func clip(s string, limit int) string {
	if width(s) <= limit {
		return s
	}
	if limit < 2 {
		return ""
	}
	out, used, state := "", 0, -1
	for rest := s; rest != ""; {
		var cluster string
		var w int
		cluster, w, rest, state = firstCluster(rest, state)
		if used+w > limit-2 {
			break
		}
		out, used = out+cluster, used+w
	}
	return out + ".."
}

// clipWords is clip at the end of a word, where one ends before the limit.
func clipWords(s string, limit int) string {
	if width(s) > limit {
		if words := wrap(s, limit-2, width)[0]; width(words) <= limit-2 {
			return words + ".."
		}
	}
	return clip(s, limit)
}

// fitting is the first of texts, longest first, that limit columns hold, or the
// last one shortened.
func fitting(limit int, texts ...string) string {
	for _, s := range texts {
		if width(s) <= limit {
			return s
		}
	}
	return clip(texts[len(texts)-1], limit)
}
