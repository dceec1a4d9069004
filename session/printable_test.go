package session

import (
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
)

// Classes are those of the Unicode Standard, 4.5.
func TestPrintable_LetsNothingThroughThatATerminalActsOn(t *testing.T) {
	t.Parallel()
	for r := rune(0); r <= unicode.MaxRune; r++ {
		p := Printable(r)
		if unicode.In(p, unicode.Cc, unicode.Co, unicode.Cs, unicode.Zl, unicode.Zp) || unicode.Is(unicode.Cf, p) && !unicode.Is(unicode.Join_Control, p) {
			t.Fatalf("%U", r)
		}
		if unicode.In(r, unicode.L, unicode.N, unicode.P, unicode.S) {
			assert.Equal(t, r, p)
		}
	}
	assert.Equal(t, "a \uFFFD[1m\u0085", strings.Map(func(r rune) rune {
		if r == '\u0085' { // white space, and a control character
			assert.Equal(t, ' ', Printable(r))
			return r
		}
		return Printable(r)
	}, "a\t\x1b[1m\u0085"))
}
