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
	"sync"

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

func writeDocument(w io.Writer, v any) error {
	e := encoder{}
	if err := e.value(reflect.ValueOf(v), "", 0); err != nil {
		return err
	}
	e.buf.WriteByte('\n')
	_, err := w.Write(e.buf.Bytes())
	return err
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

// encoder writes Go values by their json tags. encoding/json alone can neither
// round by field nor write null for NaN, and marshaller methods on the fields
// would push the layout of a document into session's plain data.
type encoder struct{ buf bytes.Buffer }

func (e *encoder) value(v reflect.Value, key string, depth int) error {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			e.buf.WriteString("null")
			return nil
		}
		return e.value(v.Elem(), key, depth)
	case reflect.Float32, reflect.Float64:
		e.float(v.Float(), decimals(key))
	case reflect.String:
		return e.text(v.String())
	case reflect.Slice, reflect.Array:
		return e.group('[', ']', v.Len(), depth, composite(v.Type().Elem()), func(i int) error {
			return e.value(v.Index(i), key, depth+1)
		})
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		return e.group('{', '}', len(keys), depth, composite(v.Type().Elem()), func(i int) error {
			if err := e.key(keys[i].String()); err != nil {
				return err
			}
			return e.value(v.MapIndex(keys[i]), keys[i].String(), depth+1)
		})
	case reflect.Struct:
		fields := members(v)
		wide := depth == 0 || slices.ContainsFunc(fields, func(f member) bool { return composite(f.value.Type()) })
		return e.group('{', '}', len(fields), depth, wide, func(i int) error {
			if err := e.key(fields[i].key); err != nil {
				return err
			}
			return e.value(fields[i].value, fields[i].key, depth+1)
		})
	case reflect.Bool:
		e.buf.WriteString(strconv.FormatBool(v.Bool()))
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		e.buf.WriteString(strconv.FormatInt(v.Int(), 10))
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		e.buf.WriteString(strconv.FormatUint(v.Uint(), 10))
	default:
		return fmt.Errorf("json: %s at %q: no form for this kind of value", v.Type(), key)
	}
	return nil
}

// group writes n members between open and end, each on a line of its own when
// wide and not too deep.
func (e *encoder) group(open, end byte, n, depth int, wide bool, member func(int) error) error {
	wide = wide && depth < inlineDepth && n > 0
	e.buf.WriteByte(open)
	for i := range n {
		if i > 0 {
			e.buf.WriteByte(',')
		}
		if wide {
			e.line(depth + 1)
		} else if i > 0 {
			e.buf.WriteByte(' ')
		}
		if err := member(i); err != nil {
			return err
		}
	}
	if wide {
		e.line(depth)
	}
	e.buf.WriteByte(end)
	return nil
}

func (e *encoder) line(depth int) {
	e.buf.WriteByte('\n')
	for range depth {
		e.buf.WriteString("  ")
	}
}

func (e *encoder) key(name string) error {
	if err := e.text(name); err != nil {
		return err
	}
	e.buf.WriteString(": ")
	return nil
}

func (e *encoder) float(f float64, places int) {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		e.buf.WriteString("null")
		return
	}
	s := strconv.FormatFloat(f, 'f', places, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		s = "0"
	}
	e.buf.WriteString(s)
}

func (e *encoder) text(s string) error {
	if !strings.ContainsFunc(s, delicate) {
		e.buf.WriteByte('"')
		e.buf.WriteString(s)
		e.buf.WriteByte('"')
		return nil
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(s); err != nil {
		return err
	}
	for _, r := range strings.TrimSuffix(b.String(), "\n") {
		if r >= 0x7f && r <= 0x9f {
			fmt.Fprintf(&e.buf, `\u%04x`, r)
		} else {
			e.buf.WriteRune(r)
		}
	}
	return nil
}

// delicate reports whether a character may need escaping, or is not ASCII and
// left to encoding/json to judge.
func delicate(r rune) bool { return r < ' ' || r > '~' || r == '"' || r == '\\' }

type member struct {
	key   string
	value reflect.Value
}

// members lists the fields that encoding/json would write, in order.
func members(v reflect.Value) []member {
	shape := shapeOf(v.Type())
	out := make([]member, 0, len(shape))
	for _, f := range shape {
		if value := v.Field(f.index); !f.omitEmpty || !empty(value) {
			out = append(out, member{f.key, value})
		}
	}
	return out
}

// field is what the json tag of one struct field says.
type field struct {
	key       string
	index     int
	omitEmpty bool
}

// shapes keeps the fields of each type, since a document has thousands of
// values of few types.
var shapes sync.Map // reflect.Type to []field

func shapeOf(t reflect.Type) []field {
	if shape, ok := shapes.Load(t); ok {
		return shape.([]field)
	}
	var shape []field
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if !f.IsExported() || name == "-" {
			continue
		}
		if name == "" {
			name = f.Name
		}
		shape = append(shape, field{name, i, options == "omitempty"})
	}
	shapes.Store(t, shape)
	return shape
}

func empty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Slice, reflect.Map:
		return v.Len() == 0
	case reflect.Struct:
		return false
	default:
		return v.IsZero()
	}
}

func composite(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Pointer:
		return composite(t.Elem())
	case reflect.Struct, reflect.Slice, reflect.Array, reflect.Map:
		return true
	}
	return false
}
