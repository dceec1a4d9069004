package midiin

// decoder turns the bytes of a MIDI cable into channel messages (MIDI 1.0
// Detailed Specification 4.2.1): running status, real-time bytes anywhere, any
// other status byte ends what is pending. System exclusive data are passed
// over without being kept. The zero value is ready.
type decoder struct {
	status byte // running status; 0 if none, as within system messages
	first  byte // first data byte
	have   bool // first is set
}

// push takes one byte and reports whether it completed a message.
func (d *decoder) push(b byte) (msg [3]byte, ok bool) {
	switch {
	case b >= 0xF8: // real time: touches nothing
		return msg, false
	case b >= statusSysEx: // system exclusive and common: clear running status
		d.status, d.have = 0, false
		return msg, false
	case b >= 0x80:
		d.status, d.have = b, false
		return msg, false
	case d.status == 0:
		return msg, false
	case dataLength[d.status>>4] == 1:
		return [3]byte{d.status, b, 0}, true
	case !d.have:
		d.first, d.have = b, true
		return msg, false
	}
	d.have = false
	return [3]byte{d.status, d.first, b}, true
}
