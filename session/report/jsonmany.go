package report

import (
	"strconv"

	"stillhand/session"
)

// appendOne writes what v points to as the encoder would, and as a test holds it
// to: reading the tags of millions takes twice as long.
func appendOne(b []byte, v any) []byte {
	switch v := v.(type) {
	case *session.ReviewNote:
		return appendNote(b, v)
	case *session.ReviewStep:
		return appendStep(b, v)
	}
	panic("json: no writer of its own")
}

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

func appendStep(b []byte, s *session.ReviewStep) []byte {
	b = strconv.AppendInt(append(b, `{"note": `...), int64(s.Note), 10)
	b = strconv.AppendInt(append(b, `, "string": `...), int64(s.String), 10)
	b = strconv.AppendInt(append(b, `, "fret": `...), int64(s.Fret), 10)
	b = strconv.AppendInt(append(b, `, "finger": `...), int64(s.Finger), 10)
	b = strconv.AppendInt(append(b, `, "position": `...), int64(s.Position), 10)
	return append(b, '}')
}
