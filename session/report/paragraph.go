package report

import (
	"io"
	"strings"
	"unicode/utf8"
)

// textWidth is where sentences wrap: an 80-column terminal with a margin.
const textWidth = 78

// Paragraph is text in lines of at most 78 columns, each after indent, ended
// by a newline.
func Paragraph(indent, text string) string {
	var b strings.Builder
	used := 0
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		switch {
		case used == 0:
			b.WriteString(indent)
			used = len(indent)
		case used+1+n > textWidth:
			b.WriteString("\n" + indent)
			used = len(indent)
		default:
			b.WriteByte(' ')
			used++
		}
		b.WriteString(word)
		used += n
	}
	b.WriteByte('\n')
	return b.String()
}

func wrapped(w io.Writer, indent, text string) { io.WriteString(w, Paragraph(indent, text)) }
