package dashboard

import "strings"

// goodCoachRows holds two lines of large letters and the two remarks before.
const goodCoachRows = 8

// leastCoachRows holds a line of large letters, or two small ones where the
// terminal cannot show large ones.
func (g *glyphs) leastCoachRows() int {
	if g.halves {
		return 3
	}
	return 2
}

// drawSaid writes the coach's latest line as large as it fits and the two
// before it small, in as many rows as are free; an older one makes room where
// the latest would be small.
func (b *board) drawSaid(c canvas) {
	lines := b.s.Lines
	if len(lines) == 0 {
		c.text(1, 0, "The coach speaks when you rest.", c.dim)
		return
	}
	c = c.cols(1, c.w-2)
	text := lines[0].Text
	most := max(0, min(len(lines)-1, 2, c.h-c.leastCoachRows()))
	older, large, small := most, "", text
	for n := most; n >= 0; n-- {
		if l, s := c.rows(0, c.h-n).split(text); l != "" {
			older, large, small = n, l, s
			break
		}
	}
	newest := c.rows(0, c.h-older)
	y := 0
	if large != "" {
		y = newest.rows(0, c.h-older-len(wrap(small, c.w, width))).biggest(large, c.bold)
	}
	y += newest.rows(y, newest.h-y).paragraph(small, c.bold)
	free := c.h - y - older
	for _, line := range lines[1 : 1+older] {
		at := clock(line.At)
		beside := c.cols(len(at)+2, c.w)
		rows := 1 + max(0, min(free, len(wrap(line.Text, beside.w, width))-1))
		c.text(0, y, at, c.dim)
		beside.rows(y, rows).paragraph(line.Text, c.dim)
		y, free = y+rows, free-rows+1
	}
}

// split divides text so that its beginning fits into c in large letters above
// the rest in small ones: all of it, or its first sentence, or its first
// clause. large is empty if not even that fits.
func (c canvas) split(text string) (large, small string) {
	for _, ends := range []string{"", ".!?", ".!?:;"} {
		large, small = upTo(text, ends)
		room := c.rows(0, c.h-len(wrap(small, c.w, width)))
		if _, _, ok := room.largest(large); ok {
			return large, small
		}
	}
	return "", text
}

// upTo cuts s after the first mark among ends that a blank follows.
func upTo(s, ends string) (first, rest string) {
	for i := range len(s) - 1 {
		if strings.IndexByte(ends, s[i]) >= 0 && s[i+1] == ' ' {
			return s[:i+1], s[i+2:]
		}
	}
	return s, ""
}
