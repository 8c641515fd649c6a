package ingest

import (
	"math"
	"strconv"
	"strings"
	"unicode"
)

// word is a piece of a column's name: letters, in lower case, or a number.
type word struct {
	text   string
	number float64 // NaN for letters
	eaten  bool    // part of a height or a length of time
}

// splitWords cuts a name where letters meet digits, where lower case meets upper case, and at anything else. "@" is the
// word "at". "windspeed" and the like become two words.
func splitWords(name string) []word {
	var words []word
	runes := []rune(name)
	for i := 0; i < len(runes); {
		from, r := i, runes[i]
		switch {
		case r == '@':
			words = append(words, word{text: "at", number: math.NaN()})
			i++
		case r >= '0' && r <= '9':
			for i < len(runes) && (isDigit(runes[i]) || runes[i] == '.' && i+1 < len(runes) && isDigit(runes[i+1])) {
				i++
			}
			v, err := strconv.ParseFloat(string(runes[from:i]), 64)
			if err != nil {
				v = math.Inf(1) // no height
			}
			words = append(words, word{text: string(runes[from:i]), number: v})
		case unicode.IsLetter(r):
			for i++; i < len(runes) && unicode.IsLetter(runes[i]) && !wordEnds(runes, i); i++ {
			}
			words = appendWord(words, strings.ToLower(string(runes[from:i])))
		default:
			i++
		}
	}
	return words
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// wordEnds reports whether a new word begins at i in camel case: speedMax, WSMax.
func wordEnds(r []rune, i int) bool {
	if !unicode.IsUpper(r[i]) {
		return false
	}
	return unicode.IsLower(r[i-1]) || i+1 < len(r) && unicode.IsLower(r[i+1]) && unicode.IsUpper(r[i-1])
}

func appendWord(words []word, s string) []word {
	add := func(s string) { words = append(words, word{text: s, number: math.NaN()}) }
	if rest, ok := strings.CutPrefix(s, "wind"); ok && rest != "" && vocabulary[s] == 0 {
		add("wind")
		s = rest
	}
	add(s)
	return words
}
