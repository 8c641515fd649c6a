package document

import (
	"encoding/json"
	"reflect"
	"strconv"
	"unicode/utf8"

	"mastworth/openapi"
)

var estimatePlan = newPlan(reflect.TypeFor[openapi.Estimate]())

// AppendEstimate appends an answer as JSON, byte for byte what WriteJSON writes but for the line break, in half the time: the
// writing of numbers aside, encoding/json spends most of it on cases that this document does not have. It panics on a number
// that is not finite, which FromEstimate lets through nowhere.
func AppendEstimate(b []byte, e *openapi.Estimate) []byte {
	return estimatePlan.append(b, reflect.ValueOf(e).Elem())
}

func (p *plan) append(b []byte, v reflect.Value) []byte {
	if p.pointer {
		if v.IsNil() {
			return append(b, "null"...)
		}
		return p.elem.append(b, v.Elem())
	}
	switch p.typ.Kind() {
	case reflect.Struct:
		if p.typ == tiltType {
			return appendTilt(b, v)
		}
		return p.appendFields(b, v)
	case reflect.Slice:
		if v.IsNil() {
			return append(b, "null"...)
		}
		b = append(b, '[')
		for i := range v.Len() {
			if i > 0 {
				b = append(b, ',')
			}
			b = p.elem.append(b, v.Index(i))
		}
		return append(b, ']')
	case reflect.Float64:
		return appendFloat(b, v.Float())
	case reflect.Int, reflect.Int64:
		return strconv.AppendInt(b, v.Int(), 10)
	case reflect.Bool:
		return strconv.AppendBool(b, v.Bool())
	default:
		return appendText(b, v.String())
	}
}

func (p *plan) appendFields(b []byte, v reflect.Value) []byte {
	b = append(b, '{')
	first := true
	for i := range p.fields {
		f := &p.fields[i]
		w := v.Field(f.index)
		if p.required&(1<<i) == 0 && isEmpty(w) {
			continue
		}
		if !first {
			b = append(b, ',')
		}
		first = false
		b = append(b, f.key...)
		b = f.plan.append(b, w)
	}
	return append(b, '}')
}

// isEmpty is what omitempty leaves out, of the kinds that optional fields have.
func isEmpty(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Pointer:
		return v.IsNil()
	case reflect.Slice:
		return v.Len() == 0
	default:
		return v.IsZero()
	}
}

func appendTilt(b []byte, v reflect.Value) []byte {
	if v.Field(0).Bool() {
		return append(b, `"best"`...)
	}
	return appendFloat(b, v.Field(1).Float())
}

// appendText quotes a text. One with nothing to escape, as nearly all are, is copied.
func appendText(b []byte, s string) []byte {
	ascii := true
	for i := range len(s) {
		c := s[i]
		if c < ' ' || c == '"' || c == '\\' {
			return appendEscaped(b, s)
		}
		ascii = ascii && c < utf8.RuneSelf
	}
	if !ascii {
		for _, r := range s {
			if r == utf8.RuneError || r == '\u2028' || r == '\u2029' {
				return appendEscaped(b, s)
			}
		}
	}
	b = append(b, '"')
	b = append(b, s...)
	return append(b, '"')
}

func appendEscaped(b []byte, s string) []byte {
	w := appender(b)
	e := json.NewEncoder(&w)
	e.SetEscapeHTML(false)
	if err := e.Encode(s); err != nil {
		panic("document: a string cannot be encoded")
	}
	return w[:len(w)-1] // without the line break
}

type appender []byte

func (a *appender) Write(p []byte) (int, error) {
	*a = append(*a, p...)
	return len(p), nil
}
