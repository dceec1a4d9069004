package dashboard

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"stillhand/session"
)

// explained are the signs of g that the screen shows without a word beside
// them; the rest are the neck itself and what is drawn with its signs, what a
// label stands at, sides and corners of what is listed, and large letters.
func explained(g *glyphs) map[string]rune {
	return map[string]rune{
		"unsure side": g.maybeL, "unsure frame": g.maybeFrame, "outline": g.otherFrame,
		"unsure line": g.broken, "band": g.band,
		"advice": g.advice, "mark": g.mark, "loop": g.loop,
		"beat on": g.beatOn, "beat off": g.beatOff,
		"one shift": g.heights[0],
	}
}

func TestHelp_ExplainsEverySignThatIsDrawn(t *testing.T) {
	t.Parallel()
	help := func(b *board) { b.help = true }
	seen := map[string]bool{}
	for _, charset := range []string{"UTF-8", "US-ASCII"} {
		g := glyphsFor(charset, "xterm")
		for name, sittings := range map[string][]func(*session.Snapshot){
			"live":     {func(*session.Snapshot) {}, provisionalHand, listening},
			"replay":   {replayed, func(s *session.Snapshot) { provisionalHand(s); replayed(s) }},
			"practice": {inRound, atRung, findingReach, toBegin},
		} {
			for i, sitting := range sittings {
				s := sample(sitting)
				screen := render(t, 120, 40, charset, s)
				_, means, ok := strings.Cut(render(t, 80, 24, charset, s, help), "Keys")
				require.True(t, ok)
				for sign, r := range explained(g) {
					if strings.ContainsRune(screen, r) {
						seen[sign] = true
						if charset == "UTF-8" { // in ASCII signs are made of what words are made of
							assert.True(t, strings.ContainsRune(means, r), "%s, sitting %d: %s %c", name, i, sign, r)
						}
					}
				}
				assert.NotContains(t, means, "and more", "%s: the pedals have their room", name)
				for _, p := range []string{"cc64 = mark", "cc66 = swap"} {
					assert.Contains(t, means, p, name)
				}
				if strings.Contains(screen, "(4)") {
					seen["next"] = true
					assert.Contains(t, means, "(4)", name)
				}
			}
		}
	}
	for sign := range explained(&unicodeGlyphs) {
		assert.True(t, seen[sign], "no screen draws %s", sign)
	}
	assert.True(t, seen["next"])
}

func TestHelp_SaysItsSignsWhole(t *testing.T) {
	t.Parallel()
	for _, sitting := range []func(*session.Snapshot){provisionalHand, replayed, atRung} {
		terms := render(t, 80, 24, "UTF-8", sample(sitting), func(b *board) { b.help = true })
		b := &board{s: sample(sitting)}
		c := canvas{glyphs: &unicodeGlyphs}
		all := b.signs(c)
		if b.s.Replay != nil {
			all = append(all, recordingSigns(c)...)
		}
		for _, s := range all {
			assert.Regexp(t, `(?m)`+regexp.QuoteMeta(s.drawn)+` +`+regexp.QuoteMeta(s.means)+`( |$)`, terms)
		}
	}
}

// A terminal that is too small for the help, or for the first event, says that f
// shows the far view, and so it does, also where the help lies over the far view.
func TestHelp_TheFarViewIsWhereItIsPromised(t *testing.T) {
	t.Parallel()
	press := func(b *board) { b.do(session.Action{Kind: session.FarView}) }
	help := func(b *board) { b.help = true }
	far := func(b *board) { b.far = true }
	nothing := func(b *board) { b.s = nil }
	for name, small := range map[string][]func(*board){"help": {help}, "help over far": {far, help}, "nothing": {nothing}} {
		shown := strings.Join(strings.Fields(render(t, 60, 16, "UTF-8", sample(), small...)), " ")
		assert.Contains(t, shown, "f shows the far view", name)
		assert.NotContains(t, render(t, 60, 16, "UTF-8", sample(), append(small, press)...), "needs", name)
	}
	assert.Contains(t, render(t, 120, 40, "UTF-8", sample(), far, press), "last minute", "f is the way back too")
}
