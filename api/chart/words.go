package chart

import catalogue "mastworth/api/words"

// Signs of units, and of what is not known: no words of a language.
const (
	wordUnknown         = "–"
	wordMetres          = "m"
	wordFeet            = "ft"
	wordMetresPerSecond = "m/s"
	wordMph             = "mph"
)

// word is what the catalogue has for pictures.
func word(key string, args ...any) string { return catalogue.Text("chart."+key, args...) }

// wordList is a row of them, such as the months.
func wordList(key string) []string { return catalogue.List("chart." + key) }
