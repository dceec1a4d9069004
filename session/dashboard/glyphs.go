package dashboard

import (
	"strings"

	"github.com/gdamore/tcell/v2"
)

// glyphs are the signs that the screen draws with, for a terminal that shows
// Unicode or for one that shows ASCII only. All are one cell wide.
type glyphs struct {
	// The neck: dim string, fret wire and nut; inside the window that is
	// known, inside one that is unsure; the window's edges and upper frame;
	// the other system's outline.
	str, wire, nut             rune
	held, heldWire             rune
	maybe, maybeWire           rune
	edgeL, edgeR               rune
	maybeL, maybeR             rune
	frameL, frame, frameR      rune
	maybeFrame                 rune
	otherSide                  rune
	otherL, otherFrame, otherR rune
	line, broken, rise         rune // the position's line: known, unsure, a move
	upL, upR, downL, downR     rune // its corners
	band                       rune // where the position may be
	past, future, head         rune // the replay's bar
	advice, mark, loop         rune
	beatOn, beatOff            rune
	heights                    []rune // from low to high
	dash, dot                  string // within text
	full                       rune   // one whole cell of a large letter
	halves                     bool   // half cells can be shown
	quarters                   bool   // quarter cells can be shown
}

var unicodeGlyphs = glyphs{
	str: '─', wire: '┼', nut: '║',
	held: '━', heldWire: '┿',
	maybe: '╍', maybeWire: '┼',
	edgeL: '┃', edgeR: '┃',
	maybeL: '┋', maybeR: '┋',
	frameL: '┏', frame: '━', frameR: '┓',
	maybeFrame: '╍',
	otherSide:  '╎',
	otherL:     '└', otherFrame: '╌', otherR: '┘',
	line: '─', broken: '╌', rise: '│',
	upL: '┘', upR: '┌', downL: '┐', downR: '└',
	band: '░',
	past: '━', future: '─', head: '┃',
	advice: '◇', mark: '▽', loop: '═',
	beatOn: '■', beatOff: '□',
	heights: []rune("▁▂▃▄▅▆▇█"),
	dash:    "–", dot: " · ",
	full: '█', halves: true, quarters: true,
}

var asciiGlyphs = glyphs{
	str: '-', wire: '+', nut: 'H',
	held: '=', heldWire: '#',
	maybe: ':', maybeWire: '+',
	edgeL: '[', edgeR: ']',
	maybeL: '(', maybeR: ')',
	frameL: '.', frame: '=', frameR: '.',
	maybeFrame: ':',
	otherSide:  '!',
	otherL:     '`', otherFrame: '-', otherR: '\'',
	line: '-', broken: '.', rise: '|',
	upL: '+', upR: '+', downL: '+', downR: '+',
	band: ':',
	past: '=', future: '-', head: '#',
	advice: 'A', mark: 'V', loop: '~',
	beatOn: '#', beatOff: '.',
	heights: []rune("123456789"),
	dash:    "-", dot: " | ",
	full: '#',
}

// glyphsFor chooses by the terminal's character set. The Linux console's
// fonts hold the half cells of code page 437 and no quarter cells.
func glyphsFor(charset, term string) *glyphs {
	switch strings.ToUpper(charset) {
	case "UTF-8", "UTF8":
		g := unicodeGlyphs
		g.quarters = term != "linux"
		return &g
	}
	return &asciiGlyphs
}

// leastDot is the height in half cells of the smallest dot of large letters
// that g can draw.
func (g *glyphs) leastDot() int {
	if g.halves {
		return 1
	}
	return 2
}

// styles are the few ways in which the screen writes: plain, bold, dim, and
// one accent colour that repeats what shape and text already say.
type styles struct {
	plain, bold, dim, accent, alert tcell.Style
}

// stylesFor leaves out colour where the terminal has none or the player wants
// none (NO_COLOR): tcell would turn it into reverse video.
func stylesFor(colors int) styles {
	st := styles{
		plain:  tcell.StyleDefault,
		bold:   tcell.StyleDefault.Bold(true),
		dim:    tcell.StyleDefault.Dim(true),
		accent: tcell.StyleDefault.Bold(true),
		alert:  tcell.StyleDefault.Bold(true).Reverse(true),
	}
	if colors >= 8 {
		st.accent = st.accent.Foreground(tcell.PaletteColor(5)) // readable on black and on white
	}
	return st
}
