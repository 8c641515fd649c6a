package main

import (
	"errors"
	"fmt"
	"io"
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
		Short: "Show what was read from a record, what is wrong with it, and its climate",
		Long: "Show what was read from a record, what is wrong with it, and what the wind is like. Of a climatology, which is no record, the\n" +
			"months are shown, with what a request can take of them.",
		Args: oneArg("record file"),
	}
	format := formatFlag(c, "table", "table", "json")
	sectors := c.Flags().Int("sectors", resource.SectorCount, "sectors of the wind rose: 8, 12, 16 or 36")
	leaveOut := c.Flags().StringArray("leave-out", nil, "a rule of screening to leave out; --rules lists them")
	limits := c.Flags().StringArray("limit", nil, "a limit of screening to set, as NAME=NUMBER; --rules lists them")
	rules := c.Flags().Bool("rules", false, "list the rules of screening and their limits too")
	reading := readingFlags(c)
	c.RunE = func(_ *cobra.Command, args []string) error {
		if err := format.check(); err != nil {
			return err
		}
		options, err := reading()
		if err != nil {
			return err
		}
		screening, err := document.ScreenOptions(*leaveOut, *limits)
		if err != nil {
			return usageError{err}
		}
		if !slices.Contains([]int{8, 12, 16, 36}, *sectors) {
			return usageError{fmt.Errorf("--sectors must be 8, 12, 16 or 36, not %d", *sectors)}
		}
		read, err := readScreened(args[0], options, screening, s.err)
		if errors.Is(err, ingest.ErrClimatology) {
			return inspectClimatology(s.out, args[0], format.value)
		}
		if err != nil {
			return err
		}
		if format.value == "json" {
			return printInspection(s.out, &read, *sectors)
		}
		return printRecord(s.out, &read, *sectors, *rules)
	}
	return c
}

// readingFlags adds a flag for every reading option and returns a function that collects those given. The kind of file is
// --kind here, since --format says how to print.
func readingFlags(c *cobra.Command) func() (ingest.Options, error) {
	type flag struct{ name, setting string }
	var flags []flag
	for _, o := range ingest.Settings() {
		name := optionFlag(o.Name)
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
			return o, usageError{flagError{err}}
		}
		return o, nil
	}
}

// printRecord writes a record for a person: what was read, what is wrong, and what the wind is like.
func printRecord(w io.Writer, r *recordRead, sectors int, rules bool) error {
	p := &printer{w: w}
	s := r.series
	p.columnsRead(r)
	printTrouble(p, r)
	if rules {
		printRules(p, r)
	}
	filled, _ := resource.FillShadow(s)
	for _, i := range s.SpeedChannels() {
		printWind(p, filled, i, sectors)
	}
	printShear(p, s)
	return p.err
}

// columnsRead tells what a file was taken for, its time, place and columns.
func (p *printer) columnsRead(r *recordRead) {
	s := r.series
	p.line("%s: %d stamps of %s, %s to %s", r.report.Format, s.Len(), stepWords(s.StepS),
		localTime(s.Times[0], s.UTCOffsetS), localTime(s.Times[s.Len()-1], s.UTCOffsetS)+" "+offsetWords(s.UTCOffsetS))
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
	if unused := unusedColumns(&r.report); len(unused) > 0 {
		p.wrapped("  not used: ", strings.Join(unused, ", "))
	}
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
			p.wrapped("  - ", r.words(a))
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
		if n := r.report.GapCount - shown; n > 0 {
			p.line("  and %d more", n)
		}
	}
	printFindings(p, r, "reported", "Odd, but used")
	printFindings(p, r, "flagged", "Doubtful, and so left out (the values stay in the record)")
}

// printFindings tells what screening found, a few of each rule and channel: a record with a fault in every second row is
// understood from the first of them.
func printFindings(p *printer, r *recordRead, action, heading string) {
	const shown = 4
	type kind struct {
		rule  string
		index int
	}
	told, more, values := map[kind]int{}, map[kind]int{}, map[kind]int{}
	var order []kind
	for i := range r.findings {
		f := &r.findings[i]
		if f.Action != action {
			continue
		}
		if len(order) == 0 {
			p.line("")
			p.line("%s", heading)
		}
		k := kind{f.Rule, f.Index}
		if told[k] == 0 {
			order = append(order, k)
		}
		if told[k]++; told[k] <= shown {
			p.wrapped("  - ", findingWords(f, r.series.UTCOffsetS))
			continue
		}
		more[k]++
		values[k] += f.Count
	}
	for _, k := range order {
		if more[k] > 0 {
			p.line("  and %d more of %s, %s (%d values)", more[k], channelWords(r.series, k.index), k.rule, values[k])
		}
	}
}

func channelWords(s *resource.Series, index int) string {
	if index < 0 {
		return "the time axis"
	}
	return s.Channels[index].Name
}

func findingWords(f *resource.Finding, offset int64) string {
	channel := f.Channel
	if f.Index < 0 {
		channel = "the time axis"
	}
	when := localTime(f.FromUnix, offset)
	if f.ToUnix != f.FromUnix {
		when += " to " + localTime(f.ToUnix, offset)
	}
	return fmt.Sprintf("%s, %s, %s (%d): %s", channel, f.Rule, when, f.Count, f.Detail)
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

// inspection is what inspect answers for programs: what the service answers of a record, in one document.
type inspection struct {
	Import     openapi.ImportReport     `json:"import"`
	Statistics openapi.RecordStatistics `json:"statistics"`
	Screening  openapi.Screening        `json:"screening"`
	Climates   []openapi.Climate        `json:"climates"`
}

// printInspection writes a record for a program.
func printInspection(w io.Writer, r *recordRead, sectors int) error {
	statistics, err := document.FromStatistics(r.series, r.findings)
	if err != nil {
		return err
	}
	out := inspection{Import: document.FromReport(&r.report), Statistics: statistics,
		Screening: document.FromScreening(r.screening, r.findings), Climates: []openapi.Climate{}}
	for _, i := range r.series.SpeedChannels() {
		c, err := document.ClimateOf(r.series, i, sectors)
		if err != nil {
			return err
		}
		out.Climates = append(out.Climates, c)
	}
	return printAs(w, "json", out)
}
