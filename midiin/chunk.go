package midiin

import (
	"bytes"
	"encoding/binary"
)

const chunkHead = 8 // bytes of a chunk's name and length

// maxTracks is as many tracks as a header can promise.
const maxTracks = 1<<16 - 1

// unwrap returns where the MIDI data lie: the whole file, or the data chunk of
// a RIFF file of form RMID (RP-029).
func (s *scan) unwrap() (pos, end int) {
	data := s.data
	if len(data) < 12 || string(data[:4]) != "RIFF" || string(data[8:12]) != "RMID" {
		return 0, len(data)
	}
	for pos = 12; len(data)-pos >= chunkHead; {
		size := int64(binary.LittleEndian.Uint32(data[pos+4:]))
		left := int64(len(data) - pos - chunkHead)
		if string(data[pos:pos+4]) == "data" {
			if size > left {
				s.warnings.add("byte %d: the RIFF data chunk is cut off: %d of %d bytes are there", pos+4, left, size)
				size = left
			}
			return pos + chunkHead, pos + chunkHead + int(size)
		}
		pos += chunkHead + int(min(size+size%2, left))
	}
	return 0, len(data)
}

// isChunk reports whether b can be the beginning of a chunk: a name of four
// printable ASCII characters and a length, or nothing at all.
func isChunk(b []byte) bool {
	if len(b) == 0 {
		return true
	}
	if len(b) < chunkHead {
		return false
	}
	for _, c := range b[:4] {
		if c < ' ' || c > '~' {
			return false
		}
	}
	return true
}

// chunks walks the chunks from pos: tracks are surveyed, others skipped. Wrong
// lengths of tracks are put right where the events themselves show the end.
func (s *scan) chunks(pos, end int) {
	data := s.data
	sounding := new(sounding)
	for end-pos >= chunkHead {
		name, length := string(data[pos:pos+4]), int64(binary.BigEndian.Uint32(data[pos+4:]))
		body, stop := pos+chunkHead, end
		if length <= int64(end-pos-chunkHead) {
			stop = body + int(length)
		}
		if name == "MThd" {
			s.warnings.add("byte %d: another file begins here and is not read: split them", pos)
			return
		}
		if name != "MTrk" {
			if !isChunk(data[pos:end]) {
				i := bytes.Index(data[pos:end], []byte("MTrk"))
				if i < 0 {
					break
				}
				s.warnings.add("byte %d: %d bytes that are no chunk skipped", pos, i)
				pos += i
				continue
			}
			pos = stop
			continue
		}
		wrong := length > int64(end-body) || !isChunk(data[stop:end])
		if length > int64(end-body) || wrong && !s.endsWithin(body, stop) {
			// The track goes on to the next one.
			stop = end
			if i := bytes.Index(data[body:end], []byte("MTrk")); i >= 0 {
				stop = body + i
			}
		}
		if len(s.tracks) == maxTracks {
			s.warnings.add("byte %d: the tracks from here on are skipped: a file has at most %d", pos, maxTracks)
			return
		}
		s.tracks = append(s.tracks, track{start: body, end: stop})
		ends := s.survey(len(s.tracks)-1, sounding)
		if wrong && ends < stop && isChunk(data[ends:end]) {
			stop = ends // the length ran into the chunk that follows, or over it
		}
		s.tracks[len(s.tracks)-1].end = stop
		pos = stop
	}
	if pos < end {
		s.warnings.add("byte %d: %d bytes at the end are no chunk", pos, end-pos)
	}
}

// endsWithin reports whether the events from start come to an End of Track
// before stop.
func (s *scan) endsWithin(start, stop int) bool {
	c := cursor{data: s.data, pos: start, end: stop}
	for c.next() {
	}
	return c.ended
}
