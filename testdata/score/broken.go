package score

import (
	"bytes"
	"encoding/binary"
)

// Broken returns the small bad or odd files of testdata/broken, byte by byte:
// no library that writes good files would write these.
func Broken() map[string][]byte {
	on := func(delta, ch, pitch byte) []byte { return []byte{delta, 0x90 | ch, pitch, 96} }
	off := func(delta, ch, pitch byte) []byte { return []byte{delta, 0x80 | ch, pitch, 64} }
	end := []byte{0, 0xFF, 0x2F, 0}
	// quarter notes, half a second each: no tempo is given, so 120 a minute holds
	phrase := func(ch byte, pitches ...byte) []byte {
		var b []byte
		for _, p := range pitches {
			b = append(b, on(0, ch, p)...)
			b = append(b, off(96, ch, p)...)
		}
		return b
	}
	line := phrase(0, 28, 31, 33, 35)
	whole := midiFile(0, 1, 96, chunk("MTrk", line, end))
	long := midiFile(0, 1, 96, chunk("MTrk", line, line, line, end))
	return map[string][]byte{
		"broken/empty.mid":       {},
		"broken/text.mid":        []byte("Set list for the crossing:\n  Casting off\n  Gangway\n  Engine room\n"),
		"broken/notracks.mid":    midiFile(1, 0, 96),
		"broken/nonotes.mid":     midiFile(0, 1, 96, chunk("MTrk", []byte{0, 0xFF, 0x03, 7}, []byte("Silence"), []byte{0, 0xC0, 32}, end)),
		"broken/drums-only.mid":  midiFile(0, 1, 96, chunk("MTrk", phrase(9, 36, 42, 38, 42), end)),
		"broken/truncated.mid":   long[:len(long)*6/10],
		"broken/missing-end.mid": midiFile(0, 1, 96, chunk("MTrk", line)),
		"broken/riff.rmi":        riff(whole),
		"broken/smpte.mid":       midiFile(0, 1, 0xE728, chunk("MTrk", smpteLine(), end)), // 25 frames a second, 40 ticks a frame
		"broken/format2.mid":     midiFile(2, 2, 96, chunk("MTrk", line, end), chunk("MTrk", phrase(0, 40, 38, 35, 33), end)),
	}
}

// smpteLine is the same four notes in milliseconds: at 25 frames of 40 ticks a
// tick is one millisecond, and 500 of them are 83 74 (hexadecimal).
func smpteLine() []byte {
	var b []byte
	for _, p := range []byte{28, 31, 33, 35} {
		b = append(b, 0, 0x90, p, 96, 0x83, 0x74, 0x80, p, 64)
	}
	return b
}

func midiFile(format, tracks, division uint16, chunks ...[]byte) []byte {
	var head []byte
	for _, v := range []uint16{format, tracks, division} {
		head = binary.BigEndian.AppendUint16(head, v)
	}
	return append(chunk("MThd", head), bytes.Join(chunks, nil)...)
}

func chunk(kind string, parts ...[]byte) []byte {
	data := bytes.Join(parts, nil)
	return append(binary.BigEndian.AppendUint32([]byte(kind), uint32(len(data))), data...)
}

// riff wraps a MIDI file as RP-029 says: RIFF, RMID, one data chunk, sizes
// little-endian, padded to an even length.
func riff(file []byte) []byte {
	data := binary.LittleEndian.AppendUint32([]byte("RMIDdata"), uint32(len(file)))
	data = append(data, file...)
	if len(file)%2 == 1 {
		data = append(data, 0)
	}
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(data))), data...)
}
