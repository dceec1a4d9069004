package report

import (
	"strconv"

	"stillhand/session"
)

// appendNote writes a note as the encoder would: a long take has millions, and
// little else. TestJSON_WritesNotesAsTheirTagsSay holds it to the tags.
func appendNote(b []byte, n *session.ReviewNote) []byte {
	b = appendFloat(append(b, `{"at_s": `...), n.At, 4)
	b = appendFloat(append(b, `, "off_s": `...), n.Off, 4)
	b = strconv.AppendInt(append(b, `, "pitch": `...), int64(n.Pitch), 10)
	b = strconv.AppendInt(append(b, `, "string": `...), int64(n.String), 10)
	b = strconv.AppendInt(append(b, `, "fret": `...), int64(n.Fret), 10)
	b = strconv.AppendInt(append(b, `, "finger": `...), int64(n.Finger), 10)
	b = strconv.AppendInt(append(b, `, "position": `...), int64(n.Position), 10)
	b = appendFloat(append(b, `, "probability": `...), n.Probability, 4)
	b = strconv.AppendInt(append(b, `, "low": `...), int64(n.Low), 10)
	b = strconv.AppendInt(append(b, `, "high": `...), int64(n.High), 10)
	if n.Slide != 0 {
		b = strconv.AppendInt(append(b, `, "slide": `...), int64(n.Slide), 10)
	}
	if n.Velocity != 0 {
		b = strconv.AppendInt(append(b, `, "velocity": `...), int64(n.Velocity), 10)
	}
	return append(b, '}')
}
