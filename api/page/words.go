package page

import (
	"fmt"
	"math"
	"strconv"
	"sync"

	"github.com/goccy/go-yaml"
)

// catalogue are all words of the pages by key, read when the first is wanted: that takes longer than all else a start does. Another language
// is another file like words/en.yaml.
var catalogue = sync.OnceValue(func() map[string]string { return readWords("en") })

func readWords(language string) map[string]string {
	raw, err := files.ReadFile("words/" + language + ".yaml")
	if err != nil {
		panic("page: " + err.Error())
	}
	words := map[string]string{}
	if err := yaml.Unmarshal(raw, &words); err != nil {
		panic("page: words/" + language + ".yaml: " + err.Error())
	}
	return words
}

// text is the catalogue's words for a key, with arguments filled in as fmt does.
func text(key string, args ...any) (string, error) {
	words, ok := catalogue()[key]
	switch {
	case !ok:
		return "", fmt.Errorf("the catalogue has no words for %q", key)
	case len(args) > 0:
		return fmt.Sprintf(words, args...), nil
	}
	return words, nil
}

// Text is the catalogue's words for a key, for those who make a page's content; it panics where there are none.
func Text(key string, args ...any) string {
	words, err := text(key, args...)
	if err != nil {
		panic("page: " + err.Error())
	}
	return words
}

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
