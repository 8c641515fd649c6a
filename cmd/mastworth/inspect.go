package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/resource/ingest"
)

func inspectCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "inspect RECORDFILE",
		Short: "Show what was read from a record, what is wrong with it, and its statistics",
		Args:  oneArg("record file"),
	}
	format := formatFlag(c, "table", "table", "json")
	reading := readingFlags(c)
	c.RunE = func(_ *cobra.Command, args []string) error {
		if err := format.check(); err != nil {
			return err
		}
		options, err := reading()
		if err != nil {
			return err
		}
		read, err := readRecord(args[0], options, s.err)
		if err != nil {
			return err
		}
		if format.value == "json" {
			return printInspection(s.out, &read)
		}
		return printRecord(s.out, &read)
	}
	return c
}

// readingFlags adds a flag for every reading option and returns a function that collects those given. The kind of file is
// --kind here, since --format says how to print.
func readingFlags(c *cobra.Command) func() (ingest.Options, error) {
	type flag struct{ name, setting string }
	var flags []flag
	for _, o := range ingest.Settings() {
		name := strings.ReplaceAll(o.Name, "_", "-")
		if o.Name == "format" {
			name = "kind"
		}
		// An array, not a slice: values may hold commas.
		c.Flags().StringArray(name, nil, o.Doc)
		flags = append(flags, flag{name, o.Name})
	}
	return func() (ingest.Options, error) {
		var o ingest.Options
		var errs []error
		for _, f := range flags {
			values, err := c.Flags().GetStringArray(f.name)
			errs = append(errs, err)
			for _, v := range values {
				errs = append(errs, o.Set(f.setting, v))
			}
		}
		if err := errors.Join(append(errs, o.Validate())...); err != nil {
			return o, usageError{err}
		}
		return o, nil
	}
}

// printRecord writes a record for a person: what was read, what is wrong, and what the wind is like.
func printRecord(w io.Writer, r *recordRead) error {
	p := &printer{w: w}
	s := r.series
	p.line("%s: %d stamps of %s, %s to %s", r.report.Format, s.Len(), stepWords(s.StepS),
		localTime(s.Times[0], s.UTCOffsetS), localTime(s.Times[s.Len()-1], s.UTCOffsetS))
	if s.Place != nil {
		p.line("taken at %.4g, %.4g, %s m above sea level", s.Place.Point.Lat(), s.Place.Point.Lon(), number(s.Place.ElevationM, "%.4g"))
	}
	if s.Attribution != "" {
		p.line("%s", s.Attribution)
	}
	p.line("")
	p.line("Columns")
	for _, c := range r.report.Columns {
		if c.Quantity == "" {
			continue
		}
		height := ""
		if c.HeightM > 0 {
			height = fmt.Sprintf(" at %g m", c.HeightM)
		}
		p.line("  %-28s %s%s%s, %d missing", c.Name, c.Quantity, height, unitWords(c.Unit), c.Missing)
	}
	printTrouble(p, r)
	for _, i := range s.SpeedChannels() {
		printWind(p, s, i)
	}
	return p.err
}

// stepWords tells an averaging step in the largest unit it is whole in.
func stepWords(seconds int64) string {
	for _, u := range []struct {
		seconds int64
		name    string
	}{{86400, "day"}, {3600, "hour"}, {60, "minute"}} {
		if n := seconds / u.seconds; n > 0 && seconds%u.seconds == 0 {
			if n == 1 {
				return "one " + u.name
			}
			return fmt.Sprintf("%d %ss", n, u.name)
		}
	}
	return fmt.Sprintf("%d s", seconds)
}

func unitWords(unit string) string {
	if unit == "" {
		return ""
	}
	return " in " + unit
}

func localTime(unix, offset int64) string {
	return time.Unix(unix+offset, 0).UTC().Format("2006-01-02 15:04")
}

// printTrouble tells what had to be assumed, what could not be read, and what screening doubts.
func printTrouble(p *printer, r *recordRead) {
	if len(r.report.Assumptions) > 0 {
		p.line("")
		p.line("Assumed")
		for _, a := range r.report.Assumptions {
			p.wrapped("  - ", a)
		}
	}
	if r.report.ProblemCount > 0 {
		p.line("")
		p.line("Wrong in the file (%d)", r.report.ProblemCount)
		const shown = 12
		for _, x := range r.report.Problems[:min(shown, len(r.report.Problems))] {
			p.wrapped("  - ", fmt.Sprintf("line %d: %s (%s)", x.Line, x.Detail, x.Code))
		}
		if n := r.report.ProblemCount - shown; n > 0 {
			p.line("  and %d more: %s", n, countWords(r.report.ProblemCounts))
		}
	}
	if r.report.GapCount > 0 {
		p.line("")
		p.line("Gaps (%d, together %d steps)", r.report.GapCount, r.report.MissingStamps)
		const shown = 8
		for _, g := range r.report.Gaps[:min(shown, len(r.report.Gaps))] {
			p.line("  - %s to %s, %d steps", localTime(g.FromUnix, r.series.UTCOffsetS), localTime(g.ToUnix, r.series.UTCOffsetS), g.Missing)
		}
	}
	if len(r.findings) > 0 {
		p.line("")
		p.line("Doubtful, and so left out (the values stay in the record)")
		for _, f := range r.findings {
			p.wrapped("  - ", fmt.Sprintf("%s, %s: %s", f.Channel, f.Rule, f.Detail))
		}
	}
}

func countWords(counts map[string]int64) string {
	codes := make([]string, 0, len(counts))
	for code := range counts {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	for i, code := range codes {
		codes[i] = fmt.Sprintf("%s %d", code, counts[code])
	}
	return strings.Join(codes, ", ")
}

// printWind tells the statistics of one speed channel.
func printWind(p *printer, s *resource.Series, channel int) {
	p.line("")
	p.line("Wind: %s", s.Channels[channel].Name)
	st, err := resource.Describe(s, channel)
	if err != nil {
		p.wrapped("  ", err.Error())
		return
	}
	p.line("  usable      %d values, %.1f %% of the time; %d missing, %d left out", st.N, 100*st.Completeness, st.Missing, st.Flagged)
	if st.N == 0 {
		p.line("  there is no usable speed in it")
		return
	}
	p.line("  mean        %.2f m/s (mean of monthly means %s m/s), highest %.1f m/s", st.Mean, number(st.MeanOfMonths, "%.2f"), st.Max)
	p.line("  power       %.0f W/m² in air of %.3f kg/m³%s", st.PowerDensity, st.AirDensity, airWords(s))
	p.line("  calm        %.1f %%", 100*st.CalmShare)
	if st.FitError != nil {
		p.wrapped("  Weibull     ", st.FitError.Error())
	} else {
		p.line("  Weibull     shape %.3f ± %.3f, scale %.3f ± %.3f m/s (maximum likelihood; distance to the data %.3f)",
			st.Fit.Shape, st.Fit.ShapeSE, st.Fit.Scale, st.Fit.ScaleSE, st.Fit.Distance)
	}
	p.line("  by month    %s m/s", periodWords(st.Months[:]))
	p.line("  by hour     %s m/s", periodWords(st.Hours[:]))
	if st.Sectors == nil {
		return
	}
	p.line("  by direction")
	for _, sec := range st.Sectors {
		p.line("    %3.0f to %3.0f°  %5.1f %%  %s m/s", sec.FromDeg, sec.ToDeg, 100*sec.Share, number(sec.Mean, "%.2f"))
	}
}

// airWords says so where the density leans on sea level for want of a pressure or an elevation.
func airWords(s *resource.Series) string {
	known := s.Place != nil && s.Place.ElevationM == s.Place.ElevationM
	if known || s.Find(resource.Pressure, math.NaN()) >= 0 {
		return ""
	}
	return ", sea level assumed: the file tells neither pressure nor elevation"
}

func periodWords(periods []resource.PeriodStat) string {
	words := make([]string, len(periods))
	for i, m := range periods {
		words[i] = number(m.Mean, "%.1f")
	}
	return strings.Join(words, " ")
}

// inspection is what inspect answers for programs: the service's own import report and statistics.
type inspection struct {
	Import     openapi.ImportReport     `json:"import"`
	Statistics openapi.RecordStatistics `json:"statistics"`
}

// printInspection writes a record for a program.
func printInspection(w io.Writer, r *recordRead) error {
	statistics, err := document.FromStatistics(r.series, r.findings)
	if err != nil {
		return err
	}
	return printAs(w, "json", inspection{Import: document.FromReport(&r.report), Statistics: statistics})
}
