package longterm_test

import (
	"bytes"
	"encoding/csv"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/stat"
)

var update = flag.Bool("update", false, "write the figures of the experiment anew")

// figures are a row's numbers by the names in header.
type figures map[string]float64

var header = []string{"set", "what", "runs", "mean_r2", "r2_and_error", "bias", "rms_error", "month_error", "mean_uncertainty", "cover_80", "cover_90", "f", "d", "factor"}

type sheet struct{ rows [][]string }

func (s *sheet) add(set, what string, runs int, f figures) {
	row := []string{set, what, strconv.Itoa(runs)}
	for _, name := range header[len(row):] {
		text := ""
		if v, given := f[name]; given && !math.IsNaN(v) {
			text = strconv.FormatFloat(v, 'f', 4, 64)
		}
		row = append(row, text)
	}
	s.rows = append(s.rows, row)
}

func (s *sheet) of(set, what string, runs []run) {
	s.add(set, what, len(runs), figures{
		"mean_r2": average(runs, func(r *run) float64 { return r.r2 }), "r2_and_error": correlation(runs), "bias": average(runs, func(r *run) float64 { return r.miss }),
		"rms_error": rms(runs, func(r *run) float64 { return r.miss }), "month_error": rms(runs, func(r *run) float64 { return r.month }),
		"mean_uncertainty": average(runs, (*run).u), "cover_80": covered(runs, z80, (*run).u), "cover_90": covered(runs, z90, (*run).u),
	})
}

// correlation is that of r² with the size of the error.
func correlation(runs []run) float64 {
	var r2, size []float64
	for i := range runs {
		r2, size = append(r2, runs[i].r2), append(size, math.Abs(runs[i].miss))
	}
	return stat.Correlation(r2, size, nil)
}

const preamble = `# Long-term prediction of the 18-year mean wind speed, six Irish stations, daily means 1961-1978 (Haslett & Raftery 1989).
# Each station from each other; errors are relative; r2_and_error is the correlation of r2 with the size of the error; month_error is that of a month predicted from the others, root mean square.
# year: every single year as the record, by each method. length: the variance ratio by records of other lengths. pair: the
# variance ratio by a year. mean_uncertainty is the stated one but for the part of the reference's years, as truth and
# reference are of the same years; for "uncorrected" it is 6 %. cover_80 and cover_90: the share of true means within 1.2816
# and 1.6449 standard uncertainties. constants: f and d of the rule u^2 = f^2 e^2/M + d^2 from all stations.
# hold-out: f and d found with the three stations named, the rest is of the other three by a year. The factor is what the
# hold-out needs for its intervals to hold what they promise on the whole; hold-out widened: after that. The rule as
# stated has f and d times this factor.
`

// compare holds the figures against the file's, within one of the last digit.
func compare(t *testing.T, rows [][]string) {
	t.Helper()
	path := filepath.Join(root(t), "testdata", "longterm", "irish.csv")
	if *update {
		var b bytes.Buffer
		b.WriteString(preamble)
		if err := csv.NewWriter(&b).WriteAll(append([][]string{header}, rows...)); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(raw))
	r.Comment = '#'
	was, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(was) != len(rows)+1 {
		t.Fatalf("the file has %d rows, not %d: run with -update", len(was)-1, len(rows))
	}
	for i, row := range rows {
		for k, text := range row {
			is, errIs := strconv.ParseFloat(text, 64)
			old, errOld := strconv.ParseFloat(was[i+1][k], 64)
			if (errIs != nil || errOld != nil) && text != was[i+1][k] || math.Abs(is-old) > 1.01e-4 {
				t.Errorf("%s, %s, %s: %s, and %s in the file; run with -update and look at what changed", row[0], row[1], header[k], text, was[i+1][k])
			}
		}
	}
}
