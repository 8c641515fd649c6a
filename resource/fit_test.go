package resource

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

const knot = 0.514444 // m/s; the factor of the reference values

// airquality is data set A: 153 daily speeds of base R's airquality, mph, as m/s.
func airquality(t *testing.T) []float64 {
	speeds := column(table(t, "reference/airquality_wind_mph.csv", 1), 0)
	for i := range speeds {
		speeds[i] *= 0.44704
	}
	return speeds
}

// TestDataSetA: reference values by scipy brentq and by R's MASS::fitdistr, which also gives the standard errors.
func TestDataSetA(t *testing.T) {
	speeds := airquality(t)
	s, err := newSample(speeds)
	if err != nil {
		t.Fatal(err)
	}
	mean, sd, cube := s.moments()
	near(t, "n", float64(s.n), 153, 0)
	near(t, "mean", mean, 4.451408, 1e-6)
	near(t, "sd", sd, 1.574923, 1e-6)
	near(t, "mean cube", cube, 122.44407, 1e-5)
	factor := cube / (mean * mean * mean)
	near(t, "pattern factor", factor, 1.388179, 1e-6)
	for _, c := range []struct {
		method       FitMethod
		shape, scale float64
	}{
		{MaximumLikelihood, 3.05325, 4.97825},
		{Moments, 3.09133, 4.97815},
		{MeanAndCube, 3.06431, 4.98016},
	} {
		f, err := FitSpeeds(speeds, c.method)
		if err != nil {
			t.Fatal(err)
		}
		near(t, string(c.method)+" k", f.Shape, c.shape, 6e-6)
		near(t, string(c.method)+" A", f.Scale, c.scale, 6e-6)
		if f.Method != c.method || math.IsNaN(f.ShapeSE) == (c.method == MaximumLikelihood) {
			t.Errorf("%s: got method %s with error %g", c.method, f.Method, f.ShapeSE)
		}
	}
	justus := JustusShape(mean, sd)
	near(t, "Justus k", justus, 3.09061, 6e-6)
	near(t, "Justus A", fromMean(justus, mean).Scale, 4.97820, 6e-6)
	dinler := AkdagDinlerShape(factor)
	near(t, "Akdag & Dinler k", dinler, 2.91485, 6e-6)
	near(t, "Akdag & Dinler A", fromMean(dinler, mean).Scale, 4.99105, 6e-6)

	f, err := FitSpeeds(speeds, "")
	if err != nil {
		t.Fatal(err)
	}
	near(t, "fitdistr k", f.Shape, 3.053247, 1e-6)
	near(t, "fitdistr A", f.Scale, 4.978255, 2e-6) // a minimiser's last digit
	near(t, "fitdistr s.e. of k", f.ShapeSE, 0.188, 5e-4)
	near(t, "fitdistr s.e. of A", f.ScaleSE, 0.139, 5e-4)
	if f.Method != MaximumLikelihood {
		t.Errorf("the default is %s", f.Method)
	}
	// Least squares has no published value; it must lie within two standard errors of the most likely.
	l, err := FitSpeeds(speeds, LeastSquares)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "least squares k", l.Shape, f.Shape, 2*f.ShapeSE)
	near(t, "least squares A", l.Scale, f.Scale, 2*f.ScaleSE)
}

// irishBins reads a table of data set B: bin edges in m/s and counts.
func irishBins(t *testing.T, name string) Histogram {
	rows := table(t, "reference/"+name, 1)
	h := Histogram{Edges: []float64{number(rows[0][0])}}
	for _, row := range rows {
		h.Edges = append(h.Edges, number(row[1]))
		h.Shares = append(h.Shares, number(row[2]))
		h.Count += int(number(row[2]))
	}
	for i := range h.Shares {
		h.Shares[i] /= float64(h.Count)
	}
	return h
}

// TestDataSetB: daily speeds of two Irish stations 1961 to 1978 (Haslett & Raftery 1989) in bins of 1 m/s; reference
// values computed with SciPy and R, tolerance 5e-4 as stated there.
func TestDataSetB(t *testing.T) {
	const tol = 5e-4
	for _, c := range []struct {
		name, file                   string
		mean, sd, factor             float64
		justusK, justusA, lysenA     float64
		momentsK, momentsA           float64
		dinlerK, dinlerA             float64
		likelyK, likelyA             float64
		graphK, graphA               float64
		rawColumn                    int
		rawK, rawA                   float64
		mostLeastSquaresIsAwayFromML float64
	}{
		{"DUB", "freq_DUB_1ms_bins.csv", 5.03940, 2.57743, 1.86960, 2.0713, 5.6891, 5.6921, 2.0490, 5.6885, 2.0557, 5.6887,
			2.0553, 5.6922, 2.1242, 5.7854, 3, 2.0778, 5.6980, 0.02},
		{"BEL", "freq_BEL_1ms_bins.csv", 6.74430, 3.01983, 1.65059, 2.3931, 7.6083, 7.6103, 2.3765, 7.6093, 2.3544, 7.6104,
			2.3824, 7.6183, 2.5601, 8.0634, 8, 2.3997, 7.6242, 0.02},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := irishBins(t, c.file)
			b, err := binnedOf(h)
			if err != nil {
				t.Fatal(err)
			}
			mean, sd, cube := b.moments(h.Count)
			near(t, "mean", mean, c.mean, 1e-5)
			near(t, "Histogram.Mean", h.Mean(), c.mean, 1e-5)
			near(t, "sd", sd, c.sd, 1e-5)
			near(t, "pattern factor", cube/math.Pow(mean, 3), c.factor, 1e-5)
			near(t, "pattern factor of the histogram", h.MeanCube()/math.Pow(h.Mean(), 3), c.factor, 1e-5)
			justus := JustusShape(mean, sd)
			near(t, "Justus k", justus, c.justusK, tol)
			near(t, "Justus A", fromMean(justus, mean).Scale, c.justusA, tol)
			near(t, "Lysen A", LysenScale(mean, justus), c.lysenA, tol)
			dinler := AkdagDinlerShape(c.factor)
			near(t, "Akdag & Dinler k", dinler, c.dinlerK, tol)
			near(t, "Akdag & Dinler A", fromMean(dinler, mean).Scale, c.dinlerA, tol)
			g, err := Graphical(h)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "graphical k", g.Shape, c.graphK, tol)
			near(t, "graphical A", g.Scale, c.graphA, tol)
			fit := func(m FitMethod) Fit {
				f, err := FitHistogram(h, m)
				if err != nil {
					t.Fatal(err)
				}
				return f
			}
			f := fit(Moments)
			near(t, "moments k", f.Shape, c.momentsK, tol)
			near(t, "moments A", f.Scale, c.momentsA, tol)
			f = fit(MaximumLikelihood)
			near(t, "modified likelihood k", f.Shape, c.likelyK, tol)
			near(t, "modified likelihood A", f.Scale, c.likelyA, tol)
			near(t, "mean and cube's factor", fit(MeanAndCube).EnergyPatternFactor(), c.factor, 1e-5)
			// Weighing keeps the sparse bins from tilting the line, which puts BEL 7 % off unweighed.
			near(t, "least squares k", fit(LeastSquares).Shape, f.Shape, -c.mostLeastSquaresIsAwayFromML)

			days := column(table(t, "data/irish_wind/irish_wind_daily_knots_1961_1978_6stations.csv", 1), c.rawColumn)
			for i := range days {
				days[i] *= knot
			}
			raw, err := FitSpeeds(days, MaximumLikelihood)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "raw k", raw.Shape, c.rawK, tol)
			near(t, "raw A", raw.Scale, c.rawA, tol)
			if c.name == "DUB" { // fitdistr, the single zero dropped
				near(t, "fitdistr k", raw.Shape, 2.077845, 2e-6)
				near(t, "fitdistr A", raw.Scale, 5.697958, 6e-6)
				near(t, "n", raw.N, 6573, 0)
			}
		})
	}
}

// TestShortcutBias: what the closed forms make of an exact Weibull distribution (reference values, four decimals).
func TestShortcutBias(t *testing.T) {
	for _, c := range []struct{ k, justus, dinler float64 }{
		{1.5, 1.5227, 1.4993}, {2, 2.0228, 2.0116}, {3, 3.0017, 2.8710}, {4, 3.9762, 3.4225},
	} {
		w := Weibull{Shape: c.k, Scale: 6}
		near(t, "Justus", JustusShape(w.Mean(), w.SD()), c.justus, 5e-5)
		near(t, "Akdag & Dinler", AkdagDinlerShape(w.EnergyPatternFactor()), c.dinler, 5e-5)
		m, err := momentsFit(w.Mean(), w.SD())
		if err != nil {
			t.Fatal(err)
		}
		near(t, "moments k", m.Shape, c.k, 1e-12)
		near(t, "moments A", m.Scale, 6, 1e-11)
		m, err = meanAndCubeFit(w.Mean(), w.MeanCube())
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mean and cube k", m.Shape, c.k, 1e-12)
		near(t, "mean and cube A", m.Scale, 6, 1e-11)
	}
}

func TestFitRefusals(t *testing.T) {
	repeat := func(n int, values ...float64) []float64 { return slices.Repeat(values, n) }
	wild := repeat(20, 1, 2, 3)
	wild = append(wild, 1e300)
	steady := make([]float64, 50)
	for i := range steady {
		steady[i] = 5 + 1e-6*float64(i)
	}
	for _, c := range []struct {
		name   string
		speeds []float64
		is     error
		says   string
	}{
		{"none", nil, ErrTooFew, "0 are above zero"},
		{"too short", repeat(29, 4)[:29], ErrTooFew, "29 are above zero (and 0 are calm); at least 30"},
		{"calm", repeat(500, 0), ErrTooFew, "0 are above zero (and 500 are calm)"},
		{"nearly calm", append(repeat(500, 0), 1, 2, 3), ErrTooFew, "3 are above zero"},
		{"constant", repeat(100, 5.5), ErrConstant, "all 100 speeds above zero are 5.5"},
		{"constant with calms", append(repeat(100, 5.5), 0, 0), ErrConstant, "all 100"},
		{"two values", repeat(50, 3, 4), ErrConstant, "only the values 3 and 4"},
		{"hardly varying", steady, ErrConstant, "stuck sensor"},
		{"missing", append(repeat(50, 3, 4, 5), math.NaN()), ErrNotFinite, "value 151 of 151 is NaN"},
		{"infinite", append(repeat(50, 3, 4, 5), math.Inf(1)), ErrNotFinite, "+Inf"},
		{"minus infinite", append(repeat(50, 3, 4, 5), math.Inf(-1)), ErrNotFinite, "-Inf"},
		{"negative", append(repeat(50, 3, 4, 5), -0.1), ErrNegative, "value 151 of 151 is -0.1"},
	} {
		for _, m := range FitMethods() {
			f, err := FitSpeeds(c.speeds, m)
			if !errors.Is(err, c.is) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%s by %s: got %+v, %v; want %v saying %q", c.name, m, f.Weibull, err, c.is, c.says)
			}
		}
	}
	for _, m := range []FitMethod{Moments, MeanAndCube} {
		if f, err := FitSpeeds(wild, m); !errors.Is(err, ErrNoShape) {
			t.Errorf("wild by %s: got %+v, %v", m, f.Weibull, err)
		}
	}
	if _, err := FitSpeeds(repeat(50, 1, 2, 3), "by eye"); !errors.Is(err, ErrMethod) {
		t.Errorf("unknown method: %v", err)
	}
}

func TestFitHistogramRefusals(t *testing.T) {
	edges := []float64{0, 1, 2, 3, 4}
	for _, c := range []struct {
		name string
		h    Histogram
		is   error
	}{
		{"empty", Histogram{}, ErrHistogram},
		{"edges", Histogram{Edges: []float64{0, 1, 1}, Shares: []float64{0.5, 0.5}}, ErrHistogram},
		{"sum", Histogram{Edges: edges, Shares: []float64{0.1, 0.2, 0.3, 0.3}}, ErrHistogram},
		{"NaN", Histogram{Edges: edges, Shares: []float64{0.1, 0.2, 0.7, math.NaN()}}, ErrHistogram},
		{"negative", Histogram{Edges: edges, Shares: []float64{0.1, 0.2, 0.8, -0.1}}, ErrHistogram},
		{"below zero", Histogram{Edges: []float64{-1, 1, 2}, Shares: []float64{0.5, 0.5}}, ErrHistogram},
		{"means", Histogram{Edges: edges, Shares: []float64{0.1, 0.2, 0.3, 0.4}, Means: []float64{0.5, 1.5, 2.5, 9}}, ErrHistogram},
		{"one bin", Histogram{Edges: edges, Shares: []float64{0, 1, 0, 0}}, ErrConstant},
		{"two bins", Histogram{Edges: edges, Shares: []float64{0, 0.5, 0.5, 0}}, ErrConstant},
		{"few", Histogram{Edges: edges, Shares: []float64{0.25, 0.25, 0.25, 0.25}, Count: 8}, ErrTooFew},
	} {
		for _, m := range FitMethods() {
			if _, err := FitHistogram(c.h, m); !errors.Is(err, c.is) {
				t.Errorf("%s by %s: got %v, want %v", c.name, m, err, c.is)
			}
		}
	}
	if _, err := Graphical(Histogram{}); !errors.Is(err, ErrHistogram) {
		t.Errorf("graphical: %v", err)
	}
}

// TestCellsAgree: cells and single speeds give one solution, over shapes and for slow outliers far below any cell.
func TestCellsAgree(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, k := range []float64{0.8, 1.5, 2, 3, 5, 7, cellsMaxShape} {
		w := Weibull{Shape: k, Scale: 6}
		speeds := make([]float64, 20000)
		for i := range speeds {
			speeds[i] = w.Quantile(r.Float64())
		}
		speeds[17], speeds[99] = 1e-12, 0
		s, err := newSample(speeds)
		if err != nil {
			t.Fatal(err)
		}
		cells, err := solveLikelihood(newCellSample(speeds, s.slowest, s.fastest), s.fastest)
		if err != nil {
			t.Fatal(err)
		}
		single, err := solveLikelihood(newLogSample(speeds, nil, s.fastest), s.fastest)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "k", cells.shape, single.shape, -1e-10)
		near(t, "A", cells.scale, single.scale, -1e-10)
		near(t, "error of k", cells.shapeSE, single.shapeSE, -1e-8)
		near(t, "error of A", cells.scaleSE, single.scaleSE, -1e-8)
	}
}

// TestDistanceAgrees: the search in bins finds the same gap as sorting everything.
func TestDistanceAgrees(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	w := Weibull{Shape: 2, Scale: 6}
	for _, off := range []float64{0, 0.02, 0.5} {
		for _, step := range []float64{0, 0.1, 1} {
			var speeds, sorted []float64
			for range 30000 {
				v := w.Quantile(r.Float64())
				if step > 0 {
					v = math.Round(v/step) * step
				}
				speeds = append(speeds, v)
				if v > 0 {
					sorted = append(sorted, v)
				}
			}
			slices.Sort(sorted)
			model := Weibull{Shape: 2 + off, Scale: 6 + off}
			want := sortedGap(model, sorted, 0, len(sorted))
			near(t, "distance", distance(model, speeds, len(sorted), sorted[len(sorted)-1]), want, 1e-12)
		}
	}
}

// TestDistanceByHand: three speeds at the quartiles of the distribution. The empirical distribution jumps from 0 to 1/3
// at F = 1/4: the largest gaps are 1/4 before the first jump and 1 − 3/4 after the last.
func TestDistanceByHand(t *testing.T) {
	w := Weibull{Shape: 2, Scale: 6}
	speeds := []float64{w.Quantile(0.75), 0, w.Quantile(0.25), w.Quantile(0.5)}
	near(t, "distance", distance(w, speeds, 3, speeds[0]), 0.25, 1e-12)
}
