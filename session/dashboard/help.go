package dashboard

// drawHelp lists the keys and pedals in force and what the signs mean.
func (b *board) drawHelp(c canvas) {
	left, right := c.cols(1, c.w/2-1), c.cols(c.w/2, c.w/2)
	y := 0
	head := func(at canvas, y int, s string) { at.text(0, y, s, c.bold) }
	head(left, y, "Keys")
	var special []binding
	for _, k := range bindings {
		if k.name == "" || !k.inForce(b.s) {
			continue
		}
		if k.when != always {
			special = append(special, k)
			continue
		}
		y++
		left.text(1, y, k.name, c.bold)
		left.text(9, y, k.does, c.plain)
	}
	y = 0
	if len(special) > 0 {
		if special[0].when == replaying {
			head(right, y, "Keys of the recording")
		} else {
			head(right, y, "Keys of the practice")
		}
		for _, k := range special {
			y++
			right.text(1, y, k.name, c.bold)
			right.text(9, y, k.does, c.plain)
		}
		y += 2
	}
	head(right, y, "Signs")
	for _, sign := range [][2]string{
		{"~", "later notes may still change it"},
		{"?", "less than 80% sure; alone: 50%"},
		{string([]rune{c.maybeL, c.maybeFrame, c.maybeR}), "the hand is somewhere in here"},
		{string([]rune{c.otherL, c.otherFrame, c.otherR}), "the other, where it costs least"},
		{"+2 -3?", "a certain shift, a likely one"},
	} {
		y++
		right.text(1, y, sign[0], c.bold)
		right.text(9, y, sign[1], c.plain)
	}
	y += 2
	head(right, y, "Pedals")
	if len(b.pedals) == 0 {
		right.text(1, y+1, "none bound; see --foot", c.plain)
	}
	for i, p := range b.pedals {
		if y+1+i == right.h-1 && i < len(b.pedals)-1 {
			right.text(1, y+1+i, "and more", c.plain)
			break
		}
		right.text(1, y+1+i, clip(p, right.w-1), c.plain)
	}
}
