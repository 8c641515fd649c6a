package main

import (
	"fmt"
	"io"
	"os"
	"regexp"

	"mastworth/resource"
	"mastworth/resource/ingest"
)

// recordRead is a record file as it was understood.
type recordRead struct {
	series    *resource.Series
	report    ingest.Report
	screening resource.ScreenOptions
	findings  []resource.Finding
	byFlags   bool // options were flags, and so are the remedies
}

// words is a text of the reader in the words of whoever said how to read.
func (r *recordRead) words(text string) string {
	if r.byFlags {
		return flagWords(text)
	}
	return columnSet.ReplaceAllString(text, `columns: {column: "$1", quantity: $2}`)
}

// columnSet is a setting of a column as text, which a document has as an entry of columns.
var columnSet = regexp.MustCompile(`column="([^"]*)=(\w+)"`)

// readRecord reads and screens a record file, with a progress bar on a terminal.
func readRecord(name string, o ingest.Options, rules resource.ScreenOptions, stderr io.Writer) (recordRead, error) {
	f, err := os.Open(name)
	if err != nil {
		return recordRead{}, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return recordRead{}, err
	}
	if info.IsDir() {
		return recordRead{}, usageError{fmt.Errorf("%s is a folder, not a record file", name)}
	}
	read, done := progress(stderr, info.Size(), "reading "+info.Name())
	o.SizeHint, o.Progress = info.Size(), read
	s, report, err := ingest.Read(f, o)
	done()
	if err != nil {
		return recordRead{}, fmt.Errorf("%s: %w", name, err)
	}
	findings, err := resource.ScreenWith(s, rules)
	if err != nil {
		return recordRead{}, usageError{err}
	}
	return recordRead{series: s, report: report, screening: rules, findings: findings}, nil
}

// uncut refuses to estimate over a file whose last row breaks off.
func uncut(name string, r *ingest.Report) error {
	cut, is := r.CutRow()
	if !is {
		return nil
	}
	return fmt.Errorf("%s: %w", name, &ingest.ReadError{Line: cut.Line, Reason: "the file ends in the middle of a row",
		Remedy: "copy it again, or take the broken row out"})
}
