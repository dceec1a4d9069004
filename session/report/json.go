package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"stillhand/session"
)

// JSON writes r as the one document of `review --json`.
//
// Layout and numbers are stable, so that two documents can be compared as
// text: keys in the order of the struct, one note, shift or piece of advice a
// line, floats rounded by what their name says they measure (see decimals),
// no exponent, no negative zero. A float that is no number is written as
// null, a nil list as []. Control characters are escaped, also those that JSON
// would let through to a terminal (DEL and C1).
func JSON(w io.Writer, r *session.Review) error { return writeDocument(w, r) }

// writeDocument writes v, a struct or a pointer to one, piece by piece: a
// document of a million notes is never in memory as text.
func writeDocument(w io.Writer, v any) error {
	f, err := formOf(reflect.TypeOf(v), "")
	if err != nil {
		return err
	}
	e := encoder{w: w, buf: make([]byte, 0, 2*pieceSize)}
	e.value(reflect.ValueOf(v), f, 0)
	e.buf = append(e.buf, '\n')
	e.flush()
	return e.err
}

// decimals is how many places a float keeps. Seconds keep a tenth of a
// millisecond, the resolution of a recorded take; probabilities and shares
// four places; lengths a tenth of a millimetre, finer than a finger stands;
// gaps a tenth of a millisecond; an expected number of shifts two places.
func decimals(key string) int {
	switch {
	case strings.HasSuffix(key, "mm"), strings.HasSuffix(key, "_ms"):
		return 1
	case key == "likely":
		return 2
	default:
		return 4
	}
}

// Depth from which a value stays on one line: the document, its members, and
// the members' elements.
const inlineDepth = 2

// form is how a type is written under a key, worked out once a document.
type form struct {
	kind    reflect.Kind
	places  int     // of a float
	elem    *form   // of a pointer, list or map
	fields  []field // of a struct
	wide    bool    // holds lists, maps or structs: one a line
	pointed bool    // has a form of its own inside: a list, a map or a struct
	many    bool    // what a document has millions of, always in lists: appendOne writes it
}

// field is what the json tag of one struct field says.
type field struct {
	key       string // behind a comma, with quotes and colon
	index     int
	omitEmpty bool
	form      *form
}

// formOf works out how values of type t are written. Interfaces have no form:
// no document has one.
func formOf(t reflect.Type, key string) (*form, error) {
	f := &form{kind: t.Kind(), places: decimals(key)}
	var err error
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Map:
		if f.elem, err = formOf(t.Elem(), key); err != nil {
			return nil, err
		}
		f.wide = f.elem.pointed
		f.pointed = t.Kind() != reflect.Pointer || f.elem.pointed
	case reflect.Struct:
		f.pointed = true
		f.many = t == reflect.TypeFor[session.ReviewNote]() || t == reflect.TypeFor[session.ReviewStep]()
		for i := range t.NumField() {
			if !t.Field(i).IsExported() {
				continue
			}
			tag, options, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
			if tag == "-" {
				continue
			}
			if tag == "" {
				return nil, fmt.Errorf("json: %s has no name for %s", t, t.Field(i).Name)
			}
			x := field{key: ", " + strconv.Quote(tag) + ": ", index: i, omitEmpty: options == "omitempty"}
			if x.form, err = formOf(t.Field(i).Type, tag); err != nil {
				return nil, err
			}
			f.wide = f.wide || x.form.pointed
			f.fields = append(f.fields, x)
		}
	case reflect.Float64, reflect.String, reflect.Bool, reflect.Int, reflect.Int8, reflect.Int32:
	default:
		return nil, fmt.Errorf("json: %s at %q: no form for this kind of value", t, key)
	}
	return f, nil
}

// pieceSize is how much text is written at a time.
const pieceSize = 64 << 10

// encoder writes Go values by their json tags. encoding/json can neither round
// by field nor write null for NaN nor hand over a document in pieces;
// marshaller methods on the fields would push its layout into session's plain
// data. A note takes encoding/json four times as long (BenchmarkJSON).
type encoder struct {
	w   io.Writer
	buf []byte
	err error
}

func (e *encoder) flush() {
	if e.err == nil {
		_, e.err = e.w.Write(e.buf)
	}
	e.buf = e.buf[:0]
}

func (e *encoder) value(v reflect.Value, f *form, depth int) {
	if len(e.buf) >= pieceSize {
		e.flush()
	}
	switch f.kind {
	case reflect.Pointer:
		if v.IsNil() {
			e.buf = append(e.buf, "null"...)
			return
		}
		e.value(v.Elem(), f.elem, depth)
	case reflect.Float64:
		e.buf = appendFloat(e.buf, v.Float(), f.places)
	case reflect.String:
		e.text(v.String())
	case reflect.Slice:
		n := v.Len()
		e.open('[')
		for i := range n {
			e.next(i, f.wide, depth)
			e.value(v.Index(i), f.elem, depth+1)
		}
		e.end(']', n, f.wide, depth)
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		e.open('{')
		for i, key := range keys {
			e.next(i, f.wide, depth)
			e.text(key.String())
			e.buf = append(e.buf, ": "...)
			e.value(v.MapIndex(key), f.elem, depth+1)
		}
		e.end('}', len(keys), f.wide, depth)
	case reflect.Struct:
		if f.many {
			e.buf = appendOne(e.buf, v.Addr().Interface())
			return
		}
		e.open('{')
		wide := (f.wide || depth == 0) && depth < inlineDepth
		n := 0
		for i := range f.fields {
			x := &f.fields[i]
			member := v.Field(x.index)
			switch {
			case x.omitEmpty && empty(member):
				continue
			case wide:
				e.next(n, wide, depth)
				e.buf = append(e.buf, x.key[2:]...)
			case n == 0:
				e.buf = append(e.buf, x.key[2:]...)
			default:
				e.buf = append(e.buf, x.key...)
			}
			e.value(member, x.form, depth+1)
			n++
		}
		e.end('}', n, wide, depth)
	case reflect.Bool:
		e.buf = strconv.AppendBool(e.buf, v.Bool())
	default:
		e.buf = strconv.AppendInt(e.buf, v.Int(), 10)
	}
}

func (e *encoder) open(bracket byte) { e.buf = append(e.buf, bracket) }

// next goes to member i: on a line of its own when wide and not too deep.
func (e *encoder) next(i int, wide bool, depth int) {
	if i > 0 {
		e.buf = append(e.buf, ',')
	}
	if wide && depth < inlineDepth {
		e.line(depth + 1)
	} else if i > 0 {
		e.buf = append(e.buf, ' ')
	}
}

// end closes a value of n members.
func (e *encoder) end(bracket byte, n int, wide bool, depth int) {
	if wide && depth < inlineDepth && n > 0 {
		e.line(depth)
	}
	e.buf = append(e.buf, bracket)
}

func (e *encoder) line(depth int) {
	e.buf = append(e.buf, '\n')
	for range depth {
		e.buf = append(e.buf, "  "...)
	}
}

// exact is the size up to which a float holds every whole number.
const exact = 1 << 53

// appendFloat writes f rounded to places, without trailing zeros.
func appendFloat(b []byte, f float64, places int) []byte {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return append(b, "null"...)
	}
	unit := int64(1)
	for range places {
		unit *= 10
	}
	scaled := math.Round(f * float64(unit))
	if math.Abs(scaled) >= exact {
		return strconv.AppendFloat(b, f, 'f', -1, 64)
	}
	n := int64(scaled)
	if n < 0 {
		b, n = append(b, '-'), -n
	}
	b = strconv.AppendInt(b, n/unit, 10)
	rest := n % unit
	if rest == 0 {
		return b
	}
	b = append(b, '.')
	for ; rest > 0; rest = rest * 10 % unit {
		b = append(b, '0'+byte(rest*10/unit))
	}
	return b
}

func (e *encoder) text(s string) {
	if !strings.ContainsFunc(s, delicate) {
		e.buf = append(append(append(e.buf, '"'), s...), '"')
		return
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(s); err != nil {
		panic(err) // a string and a buffer
	}
	for _, r := range strings.TrimSuffix(b.String(), "\n") {
		if r >= 0x7f && r <= 0x9f {
			e.buf = fmt.Appendf(e.buf, `\u%04x`, r)
		} else {
			e.buf = utf8.AppendRune(e.buf, r)
		}
	}
}

// delicate reports whether a character may need escaping, or is not ASCII and
// left to encoding/json to judge.
func delicate(r rune) bool { return r < ' ' || r > '~' || r == '"' || r == '\\' }

func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map:
		return v.Len() == 0
	default:
		return v.IsZero()
	}
}
