package dashboard

// The coach's rows: one line of large letters at least; with two lines of
// them and the two remarks before it is good.
const (
	leastCoachRows = 3
	goodCoachRows  = 8
)

// drawSaid writes the coach's latest line as large as it fits and the two
// before it small.
func (b *board) drawSaid(c canvas) {
	lines := b.s.Lines
	if len(lines) == 0 {
		c.text(1, 0, "The coach speaks when you rest.", c.dim)
		return
	}
	older := min(len(lines)-1, 2, c.h-leastCoachRows)
	c = c.cols(1, c.w-2)
	newest := c.rows(0, c.h-max(older, 0))
	used := b.drawNewest(newest, lines[0].Text)
	for i := range older {
		line := lines[1+i]
		c.text(0, used+i, clip(clock(line.At)+"  "+line.Text, c.w), c.dim)
	}
}

// drawNewest writes text large; if that is too much, its first sentence large
// and the rest bold; if that is too much as well, all of it bold.
func (b *board) drawNewest(c canvas, text string) (rows int) {
	first, rest := sentence(text)
	under := len(wrap(rest, c.w, width))
	if _, _, whole := c.largest(text); whole || under == 0 || under >= c.h {
		return c.biggest(text, c.bold)
	}
	top := c.rows(0, c.h-under)
	if _, _, ok := top.largest(first); !ok {
		return c.biggest(text, c.bold)
	}
	used := top.biggest(first, c.bold)
	return used + c.rows(used, under).biggest(rest, c.bold)
}
