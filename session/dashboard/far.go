package dashboard

import "github.com/gdamore/tcell/v2"

// drawFar fills the terminal with the window, the number of shifts and the
// finger system, or with what stands for them.
func (b *board) drawFar(c canvas) {
	h := headlineOf(b.s)
	window, shifts, system := h.styles(c.styles)
	caption := c.alert
	if h.live {
		caption = c.plain
	}
	words := windowCaption(b.s)
	if more := words + c.dot + shiftsCaption(b.s); width(more) <= c.w-2 {
		words = more
	} else if b.s.Held && !b.s.Gone {
		words = shiftsCaption(b.s)
	}
	c.rows(c.h-1, 1).text(1, 0, clip(words, c.w-2), caption)
	c = c.rows(0, c.h-1).cols(1, c.w-2)
	half := c.h / 2
	fill(c.rows(0, half), h.window, "~00-00", window)
	low := c.rows(c.h-half, half)
	split := c.w * 2 / 5
	fill(low.cols(0, split-2), h.shifts, "~00", shifts)
	fill(low.cols(split, c.w-split), h.system, h.system, system)
}

// fill writes s in letters as large as let the widest text that usually stands
// there fit into c.
func fill(c canvas, s, usual string, style tcell.Style) {
	n := max(dots(s), dots(usual), 1)
	if dots(s) < 0 || c.w < 1 || c.h < 1 {
		c.text(0, 0, s, style)
		return
	}
	best := size{}
	for h := 1; (size{2, h}).rows(glyphRows) <= c.h; h++ {
		for w := min(3*h, c.w*2/n); w >= max(1, h); w-- { // from somewhat wide to half as wide as square
			z := size{w, h}
			if c.shows(z) && z.cols(n) <= c.w {
				best = z
				break
			}
		}
	}
	if best.h == 0 {
		c.text(0, 0, s, style)
		return
	}
	c.large(0, (c.h-best.rows(glyphRows))/2, s, best, style)
}
