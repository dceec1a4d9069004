package report

import (
	"strings"
	"unicode"
)

// plain makes text from a file or a user safe to show: invalid UTF-8, control
// characters (ESC, C1, line ends) and characters that reorder or hide text
// (bidirectional controls, zero width: category Cf) become a visible U+FFFD;
// runs of white space become one blank. Escaping for HTML or CSV is the
// writer's and comes after.
func plain(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r' || unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Co, r):
			return '\uFFFD'
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return strings.Join(strings.Fields(s), " ")
}
