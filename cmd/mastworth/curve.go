package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource/ingest"
	"mastworth/yield/assess"
)

func curveCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "curve LOGFILE|DESIGNFILE",
		Short: "Make a power curve from a machine's own log, or from its design",
		Long: "A log is a table of wind and power (or volts and amps, or the generator's turns), read like any record; its curve is made\n" +
			"by the method of bins. A design is a document (.yaml or .json, or - for standard input) with a turbine as in a request, or a\n" +
			"whole request; a turbine's test_log in a document is read too. With --design beside a log, the two are compared,\n" +
			"in a table or, with --format svg, in one picture.",
		Args: oneArg("log or design"),
	}
	format := formatFlag(c, "table", "table", "json", "csv", "svg")
	beside := c.Flags().String("design", "", "a design to compare the log with")
	log := newLogFlags(c)
	reading := readingFlags(c)
	c.RunE = func(_ *cobra.Command, args []string) error {
		if err := format.check(); err != nil {
			return err
		}
		job := curveJob{s: s, name: args[0], format: format.value}
		if isDocument(args[0]) {
			return job.document(*beside, given(c))
		}
		turbine, err := log.turbine(args[0])
		if err != nil {
			return err
		}
		options, err := reading()
		if err != nil {
			return err
		}
		if err := job.openDesign(*beside); err != nil {
			return err
		}
		read, err := readByFlags(args[0], options, s.err)
		switch {
		case errors.Is(err, ingest.ErrUnknownFormat) && strings.EqualFold(filepath.Ext(args[0]), ".json"):
			return fmt.Errorf("no turbine in this document, and as a log, %w", err)
		case err != nil:
			return err
		}
		return inFlags(args[0], job.log(turbine, &read))
	}
	return c
}

// given are the flags on the command line, "--" before each.
func given(c *cobra.Command) []string {
	var out []string
	c.Flags().Visit(func(f *pflag.Flag) { out = append(out, "--"+f.Name) })
	return out
}

// isDocument tells a document from a log by its name, and where that can be either by what stands in it.
func isDocument(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".yaml", ".yml":
		return true
	case ".json":
		text, err := os.ReadFile(name)
		if err != nil {
			return false
		}
		words := string(text)
		return len(text) < maxDocument && slices.ContainsFunc([]string{`"turbine"`, `"design"`, `"test_log"`, `"power_curve"`},
			func(w string) bool { return strings.Contains(words, w) })
	}
	return name == "-"
}

// curveJob is one curve to be made and printed.
type curveJob struct {
	s            streams
	name, format string
	beside       *assess.Machine // the design to compare with; nil: none
}

// document makes the curve of a turbine in a document.
func (j *curveJob) document(beside string, flags []string) error {
	data, folder, in, within, err := readTurbine(j.name, j.s)
	if err != nil {
		return err
	}
	for _, f := range flags {
		if f != "--format" && (f != "--design" || in.TestLog == nil) {
			return usageError{fmt.Errorf("%s is of a log in a file of its own; %s is a document, which says that itself: leave %s out", f, j.name, f)}
		}
	}
	switch {
	case in.TestLog != nil:
		turbine, refs := document.ToTurbine(in)
		if err := j.openDesign(beside); err != nil {
			return err
		}
		if refs.Log.File == "" {
			return placed(data, within, &assess.InvalidError{Fields: []assess.FieldError{{Location: refs.Log.At + ".id",
				Detail: "names a record stored by a service, which this command does not have; name the file with file"}}})
		}
		read, err := loadRecord(turbine.TestLog.Record, refs.Log, folder, j.s.err)
		if err != nil {
			return err
		}
		return placed(data, within, inFields(j.log(turbine, &read)))
	case in.Design != nil:
		turbine, made, warnings, err := solveDesign(data, within, in)
		if err != nil {
			return err
		}
		return j.designed(&turbine, made, warnings)
	case in.Curve != nil:
		return usageError{fmt.Errorf("%s names a curve that a service keeps, which this command does not have; GET /v1/curves/%s answers it", j.name, in.Curve.ID)}
	}
	return usageError{fmt.Errorf("%s gives the turbine's power table, which needs no work; a design or a test_log is made into a curve", j.name)}
}

// openDesign works out the design that a log is to be compared with.
func (j *curveJob) openDesign(name string) error {
	if name == "" {
		return nil
	}
	data, _, in, within, err := readTurbine(name, j.s)
	if err != nil {
		return fmt.Errorf("--design: %w", err)
	}
	if in.Design == nil {
		return usageError{fmt.Errorf("--design: %s holds no design to compare with", name)}
	}
	_, j.beside, _, err = solveDesign(data, within, in)
	return err
}

// readTurbine reads a document with a turbine; within is where that stands in it.
func readTurbine(name string, s streams) (data []byte, folder string, in openapi.TurbineInput, within string, err error) {
	if data, folder, err = readDocument(name, s.in); err != nil {
		return nil, "", in, "", err
	}
	in, within, err = document.DecodeMachine(data, document.Auto)
	return data, folder, in, within, err
}

// solveDesign works a design out. A sweep wants a site's wind and is left aside, with a note.
func solveDesign(data []byte, within string, in openapi.TurbineInput) (assess.Turbine, *assess.Machine, []assess.Warning, error) {
	swept := in.Design.Sweep != nil
	in.Design.Sweep = nil
	turbine, _ := document.ToTurbine(in)
	turbine, made, warnings, err := assess.CurveOf(turbine)
	if err != nil {
		return turbine, nil, nil, placed(data, within, err)
	}
	if swept {
		warnings = append(warnings, assess.Warning{Code: "sweep_left_aside", Detail: "The sweep was left aside: it needs a site's wind. Put the " +
			"turbine into a request and estimate that."})
	}
	return turbine, made, warnings, nil
}

// placed puts line and column to the faults of a turbine; within is where the turbine stands in its document.
func placed(data []byte, within string, err error) error {
	if within != "" {
		return located(data, err)
	}
	return located(data, mapFaults(err, func(f *assess.FieldError) {
		f.Location = strings.TrimPrefix(strings.TrimPrefix(f.Location, "turbine"), ".")
	}))
}
