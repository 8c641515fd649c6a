package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/resource/ingest"
	"mastworth/yield/assess"
	"mastworth/yield/harvest"
)

func harvestCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "harvest SITE READINGS",
		Short: "Hold what a meter read against what an estimate promised for the same time",
		Long: "SITE is a request document (YAML or JSON). READINGS is a CSV file whose first line names the columns: time, and\n" +
			"meter_kwh (a counter) or energy_kwh (of the time since the row before). Where a record covers the time, the\n" +
			"promise is corrected for how windy it was: the site's wind record, the reference it is stretched by, or --wind.",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return usageError{errors.New("harvest needs a request document and a CSV file of readings")}
			}
			return nil
		},
	}
	format := formatFlag(c, "table", "table", "json", "yaml")
	hub := c.Flags().Float64("hub-height", 0, "hub height of the mast that was built, m, one of the document's; left out, the one with the cheapest kWh")
	wind := c.Flags().String("wind", "", "a record file that tells how windy the time was, instead of the site's own")
	clock := c.Flags().String("utc-offset", "", "local standard time less UTC, such as +01:00, of readings that do not say; left out, by the site's longitude")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if err := format.check(); err != nil {
			return err
		}
		in := document.HarvestInput{HubHeightM: nan}
		if c.Flags().Changed("hub-height") {
			in.HubHeightM = *hub
		}
		data, folder, err := readDocument(args[0], s.in)
		if err != nil {
			return err
		}
		e, refs, err := estimateDocument(data, folder, s)
		if err != nil {
			return err
		}
		in.UTCOffsetS = document.ClockAt(e.Request.Site.LongitudeDeg)
		if *clock != "" {
			if in.UTCOffsetS, err = offsetOf(*clock); err != nil {
				return err
			}
		}
		warnings, err := readReadings(&in, args[1])
		if err != nil {
			return err
		}
		if err := harvestRecord(&in, &e, refs, *wind, s.err); err != nil {
			return err
		}
		estimate := document.FromEstimate(&e, refs, version)
		out, err := document.HarvestOf(&estimate, &in)
		if err != nil {
			return harvestFault(err)
		}
		out.Warnings = append(warnings, out.Warnings...)
		if format.value == "table" {
			return printHarvest(s.out, &out)
		}
		return printAs(s.out, format.value, out)
	}
	return c
}

// harvestFault makes a mast that is not there a mistake of the command line.
func harvestFault(err error) error {
	var none *document.NoSuchHeightError
	if errors.As(err, &none) {
		return usageError{fmt.Errorf("--hub-height %w", err)}
	}
	return err
}

func offsetOf(text string) (int64, error) {
	t, err := time.Parse("Z07:00", text)
	if err != nil {
		return 0, usageError{fmt.Errorf("--utc-offset must be such as +01:00, not %q", text)}
	}
	_, offset := t.Zone()
	return int64(offset), nil
}

// readReadings reads the table of readings.
func readReadings(in *document.HarvestInput, name string) (openapi.Warnings, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxDocument))
	if err != nil {
		return nil, err
	}
	readings, told, err := harvest.ReadCSV(text, in.UTCOffsetS)
	if err != nil {
		return nil, usageError{fmt.Errorf("%s:\n  %s", name, strings.ReplaceAll(err.Error(), "\n", "\n  "))}
	}
	in.Readings = readings
	var warnings openapi.Warnings
	for _, w := range told {
		warnings = append(warnings, openapi.Warning(w))
	}
	return warnings, nil
}

// harvestRecord finds the record that tells how windy the time was: the one named, or that of the site's which covers most of it.
func harvestRecord(in *document.HarvestInput, e *assess.Estimate, refs document.Refs, named string, stderr io.Writer) error {
	if named != "" {
		read, err := readRecord(named, ingest.Options{}, resource.ScreenOptions{}, stderr)
		if err != nil {
			return err
		}
		in.Record, in.RecordRef = read.series, named
		return nil
	}
	first, last := in.Readings[0].AtUnix, in.Readings[0].AtUnix
	for _, r := range in.Readings {
		first, last = min(first, r.AtUnix), max(last, r.AtUnix)
		if r.FromUnix != 0 {
			first = min(first, r.FromUnix)
		}
	}
	most := int64(0)
	take := func(rec *assess.Record, ref *document.RecordRef, powers func(hubM float64) ([]float64, error)) {
		if rec == nil || ref == nil || rec.Series == nil || rec.Series.Len() == 0 {
			return
		}
		t := rec.Series.Times
		if both := min(last, t[len(t)-1]) - max(first, t[0]); both > most {
			most, in.Record, in.RecordRef, in.Powers = both, rec.Series, ref.File, powers
		}
	}
	take(e.Request.Wind.Record, refs.Wind, func(hubM float64) ([]float64, error) { return assess.OwnPowers(e.Request, hubM) })
	if long := e.Request.Wind.LongTerm; long != nil {
		take(long.Reference, refs.Reference, nil)
	}
	return nil
}

// printHarvest writes the comparison for a person.
func printHarvest(w io.Writer, h *openapi.Harvest) error {
	p := &printer{w: w}
	p.wrapped("", h.Words)
	p.line("")
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	row := func(cells ...string) { fmt.Fprintln(t, strings.Join(cells, "\t")+"\t") } //nolint:errcheck // told by Flush
	row("period", "meter kWh", "promise kWh", "windiness", "promise for that wind", "kept")
	for i := range h.Periods {
		r := &h.Periods[i]
		expected, corrected, windy := r.PromisedKWh, "-", "-"
		if r.CorrectedKWh != nil {
			expected, corrected = *r.CorrectedKWh, fmt.Sprintf("%.1f", *r.CorrectedKWh)
		}
		if r.Windiness != nil {
			windy = fmt.Sprintf("%.0f %%", 100**r.Windiness)
		}
		kept := "-"
		switch {
		case r.LeftOut != nil:
			kept = "not counted"
		case expected > 0:
			kept = fmt.Sprintf("%.0f %%", 100*r.MeasuredKWh/expected)
		}
		row(r.Name, fmt.Sprintf("%.1f", r.MeasuredKWh), fmt.Sprintf("%.1f", r.PromisedKWh), windy, corrected, kept)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if len(h.Warnings) > 0 {
		p.line("")
		p.line("What leans on something weak")
		for _, w := range h.Warnings {
			p.wrapped("  - ", w.Detail)
		}
	}
	return p.err
}
