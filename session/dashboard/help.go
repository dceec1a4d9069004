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
		if k.when == replaying || k.when == practising {
			special = append(special, k)
			continue
		}
		y++
		left.text(1, y, k.name, c.bold)
		left.text(9, y, k.does, c.plain)
	}
	if b.s != nil && b.s.Replay != nil {
		y += 2
		head(left, y, "Signs of the recording")
		left.signs(y, recordingSigns(c))
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
	y = right.signs(y, b.signs(c))
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

// sign is what the screen draws, and what it means.
type sign struct{ drawn, means string }

// signs writes them below row y and returns the last row.
func (c canvas) signs(y int, all []sign) int {
	for _, s := range all {
		y++
		c.text(1, y, s.drawn, c.bold)
		c.text(9, y, s.means, c.plain)
	}
	return y
}

// signs are those that no label on the screen explains, in the sitting that b
// shows.
func (b *board) signs(c canvas) []sign {
	practice := b.s != nil && b.s.Round != nil
	outline := "the other, where it costs least"
	if practice {
		outline = "the window that is asked for"
	}
	all := []sign{
		{"1" + c.dash + "4 0", "finger of a note; 0 is open"},
		{"~", "later notes may still change it"},
		{"?", "less than 80% sure; alone: 50%"},
		{string([]rune{c.maybeL, c.maybeFrame, c.maybeR}), "the hand is somewhere in here"},
		{string([]rune{c.otherL, c.otherFrame, c.otherR}), outline},
	}
	if practice {
		return append(all,
			sign{"(4)", "the note that is asked for next"},
			sign{string([]rune{c.beatOn, ' ', c.beatOff}), "beats: come, to come"})
	}
	return append(all,
		sign{string([]rune{c.line, ' ', c.broken, ' ', c.band}), "position: sure, unsure, may be"},
		sign{"+2 -3?", "a certain shift, a likely one"})
}

// recordingSigns are those of the bar of a whole recording.
func recordingSigns(c canvas) []sign {
	return []sign{
		{string([]rune{c.heights[0], c.heights[len(c.heights)/2], c.heights[len(c.heights)-1]}), "shifts there, few to many"},
		{string([]rune{c.past, c.head, c.future}), "played, here, to come"},
		{string(c.advice), "advice begins here"},
		{string(c.mark), "a mark in the take"},
		{string(c.loop), "the passage that loops"},
	}
}
