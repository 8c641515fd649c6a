package main

import (
	"io"
	"regexp"
	"strings"

	"mastworth/resource"
	"mastworth/resource/ingest"
)

// The readers name their options as a document does; here they are flags.
var (
	optionNames  = optionPattern()
	optionsGiven = regexp.MustCompile(`\b(column|only)=("[^"]*"|[A-Za-z])`)
)

// optionPattern finds the names of options: those of several words wherever they stand, the others behind the word option.
func optionPattern() *regexp.Regexp {
	var long, short []string
	for _, o := range ingest.Settings() {
		if strings.Contains(o.Name, "_") {
			long = append(long, o.Name)
		} else {
			short = append(short, o.Name)
		}
	}
	return regexp.MustCompile(`(?:(?:\bthe )?\boption )?\b(?:` + strings.Join(long, "|") + `)\b|(?:\bthe )?\boption (?:` + strings.Join(short, "|") + `)\b`)
}

// flagWords says with flags what a text says with options.
func flagWords(text string) string {
	text = optionsGiven.ReplaceAllString(text, "--$1 $2")
	return optionNames.ReplaceAllStringFunc(text, func(name string) string {
		return "--" + optionFlag(strings.TrimPrefix(strings.TrimPrefix(name, "the "), "option "))
	})
}

// optionFlag is an option's flag. The kind of file is --kind, since --format says how to print.
func optionFlag(name string) string {
	if name == "format" {
		return "kind"
	}
	return strings.ReplaceAll(name, "_", "-")
}

// flagError is an error told with flags.
type flagError struct{ err error }

func (e flagError) Error() string { return flagWords(e.err.Error()) }
func (e flagError) Unwrap() error { return e.err }

// readByFlags is readRecord for a file that flags say how to read.
func readByFlags(name string, o ingest.Options, stderr io.Writer) (recordRead, error) {
	return readScreened(name, o, resource.ScreenOptions{}, stderr)
}

func readScreened(name string, o ingest.Options, rules resource.ScreenOptions, stderr io.Writer) (recordRead, error) {
	read, err := readRecord(name, o, rules, stderr)
	if err != nil {
		return read, flagError{err}
	}
	read.byFlags = true
	return read, nil
}
