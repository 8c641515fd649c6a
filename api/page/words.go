package page

import (
	"fmt"
	"math"
	"strconv"

	"mastworth/api/words"
)

// catalogue are all words of the pages by key.
func catalogue() map[string]string { return words.All() }

// text is the catalogue's words for a key, with arguments filled in as fmt does.
func text(key string, args ...any) (string, error) { return words.Find(key, args...) }

// Text is the catalogue's words for a key, for those who make a page's content; it panics where there are none.
func Text(key string, args ...any) string { return words.Text(key, args...) }

// number writes a number for reading: with so many decimals, a thin space between thousands, a dash for what is not known. It takes a
// float64, an int, or a pointer to a float64, where nil is not known.
func number(decimals int, v any) (string, error) {
	switch x := v.(type) {
	case float64:
		return Number(x, decimals), nil
	case int:
		return Number(float64(x), decimals), nil
	case int64:
		return Number(float64(x), decimals), nil
	case *float64:
		if x == nil {
			return unknown, nil
		}
		return Number(*x, decimals), nil
	}
	return "", fmt.Errorf("%T is no number", v)
}

const (
	unknown   = "–"
	minus     = "−"
	thinSpace = "\u202f"
)

// Number writes a number for reading; see the template function num.
func Number(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return unknown
	}
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	whole, rest := s, ""
	for i := range s {
		if s[i] == '.' {
			whole, rest = s[:i], s[i:]
		}
	}
	out := ""
	for len(whole) > 4 || out != "" && len(whole) > 3 {
		out = thinSpace + whole[len(whole)-3:] + out
		whole = whole[:len(whole)-3]
	}
	s = whole + out + rest
	if v < 0 && !isZero(s) {
		return minus + s
	}
	return s
}

func isZero(s string) bool {
	for _, r := range s {
		if r >= '1' && r <= '9' {
			return false
		}
	}
	return true
}
