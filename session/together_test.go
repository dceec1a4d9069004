package session

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"stillhand/midiin"
)

// A string sounds one note at a time. Four strings struck together are a chord,
// and quick notes on one string are none.
func TestReview_WarnsOfNotesTogetherOnOneString(t *testing.T) {
	t.Parallel()
	const all = "notes were struck together with another on one string, which sounds one at a time: the channel may be no string, try --strings pitch"
	for name, c := range map[string]struct {
		strings string
		apart   time.Duration // between the notes of a chord
		channel byte          // of its second note
		alone   int           // single notes after it
		want    []string
	}{
		"told together":    {"1=4,2=3", 0, 0, 1, []string{"3 of 4 " + all}},
		"a slip":           {"1=4,2=3", 0, 0, 30, nil},
		"a quick run":      {"1=4,2=3", 20 * time.Millisecond, 0, 1, nil},
		"on two strings":   {"1=4,2=3", 0, 1, 1, nil},
		"no string known":  {"pitch", 0, 0, 1, nil},
		"nobody told them": {"auto", 0, 0, 1, nil},
	} {
		p := NewPipeline(plainSetup(t, map[string]string{"strings": c.strings}))
		at, end := time.Duration(0), []midiin.Event(nil)
		for i, key := range []byte{29, 33, 35} {
			channel := byte(0)
			if i > 0 {
				channel = c.channel
			}
			if c.channel > 0 && i == 2 {
				break
			}
			p.Event(midiin.Event{At: at, Data: [3]byte{0x90 | channel, key, 90}})
			end = append(end, midiin.Event{Data: [3]byte{0x80 | channel, key, 0}})
			at += c.apart
		}
		for _, e := range end {
			e.At = at + 300*time.Millisecond
			p.Event(e)
		}
		for range c.alone {
			at += time.Second
			p.Event(midiin.Event{At: at, Data: [3]byte{0x90, 31, 90}})
			p.Event(midiin.Event{At: at + 300*time.Millisecond, Data: [3]byte{0x80, 31, 0}})
		}
		p.End(at + 2*time.Second)
		assert.Equal(t, append([]string{"said by the file"}, c.want...), p.Review("x.mid", "", []string{"said by the file"}).Input.Warnings, name)
	}
}
