package dashboard

import "github.com/gdamore/tcell/v2"

// size is how large a dot of the large letters is, in half cells: a cell is
// about twice as high as wide, so that {2, 1} is square.
type size struct{ w, h int }

// square is the size whose dots are h half cells high and look square.
func square(h int) size { return size{2 * h, h} }

// cols and rows are the cells that n dots take.
func (z size) cols(dots int) int { return (dots*z.w + 1) / 2 }
func (z size) rows(dots int) int { return (dots*z.h + 1) / 2 }

// pitch is the distance between two lines of text, one dot between them.
func (z size) pitch() int { return z.rows(glyphRows + 1) }

// shows reports whether c's terminal can show letters of size z.
func (c canvas) shows(z size) bool {
	switch {
	case c.quarters:
		return true
	case c.halves:
		return z.w%2 == 0
	}
	return z.w%2 == 0 && z.h%2 == 0
}

// quarter glyphs by which quarters of a cell are set: 1 upper left, 2 upper
// right, 4 lower left, 8 lower right.
var quarters = []rune(" ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█")

// large writes s in large letters of size z with its upper left corner at
// (x, y) and returns the column after it. s must be made of the font's letters.
func (c canvas) large(x, y int, s string, z size, style tcell.Style) int {
	total := max(dots(s), 0)
	on := make([]bool, total*glyphRows)
	spell(s, func(l *letter, x int) {
		for row, line := range l {
			for i := range len(line) {
				on[row*total+x+i] = line[i] == '#'
			}
		}
	})
	dot := func(hx, hy int) bool {
		dx, dy := hx/z.w, hy/z.h
		return dx < total && dy < glyphRows && on[dy*total+dx]
	}
	for cy := range z.rows(glyphRows) {
		for cx := range z.cols(total) {
			bits := 0
			for q := range 4 {
				if dot(2*cx+q%2, 2*cy+q/2) {
					bits |= 1 << q
				}
			}
			switch {
			case bits == 15:
				c.set(x+cx, y+cy, c.full, style)
			case bits != 0:
				c.set(x+cx, y+cy, quarters[bits], style)
			}
		}
	}
	return x + z.cols(total)
}

// textSizes are the sizes for sentences, largest first.
var textSizes = []size{{4, 2}, {2, 2}, {2, 1}, {1, 1}}

// largest breaks s into lines for the largest letters in which it fits into c.
func (c canvas) largest(s string) (lines []string, z size, ok bool) {
	if dots(s) <= 0 {
		return nil, z, false
	}
	for _, z := range textSizes {
		if !c.shows(z) {
			continue
		}
		lines := wrap(s, c.w*2/z.w, dots)
		if (len(lines)-1)*z.pitch()+z.rows(glyphRows) <= c.h && c.fits(lines, z) {
			return lines, z, true
		}
	}
	return nil, z, false
}

func (c canvas) fits(lines []string, z size) bool {
	for _, line := range lines {
		if z.cols(dots(line)) > c.w {
			return false
		}
	}
	return true
}

// biggest writes s into c, wrapped, as large as it fits, and returns the rows
// used. Where no large size fits it is written as plain text.
func (c canvas) biggest(s string, style tcell.Style) int {
	lines, z, ok := c.largest(s)
	if !ok {
		return c.paragraph(s, style)
	}
	for i, line := range lines {
		c.large(0, i*z.pitch(), line, z, style)
	}
	return min(c.h, len(lines)*z.pitch())
}

// paragraph writes s into c, wrapped, and returns the rows used. What does not
// fit is cut with two dots.
func (c canvas) paragraph(s string, style tcell.Style) int {
	lines := wrap(s, c.w, width)
	for i, line := range lines {
		if i == c.h-1 && len(lines) > c.h {
			line = clipWords(line+" "+lines[i+1], c.w)
		}
		c.text(0, i, line, style)
	}
	return min(c.h, len(lines))
}
