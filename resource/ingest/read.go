package ingest

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"mastworth/resource"
)

// ErrUnknownFormat says that no reader knows the content, or that Options.Format names none. It comes wrapped in a
// *ReadError, which says what the content looks like and what to do.
var ErrUnknownFormat = errors.New("unknown format")

// ReadError says why a file cannot be read, where, and what would help.
type ReadError struct {
	Line   int    // 1-based; 0 when the trouble is not in one line
	Column int    // 1-based; 0 when it is not in one column
	Reason string // what is wrong
	Remedy string // what to do about it
	err    error
}

func (e *ReadError) Error() string {
	var b strings.Builder
	if e.Line > 0 {
		fmt.Fprintf(&b, "line %d: ", e.Line)
	}
	if e.Column > 0 {
		fmt.Fprintf(&b, "column %d: ", e.Column)
	}
	b.WriteString(e.Reason)
	if e.Remedy != "" {
		b.WriteString("; " + e.Remedy)
	}
	return b.String()
}

// Unwrap makes ErrUnknownFormat findable with errors.Is.
func (e *ReadError) Unwrap() error { return e.err }

// reader is one format: its name, how its content is recognised from the first bytes, and what reads it.
type reader struct {
	name  string
	looks func(head []byte) bool
	read  func(in *input) (*resource.Series, error)
}

// readers in the order in which they are asked; the logger CSV takes what no other knows, so it stays last.
var readers = []reader{
	{"epw", looksEPW, readEPW},
	{"tmy3", looksTMY3, readTMY3},
	{"isd_lite", looksISDLite, readISDLite},
	{"isd", looksISD, readISD},
	{"isd_csv", looksISDCSV, readISDCSV},
	{"ghcn_hourly", looksGHCN, readGHCN},
	{"airport_reports", looksAirport, readAirport},
	{"nasa_power_csv", looksPowerCSV, readPowerCSV},
	{"nasa_power_json", looksPowerJSON, readPowerJSON},
	{"open_meteo_csv", looksOpenMeteoCSV, readOpenMeteoCSV},
	{"open_meteo_json", looksOpenMeteo, readOpenMeteo},
	{"parquet", looksParquet, readParquet},
	{"logger_csv", looksText, readLogger},
}

// Formats lists the names that Options.Format takes, in the order in which content is tried against them.
func Formats() []string {
	names := make([]string, len(readers))
	for i := range readers {
		names[i] = readers[i].name
	}
	return names
}

// formatNames spares Validate from going through readers.
var formatNames = Formats()

// input is what a reader works on and with.
type input struct {
	src *source
	o   *Options
	rep *Report
}

// Read reads one record. The format is o.Format or, when that is empty, found from the content. Content compressed with
// gzip, or in a zip archive with one data file, is unpacked on the way; o.MaxBytes then holds for both forms.
//
// The error is a *ReadError when the content is at fault, an *OptionError (perhaps several, joined) when the options
// are, and the reader's own error, wrapped, when reading from r failed. The Report is filled as far as reading came,
// also beside an error.
func Read(r io.Reader, o Options) (*resource.Series, Report, error) {
	rep := Report{}
	if err := o.Validate(); err != nil {
		return nil, rep, err
	}
	src, member, err := unwrap(newSource(r, &o), &o)
	if err != nil {
		return nil, rep, err
	}
	rep.Member = member
	head, err := src.peek(headBytes)
	if err != nil {
		return nil, rep, err
	}
	rd, err := choose(head, o.Format)
	if err != nil {
		return nil, rep, err
	}
	rep.Format = rd.name
	s, err := rd.read(&input{src: src, o: &o, rep: &rep})
	if err != nil {
		return nil, rep, err
	}
	s.SourceFormat = rd.name
	return s, rep, nil
}

// choose finds the reader by name, or by content.
func choose(head []byte, format string) (*reader, error) {
	if err := refuse(head); err != nil {
		return nil, err
	}
	for i := range readers {
		if rd := &readers[i]; rd.name == format || format == "" && rd.looks(head) {
			return rd, nil
		}
	}
	return nil, &ReadError{
		Reason: "the content is of no kind that can be read",
		Remedy: "the kinds are " + strings.Join(Formats(), ", "),
		err:    ErrUnknownFormat,
	}
}
