package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/spf13/cobra"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/yield/assess"
)

// maxDocument is the longest request document read, in bytes; document refuses it with a better message than a reader could.
const maxDocument = 2 << 20

func estimateCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "estimate FILE",
		Short: "Estimate energy and cost at each tower height, beside the solar array of equal cost",
		Long: "Read a request document (YAML or JSON; - is standard input) and print the estimate. A record it names is\n" +
			"looked for beside the document.",
		Args: oneArg("document"),
	}
	format := formatFlag(c, "table", "table", "json", "yaml")
	cash := c.Flags().Bool("cash", false, "print the cash of every year as well")
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := format.check(); err != nil {
			return err
		}
		data, folder, err := readDocument(args[0], s.in)
		if err != nil {
			return err
		}
		e, refs, err := estimateDocument(data, folder, s)
		if err != nil {
			return err
		}
		if format.value == "table" {
			return printEstimate(s.out, &e, *cash)
		}
		return printAs(s.out, format.value, document.FromEstimate(&e, refs, version))
	}
	return c
}

// readDocument reads the whole request document and tells the folder its record is beside.
func readDocument(name string, stdin io.Reader) (data []byte, folder string, err error) {
	if name == "-" {
		data, err = io.ReadAll(io.LimitReader(stdin, maxDocument))
		return data, ".", err
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, "", err
	}
	defer f.Close()
	data, err = io.ReadAll(io.LimitReader(f, maxDocument))
	return data, filepath.Dir(name), err
}

// estimateDocument turns the document's bytes into the estimate; faults carry their line and column.
func estimateDocument(data []byte, folder string, s streams) (assess.Estimate, document.Refs, error) {
	in, err := document.Decode(data, document.Auto)
	if err != nil {
		return assess.Estimate{}, document.Refs{}, err
	}
	loadFile, err := readLoad(in.Household, folder)
	if err != nil {
		return assess.Estimate{}, document.Refs{}, located(data, err)
	}
	months, err := readMonths(&in, folder)
	if err != nil {
		return assess.Estimate{}, document.Refs{}, located(data, err)
	}
	r, refs := document.ToRequest(in)
	r.Solar.MonthlyIrradiationRef = months
	// The cheap checks come first: nobody should wait for a large record to hear of a typing mistake.
	if err := located(data, ofLoadFile(loadFile, assess.Check(r))); err != nil {
		return assess.Estimate{}, refs, err
	}
	into := refs.Records(&r)
	for i, ref := range refs.All() {
		if ref.File == "" {
			return assess.Estimate{}, refs, located(data, &assess.InvalidError{Fields: []assess.FieldError{{Location: ref.At + ".id",
				Detail: "names a record stored by a service, which this command does not have; name the file with " + ref.At + ".file"}}})
		}
		if _, err := loadRecord(into[i], ref, folder, s.err); err != nil {
			return assess.Estimate{}, refs, err
		}
	}
	if d := r.Turbine.Design; d != nil && d.Sweep != nil {
		told, done := countProgress(s.err, "trying gears, windings and batteries")
		r.Progress = told
		defer done()
	}
	e, err := assess.Run(r)
	return e, refs, located(data, ofLoadFile(loadFile, err))
}

// readLoad puts what a household's load file holds in its place, and tells the file's name; empty where there is none.
func readLoad(h *openapi.HouseholdInput, folder string) (string, error) {
	if h == nil || h.LoadFile == nil {
		return "", nil
	}
	bad := func(format string, args ...any) (string, error) {
		return "", &assess.InvalidError{Fields: []assess.FieldError{{Location: "household.load_file", Detail: fmt.Sprintf(format, args...)}}}
	}
	name := *h.LoadFile
	if !filepath.IsAbs(name) {
		name = filepath.Join(folder, name)
	}
	f, err := os.Open(name)
	if err != nil {
		return bad("%s", err)
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, document.MaxLoadCSV+1))
	switch {
	case err != nil:
		return bad("%s", err)
	case len(b) == 0:
		return bad("%s is empty", name)
	case len(b) > document.MaxLoadCSV:
		return bad("%s is longer than the %d characters of a year's load by the hour", name, document.MaxLoadCSV)
	}
	csv := string(b)
	h.LoadCsv, h.LoadFile = &csv, nil
	return name, nil
}

// ofLoadFile blames the file for what is wrong with the load that was read from it.
func ofLoadFile(name string, err error) error {
	var inv *assess.InvalidError
	if name == "" || !errors.As(err, &inv) {
		return err
	}
	out := assess.InvalidError{Fields: slices.Clone(inv.Fields)}
	for i := range out.Fields {
		if f := &out.Fields[i]; f.Location == "household.load_csv" {
			f.Location, f.Detail = "household.load_file", name+", "+f.Detail
		}
	}
	return &out
}

// loadRecord reads the file a request names, and says how it was understood.
func loadRecord(into *assess.Record, ref *document.RecordRef, folder string, stderr io.Writer) (recordRead, error) {
	name := ref.File
	if !filepath.IsAbs(name) {
		name = filepath.Join(folder, name)
	}
	read, err := readRecord(name, ref.Options, ref.Screening, stderr)
	if err != nil {
		return read, fmt.Errorf("%s.file: %w", ref.At, err)
	}
	if err := uncut(name, &read.report); err != nil {
		return read, err
	}
	report := document.FromReport(&read.report)
	into.Series, into.Notes, into.UnitDoubts = read.series, document.ImportWarnings(&report), document.UnitDoubts(read.findings)
	return read, nil
}

// located puts line and column to the faults of a request, which the domain cannot know.
func located(data []byte, err error) error {
	var inv *assess.InvalidError
	if !errors.As(err, &inv) {
		return err
	}
	faults := make([]document.FieldError, len(inv.Fields))
	for i, f := range inv.Fields {
		faults[i] = document.FieldError{Location: f.Location, Detail: f.Detail}
	}
	return &document.Error{Fields: document.Locate(data, document.Auto, faults)}
}

// outputFormat is a --format flag with a closed list of words.
type outputFormat struct {
	value string
	words []string
}

func formatFlag(c *cobra.Command, words ...string) *outputFormat {
	f := &outputFormat{words: slices.Compact(words)}
	c.Flags().StringVar(&f.value, "format", words[0], "how to print: "+strings.Join(f.words, ", "))
	return f
}

func (f *outputFormat) check() error {
	if !slices.Contains(f.words, f.value) {
		return usageError{fmt.Errorf("--format must be one of %s, not %q", strings.Join(f.words, ", "), f.value)}
	}
	return nil
}

// printAs writes a document as JSON or YAML. YAML goes by way of JSON, so that both have the same names in the same order.
func printAs(w io.Writer, format string, doc any) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false) // as the service writes them
	err := enc.Encode(doc)
	if err != nil {
		return fmt.Errorf("writing the answer: %w", err)
	}
	out := b.Bytes()
	if format == "yaml" {
		if out, err = yaml.JSONToYAML(out); err != nil {
			return fmt.Errorf("writing the answer: %w", err)
		}
	}
	_, err = w.Write(out)
	return err
}
