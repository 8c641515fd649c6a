package main

import (
	"fmt"
	"io"
	"os"

	"mastworth/resource"
	"mastworth/resource/ingest"
	"mastworth/yield/assess"
)

// recordRead is a record file as it was understood.
type recordRead struct {
	series   *resource.Series
	report   ingest.Report
	findings []resource.Finding
}

// readRecord reads and screens a record file, with a progress bar on a terminal.
func readRecord(name string, o ingest.Options, stderr io.Writer) (recordRead, error) {
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
	return recordRead{series: s, report: report, findings: resource.Screen(s)}, nil
}

// uncut refuses to estimate over a file whose last row breaks off: it was most likely cut short on its way here, and what is
// missing is not known.
func uncut(name string, r *ingest.Report) error {
	if r.ProblemCounts[ingest.ProblemCutRow] == 0 {
		return nil
	}
	e := &ingest.ReadError{Reason: "the file ends in the middle of a row", Remedy: "copy it again, or take the broken row out"}
	for _, p := range r.Problems {
		if p.Code == ingest.ProblemCutRow {
			e.Line = p.Line
		}
	}
	return fmt.Errorf("%s: %w", name, e)
}

// importWarnings tells an estimate what was wrong with its file and what had to be assumed in reading it.
func importWarnings(r *ingest.Report) []assess.Warning {
	var out []assess.Warning
	if n := r.ProblemCount; n > 0 {
		first := r.Problems[0]
		out = append(out, assess.Warning{Code: "record_problems", Detail: fmt.Sprintf("%d things are wrong in the record file, the first "+
			"in line %d: %s; see all with mastworth inspect", n, first.Line, first.Detail)})
	}
	for _, a := range r.Assumptions {
		out = append(out, assess.Warning{Code: "record_assumption", Detail: "reading the record: " + a})
	}
	return out
}
