package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"

	"mastworth/resource"
	"mastworth/resource/fetch"
	"mastworth/resource/ingest"
	"mastworth/storage"
)

// fetchFlags are those that fetch and sources share.
type fetchFlags struct {
	lat, lon  *float64
	elevation *string
	cache     *string
	mirror    *string
	offline   *bool
}

func addFetchFlags(c *cobra.Command) fetchFlags {
	f := fetchFlags{
		lat: c.Flags().Float64("lat", math.NaN(), "latitude, degrees, north positive"), lon: c.Flags().Float64("lon", math.NaN(), "longitude, degrees, east positive"),
		elevation: c.Flags().String("elevation-m", "", "of the site above sea level, to be told how far off in height a source is"),
		cache:     c.Flags().String("cache", "", "folder for what was fetched (default: mastworth in the user's cache folder)"),
		mirror:    c.Flags().String("mirror", "", "address of a mirror that has all the archives"),
		offline:   c.Flags().Bool("offline", false, "ask the cache alone"),
	}
	return f
}

// place is where the wind is wanted.
func (f fetchFlags) place() (fetch.Place, error) {
	if *f.lat != *f.lat || *f.lon != *f.lon {
		return fetch.Place{}, usageError{errors.New("say where: --lat and --lon, in degrees")}
	}
	p := fetch.Place{Lat: *f.lat, Lon: *f.lon}
	if *f.elevation != "" {
		m, err := strconv.ParseFloat(*f.elevation, 64)
		if err != nil {
			return p, usageError{fmt.Errorf("--elevation-m must be a number of metres, not %q", *f.elevation)}
		}
		p.ElevationM = &m
	}
	return p, nil
}

// client is a client with a cache on disk.
func (f fetchFlags) client(progress func(fetch.Progress)) (*fetch.Client, error) {
	folder := *f.cache
	if folder == "" {
		base, err := os.UserCacheDir()
		if err != nil {
			return nil, usageError{fmt.Errorf("there is no folder for a cache (%w); name one with --cache", err)}
		}
		folder = filepath.Join(base, "mastworth")
	}
	return newFetchClient(folder, *f.mirror, *f.offline, progress)
}

// newFetchClient is a client for the public services, or a mirror of them.
func newFetchClient(folder, mirror string, offline bool, progress func(fetch.Progress)) (*fetch.Client, error) {
	cache, err := fetch.NewDiskCache(folder)
	if err != nil {
		return nil, fmt.Errorf("the cache of public data: %w", err)
	}
	o := fetch.Options{Cache: cache, Offline: offline, UserAgent: "mastworth/" + version, Progress: progress, MonthlySun: true}
	if mirror != "" {
		o.Sources, o.AllowPrivate = fetch.MirrorSources(mirror), true
	}
	return fetch.New(o)
}

func fetchCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "fetch",
		Short: "Fetch a public record of wind and sun for a place",
		Long: "A year is a request, kept in a cache: one that broke off goes on where it stopped. No more of the place than two decimals of\n" +
			"a degree is sent. The record is written as CSV, or as Parquet where --out ends in .parquet; name it in a request document as\n" +
			"wind: {record: {file: here.csv}}. Where it has no irradiance, the place's months of sun are told as a request takes them.",
		Example: "  mastworth fetch --lat 52.2 --lon -1.4 --years 2014-2023 --out here.csv\n" +
			"  mastworth estimate garden.yaml        # with wind: {record: {file: here.csv}} in it",
		Args: cobra.NoArgs,
	}
	flags := addFetchFlags(c)
	years := c.Flags().String("years", "", "FROM-TO, such as 2014-2023, or one year")
	source := c.Flags().String("source", string(fetch.NASAPower), "archive: "+archiveWords())
	station := c.Flags().String("station", "", "station of the archive (default: the nearest that has the years)")
	out := c.Flags().String("out", "", "file to write (default: standard output)")
	c.RunE = func(c *cobra.Command, _ []string) error {
		place, err := flags.place()
		if err != nil {
			return err
		}
		span, err := parseYears(*years)
		if err != nil {
			return usageError{err}
		}
		told, done := fetchProgress(s.err)
		client, err := flags.client(told)
		if err != nil {
			return err
		}
		series, report, fetched, err := client.Fetch(c.Context(), place, span, fetch.Source{Archive: fetch.Archive(*source), Station: *station})
		done()
		if err != nil {
			return fetchProblem(err)
		}
		if err := writeSeries(s.out, *out, series); err != nil {
			return err
		}
		return printFetched(&printer{w: s.err}, series, &report, &fetched)
	}
	return c
}

func archiveWords() string {
	var names []string
	for _, a := range fetch.Archives() {
		names = append(names, string(a))
	}
	return strings.Join(names, ", ")
}

func parseYears(text string) (fetch.Years, error) {
	from, to, both := strings.Cut(text, "-")
	if !both {
		to = from
	}
	a, err := strconv.Atoi(strings.TrimSpace(from))
	b, err2 := strconv.Atoi(strings.TrimSpace(to))
	if err != nil || err2 != nil {
		return fetch.Years{}, fmt.Errorf("--years is FROM-TO, such as 2014-2023, not %q", text)
	}
	return fetch.Years{From: a, To: b}, nil
}

// fetchProblem makes what can be mended bad input.
func fetchProblem(err error) error {
	for _, kind := range []error{fetch.ErrPlace, fetch.ErrYears, fetch.ErrSource, fetch.ErrNoStation, fetch.ErrNoData} {
		if errors.Is(err, kind) {
			return usageError{err}
		}
	}
	return err
}

// writeSeries writes a record to a file, all of it or nothing, or to standard output.
func writeSeries(stdout io.Writer, name string, series *resource.Series) (err error) {
	if name == "" {
		return ingest.WriteCSV(stdout, series)
	}
	// Into a name beside it first; what one that was cut off left there is written over.
	f, err := os.OpenFile(filepath.Clean(name+".part"), os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, f.Close(), os.Remove(f.Name()))
		}
	}()
	if strings.HasSuffix(name, ".parquet") {
		err = storage.WriteParquet(f, series)
	} else {
		err = ingest.WriteCSV(f, series)
	}
	if err != nil {
		return err
	}
	if err = f.Chmod(0o644); err != nil {
		return err
	}
	if err = f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
}

func printFetched(p *printer, s *resource.Series, report *ingest.Report, f *fetch.Fetched) error {
	p.line("%s: %d stamps of %s, %s to %s; %.1f %% of the time has a wind speed", f.Source.Archive, s.Len(), stepWords(s.StepS),
		localTime(s.Times[0], s.UTCOffsetS), localTime(s.Times[s.Len()-1], s.UTCOffsetS), 100*f.Coverage)
	p.wrapped("  ", f.Data)
	if st := f.Station; st != nil {
		p.line("  station %s, %s, %.1f km off at %.0f°, %s m higher", st.ID, st.Name, st.DistanceKM, st.BearingDeg, number(st.ElevationDifferenceM, "%+.0f"))
	} else {
		p.line("  a cell of %s by %s km", number(f.CellNorthKM, "%.0f"), number(f.CellEastKM, "%.0f"))
	}
	p.wrapped("  ", f.Attribution)
	p.wrapped("  terms: ", f.Licence)
	for _, w := range f.Warnings {
		p.wrapped("  - ", w.Detail)
	}
	for _, a := range report.Assumptions {
		p.wrapped("  - ", a)
	}
	return p.err
}

func sourcesCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "sources",
		Short: "List the public data there are for a place, in the order an estimate would use them",
		Args:  cobra.NoArgs,
	}
	flags := addFetchFlags(c)
	c.RunE = func(c *cobra.Command, _ []string) error {
		place, err := flags.place()
		if err != nil {
			return err
		}
		client, err := flags.client(nil)
		if err != nil {
			return err
		}
		all, warnings, err := client.Available(c.Context(), place)
		if err != nil {
			return fetchProblem(err)
		}
		p := &printer{w: s.out}
		rows := [][]string{{"source", "station", "years", "wind at", "km off", "bearing", "higher", "cell", "sun"}, {"", "", "", "m", "", "°", "m", "km", ""}}
		for i := range all {
			rows = append(rows, sourceRow(&all[i]))
		}
		p.grid(rows)
		for i := range all {
			p.wrapped("  - ", fmt.Sprintf("%s: %s; %s; terms: %s", all[i].Source.Archive, all[i].Data, all[i].Reason, all[i].Licence))
		}
		p.remarks(warnings)
		return p.err
	}
	return c
}

func sourceRow(c *fetch.Choice) []string {
	heights := make([]string, len(c.HeightsM))
	for i, h := range c.HeightsM {
		heights[i] = fmt.Sprintf("%g", h)
	}
	sun := "no"
	if c.Sun {
		sun = "yes"
	}
	row := []string{string(c.Source.Archive), "", c.Years.String(), strings.Join(heights, ", "), number(c.DistanceKM, "%.1f"), "", "", number(c.ResolutionKM, "%.0f"), sun}
	if st := c.Station; st != nil {
		row[1], row[5], row[6] = st.Name, number(st.BearingDeg, "%.0f"), number(st.ElevationDifferenceM, "%+.0f")
	}
	return row
}

// fetchProgress draws the years that are there, on a terminal only.
func fetchProgress(w io.Writer) (told func(fetch.Progress), done func()) {
	if !isTerminal(w) {
		return nil, func() {}
	}
	var bar *progressbar.ProgressBar
	return func(p fetch.Progress) {
			if bar == nil {
				bar = progressbar.NewOptions(p.Total, progressbar.OptionSetWriter(w), progressbar.OptionClearOnFinish())
			}
			bar.Describe(fmt.Sprintf("%s %d", p.Archive, p.Year))
			_ = bar.Set(p.Done)
		}, func() {
			if bar != nil {
				_ = bar.Finish()
			}
		}
}
