package report

import (
	"io"
	"strings"

	"github.com/rivo/uniseg"
)

// textWidth is where sentences wrap: an 80-column terminal with a margin.
const textWidth = 78

// Paragraph is text in lines of at most 78 columns, each after indent, ended
// by a newline. Only a word wider than a line is broken.
func Paragraph(indent, text string) string { return NarrowParagraph(textWidth, indent, text) }

// NarrowParagraph is Paragraph for a terminal that may have fewer columns; 0 is one
// that has enough.
func NarrowParagraph(columns int, indent, text string) string {
	if columns <= 0 || columns > textWidth {
		columns = textWidth
	}
	var b strings.Builder
	used := 0
	for _, word := range strings.Fields(text) {
		for word != "" {
			part, rest := broken(word, columns-len(indent))
			n := uniseg.StringWidth(part)
			switch {
			case used == 0:
				b.WriteString(indent)
				used = len(indent)
			case used+1+n > columns:
				b.WriteString("\n" + indent)
				used = len(indent)
			default:
				b.WriteByte(' ')
				used++
			}
			b.WriteString(part)
			used, word = used+n, rest
		}
	}
	b.WriteByte('\n')
	return b.String()
}

// broken is as much of a word as fits into so many columns, one character at
// least, and the rest.
func broken(word string, columns int) (part, rest string) {
	if uniseg.StringWidth(word) <= columns {
		return word, ""
	}
	graphemes, used := uniseg.NewGraphemes(word), 0
	for graphemes.Next() {
		from, _ := graphemes.Positions()
		if used += graphemes.Width(); used > columns && from > 0 {
			return word[:from], word[from:]
		}
	}
	return word, ""
}

func wrapped(w io.Writer, indent, text string) { io.WriteString(w, Paragraph(indent, text)) }

// entry is one line of a summary, "  notes   40 read": what is too long for the line
// goes on under its beginning.
func entry(w io.Writer, name, text string) {
	const indent = "          "
	io.WriteString(w, "  "+name+indent[len("  ")+len(name):]+strings.TrimLeft(Paragraph(indent, text), " "))
}
