package store

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"slices"
	"time"
)

// A journal is journalMagic followed by records:
//
//	2 bytes  recordMark, to find the next record after damage
//	2 bytes  length of the body, little-endian as all numbers here
//	4 bytes  sequence, counting records from 0
//	4 bytes  CRC-32C of length, sequence and body
//	body     1 byte kind, 8 bytes time in ns from the start, then the payload
//
// A record is known by its sequence, not by its place: the recorder writes
// records again when the disk reported that it may have lost them.

const (
	journalMagic = "stillhand-journal 1\n"
	recordMark   = 0xa7d3
	recordHead   = 12
	bodyHead     = 9
	maxPayload   = 1 << 15 // longest text kept; longer is cut
)

type recordKind byte

const (
	startRecord   recordKind = iota + 1 // payload: start of the take, RFC 3339
	fieldRecord                         // payload: key=value
	messageRecord                       // payload: status and two data bytes
	markerRecord                        // payload: text
	textRecord                          // payload: text
	unsavedRecord                       // payload: uint32, events that could not be kept before this
)

type record struct {
	sequence uint32
	kind     recordKind
	at       time.Duration
	payload  []byte
}

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// appendRecord appends one record to buf.
func appendRecord[P []byte | string](buf []byte, sequence uint32, kind recordKind, at time.Duration, payload P) []byte {
	payload = payload[:min(len(payload), maxPayload)]
	start := len(buf)
	buf = binary.LittleEndian.AppendUint16(buf, recordMark)
	buf = binary.LittleEndian.AppendUint16(buf, uint16(bodyHead+len(payload)))
	buf = binary.LittleEndian.AppendUint32(buf, sequence)
	buf = binary.LittleEndian.AppendUint32(buf, 0)
	buf = append(buf, byte(kind))
	buf = binary.LittleEndian.AppendUint64(buf, uint64(at))
	buf = append(buf, payload...)
	binary.LittleEndian.PutUint32(buf[start+8:], recordSum(buf[start:]))
	return buf
}

func recordSum(record []byte) uint32 {
	sum := crc32.Update(0, castagnoli, record[2:8])
	return crc32.Update(sum, castagnoli, record[recordHead:])
}

// readRecord reads the record at the start of data and returns its whole
// length, or 0 if no undamaged record stands there.
func readRecord(data []byte) (record, int) {
	if len(data) < recordHead+bodyHead || binary.LittleEndian.Uint16(data) != recordMark {
		return record{}, 0
	}
	body := int(binary.LittleEndian.Uint16(data[2:]))
	if body < bodyHead || body > bodyHead+maxPayload || recordHead+body > len(data) {
		return record{}, 0
	}
	data = data[:recordHead+body]
	if binary.LittleEndian.Uint32(data[8:]) != recordSum(data) {
		return record{}, 0
	}
	return record{
		sequence: binary.LittleEndian.Uint32(data[4:]),
		kind:     recordKind(data[recordHead]),
		at:       time.Duration(binary.LittleEndian.Uint64(data[recordHead+1:])),
		payload:  data[recordHead+bodyHead:],
	}, len(data)
}

// damage is a stretch of a journal that is not a record.
type damage struct {
	at, bytes int
}

// readJournal returns every undamaged record, in the order of their
// sequences, each once, and the stretches between them that could not be
// read. Payloads alias data.
func readJournal(data []byte) ([]record, []damage) {
	var records []record
	var damages []damage
	at := 0
	mark := binary.LittleEndian.AppendUint16(nil, recordMark)
	ordered := true
	for at < len(data) {
		if bytes.HasPrefix(data[at:], []byte(journalMagic)) { // further on too, when it was written again
			at += len(journalMagic)
			continue
		}
		rec, n := readRecord(data[at:])
		if n > 0 {
			ordered = ordered && (len(records) == 0 || rec.sequence > records[len(records)-1].sequence)
			records = append(records, rec)
			at += n
			continue
		}
		from := at
		for n == 0 && at < len(data) {
			next := bytes.Index(data[at+1:], mark)
			if next < 0 {
				at = len(data)
				break
			}
			at += 1 + next
			_, n = readRecord(data[at:])
		}
		damages = append(damages, damage{from, at - from})
	}
	if !ordered {
		slices.SortStableFunc(records, func(a, b record) int { return cmp.Compare(a.sequence, b.sequence) })
		records = slices.CompactFunc(records, func(a, b record) bool { return a.sequence == b.sequence })
	}
	return records, damages
}

// missing counts the sequences absent before the last record read. What is
// cut off behind it leaves no trace but its damage.
func missing(records []record) int {
	if len(records) == 0 {
		return 0
	}
	return int(records[len(records)-1].sequence) + 1 - len(records)
}

// journalWarnings says what of a damaged journal could not be read, naming
// bytes, and what that lost; nothing if all was read.
func journalWarnings(name string, records []record, damages []damage, size int) []string {
	var warnings []string
	for _, d := range damages {
		if d.at+d.bytes == size {
			warnings = append(warnings, fmt.Sprintf("%s: cut off or damaged from byte %d to the end at byte %d", name, d.at, size))
		} else {
			warnings = append(warnings, fmt.Sprintf("%s: damaged at byte %d: %d bytes skipped", name, d.at, d.bytes))
		}
	}
	if gone := missing(records); gone > 0 {
		warnings = append(warnings, fmt.Sprintf("%s: %d of %d records lost", name, gone, gone+len(records)))
	}
	return warnings
}
