package session

import (
	"unicode"
	"unicode/utf8"
)

// Printable is r as text from outside may show it on a terminal or a page: any
// white space is a blank, and what could move a cursor, change the writing
// direction or show nothing is utf8.RuneError. What joins letters stays.
func Printable(r rune) rune {
	switch {
	case unicode.IsSpace(r):
		return ' '
	case unicode.IsPrint(r), unicode.Is(unicode.Join_Control, r):
		return r
	}
	return utf8.RuneError
}
