package document

import (
	"encoding/json"
	"reflect"
	"strconv"
	"time"
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
	switch p.form {
	case formFloat:
		return appendFloat(b, v.Float())
	case formPointer:
		if v.IsNil() {
			return append(b, "null"...)
		}
		return p.elem.append(b, v.Elem())
	case formText:
		return appendText(b, v.String())
	case formGroup:
		return p.appendFields(b, v)
	case formList, formPairs:
		return p.appendList(b, v)
	case formInteger:
		return strconv.AppendInt(b, v.Int(), 10)
	case formBool:
		return strconv.AppendBool(b, v.Bool())
	case formTime:
		return append(v.Interface().(time.Time).AppendFormat(append(b, '"'), time.RFC3339Nano), '"')
	case formRaw:
		return append(b, v.Bytes()...)
	case formTowers:
		if rule := v.Field(1); !rule.IsNil() {
			return p.other.append(b, rule.Elem())
		}
		return p.elem.append(b, v.Field(0))
	default:
		return appendTilt(b, v)
	}
}

func (p *plan) appendList(b []byte, v reflect.Value) []byte {
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
	if !plainASCII(s) && !plainUnicode(s) {
		return appendEscaped(b, s)
	}
	b = append(b, '"')
	b = append(b, s...)
	return append(b, '"')
}

// plainASCII reports whether s is printable ASCII without quotes and backslashes. It looks at eight bytes at a time: in x, a
// byte's high bit is set where that byte is below space, a quote, a backslash or no ASCII; borrows reach only bytes above
// one that is such a byte itself.
func plainASCII(s string) bool {
	const (
		ones  = 0x0101010101010101
		highs = 0x8080808080808080
	)
	for len(s) >= 8 {
		w := uint64(s[0]) | uint64(s[1])<<8 | uint64(s[2])<<16 | uint64(s[3])<<24 | uint64(s[4])<<32 | uint64(s[5])<<40 |
			uint64(s[6])<<48 | uint64(s[7])<<56
		x := w | (w - ones*' ') | ((w ^ ones*'"') - ones) | ((w ^ ones*'\\') - ones)
		if x&highs != 0 {
			return false
		}
		s = s[8:]
	}
	for i := range len(s) {
		if c := s[i]; c < ' ' || c == '"' || c == '\\' || c >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// plainUnicode is the same for any UTF-8, but for what encoding/json escapes for JavaScript's sake.
func plainUnicode(s string) bool {
	for _, r := range s {
		switch r {
		case '"', '\\', utf8.RuneError, '\u2028', '\u2029':
			return false
		}
		if r < ' ' {
			return false
		}
	}
	return true
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
