package climate

import (
	"errors"
	"math"
	"testing"
	"time"

	"mastworth/resource"
)

// TestOpenData holds averages, calms, maximum likelihood fits and log-likelihoods against reference/weibull_fits.csv
// (solved there to 1e-14 with SciPy's root finder, zeros left out, in the unit as stored), to the printed digits; and
// every method against resource.FitSpeeds to 1e-9.
func TestOpenData(t *testing.T) {
	seen := 0
	for _, want := range table(t, "reference/weibull_fits.csv", 1) {
		source, ok := sources[want[0]]
		if !ok {
			t.Errorf("no source known for %q", want[0])
			continue
		}
		seen++
		t.Run(want[0], func(t *testing.T) {
			s := source(t)
			g := gather(s, 0, &Options{Sectors: 12})
			c := of(t, s, Options{})
			near(t, "n", float64(c.N), number(want[2])-number(want[3]), 0)
			near(t, "calms", c.Plain.CalmShare*float64(c.N), number(want[4]), 1e-9)
			near(t, "mean", c.Plain.MeanMS, number(want[6]), -1e-9)
			near(t, "mean cube", c.Plain.MeanCubeM3S3, number(want[9]), -1e-9)
			var even [12]float64
			for m := range even {
				even[m] = 1
			}
			p := newSample(sortEntries(g.entries), &even, nil)
			f, err := p.fit(resource.MaximumLikelihood)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "n_fit", f.N, number(want[5]), 0)
			near(t, "k_mle", f.Shape, number(want[11]), 0.6e-9)
			near(t, "A_mle", f.Scale, number(want[12]), -0.6e-9)
			near(t, "loglik", p.logLikelihood(f.Weibull), number(want[13]), -1e-9)
			if !c.Uneven {
				near(t, "k given", c.Fits[0].Shape, f.Shape, 0)
				near(t, "loglik given", c.Fits[0].LogLikelihood, number(want[13]), -1e-9)
				near(t, "AIC", c.Fits[0].AIC, 4-2*number(want[13]), -1e-9)
			}
			var speeds []float64
			for _, v := range s.Channels[0].Values {
				if v == v {
					speeds = append(speeds, v)
				}
			}
			for _, m := range resource.FitMethods() {
				a, err1 := p.fit(m)
				b, err2 := resource.FitSpeeds(speeds, m)
				if err1 != nil || err2 != nil {
					t.Fatal(m, err1, err2)
				}
				sameFit(t, a, b, 1e-9)
			}
		})
	}
	if seen != len(sources) {
		t.Errorf("the reference has %d of the %d rows the test knows", seen, len(sources))
	}
}

// sameFit holds two fits against each other, relatively; the distance absolutely, and errors looser, as they hang on what
// cancels.
func sameFit(t testing.TB, a, b resource.Fit, tol float64) {
	t.Helper()
	name := string(a.Method)
	near(t, name+" k", a.Shape, b.Shape, -tol)
	near(t, name+" A", a.Scale, b.Scale, -tol)
	near(t, name+" s.e. of k", a.ShapeSE, b.ShapeSE, -1e-6)
	near(t, name+" s.e. of A", a.ScaleSE, b.ScaleSE, -1e-6)
	near(t, name+" distance", a.Distance, b.Distance, tol)
	if a.Method != b.Method || a.N != b.N {
		t.Errorf("%s, n %g and %s, n %g", a.Method, a.N, b.Method, b.N)
	}
}

// TestAsDescribed: where resource.Describe gives a number too, it is the same one, on the tower's year.
func TestAsDescribed(t *testing.T) {
	s, _, _ := tower(t)
	c := of(t, s, Options{})
	st, err := resource.Describe(s, 0)
	if err != nil {
		t.Fatal(err)
	}
	sameFit(t, c.Fits[0].Fit, st.Fit, 1e-9)
	near(t, "power density", c.PowerDensityWM2, st.PowerDensity, -1e-12)
	near(t, "mean of months", c.Evened.MeanMS, st.MeanOfMonths, -1e-12)
	near(t, "completeness", c.Completeness, st.Completeness, 1e-12)
	for k, want := range st.Sectors {
		got := c.Sectors[k]
		near(t, "from", got.FromDeg, want.FromDeg, 0)
		near(t, "n", float64(got.N), float64(want.N), 0)
		near(t, "share", got.Share, want.Share, 1e-12)
		near(t, "mean", got.MeanMS, want.Mean, -1e-12)
		near(t, "cube", got.MeanCube, want.MeanCube, -1e-12)
		sameFit(t, *got.Fit, *want.Fit, 1e-9)
	}
	for h, want := range st.Hours {
		near(t, "hour", c.Hours[h].MeanMS, want.Mean, -1e-12)
		near(t, "hour's cube", c.Hours[h].MeanCube, want.MeanCube, -1e-12)
		near(t, "hour's completeness", c.Hours[h].Completeness, want.Completeness, 1e-12)
	}
}

// TestTypicalYears: months and hours against plain sums over the file's own month and hour columns; roses whose parts add
// up; 24 % calms at Port Angeles, mean preserved by the fit with its calms.
func TestTypicalYears(t *testing.T) {
	for _, name := range []string{"USA_IL_Chicago-OHare.Intl.AP.725300", "USA_WA_Port.Angeles-William.R.Fairchild.Intl.AP.727885"} {
		rows := table(t, "data/epw/"+name+"_TMY3.epw", 8)
		speeds := column(rows, 21)
		s := record(3600, channel(resource.Speed, 10, speeds), channel(resource.Direction, 10, column(rows, 20)))
		s.Kind = resource.TypicalYear
		c := of(t, s, Options{Sectors: 36})
		var n, sum, cubes [12][24]float64
		for i, row := range rows {
			m, h := int(number(row[1]))-1, int(number(row[3]))-1
			n[m][h]++
			sum[m][h] += speeds[i]
			cubes[m][h] += speeds[i] * speeds[i] * speeds[i]
		}
		for m := range n {
			for h := range n[m] {
				p := c.MonthHours[m][h]
				near(t, "n", float64(p.N), n[m][h], 0)
				near(t, "mean", p.MeanMS, sum[m][h]/n[m][h], 1e-12)
				near(t, "cube", p.MeanCube, cubes[m][h]/n[m][h], -1e-12)
				near(t, "completeness", p.Completeness, 1, 0)
			}
		}
		if c.Years != nil || !math.IsNaN(c.YearSpread) || c.Uneven || c.Turbulence != nil || c.WhyNoTurbulence == "" {
			t.Errorf("%s: years %v, uneven %v, turbulence %v", name, c.Years, c.Uneven, c.Turbulence)
		}
		checkSums(t, c)
		mean := 0.0
		for _, st := range c.Sectors {
			if st.N > 0 {
				mean += st.Share * st.MeanMS
			}
		}
		near(t, "mean of the rose with calms", mean*(1-c.CalmShare), c.MeanMS, -1e-12)
		if name[4:6] != "WA" {
			continue
		}
		near(t, "calms (24 %, 2102 of 8760)", c.CalmShare, 2102./8760, 1e-12)
		for _, f := range c.Fits {
			near(t, string(f.Method)+" mean with calms", f.Mean()*(1-f.CalmShare), c.MeanMS, -0.03)
			if f.Method == resource.Moments || f.Method == resource.MeanAndCube {
				near(t, string(f.Method)+" keeps the mean", f.Mean()*(1-f.CalmShare), c.MeanMS, -1e-9)
			}
		}
	}
}

// TestUnevenStation: a station with a third of its hours absent. The evened averages are held against a plain loop; the
// fit beside them against the weighed likelihood equation solved by halving, speed by speed.
func TestUnevenStation(t *testing.T) {
	s := lite(t, "data/isd_lite/108270-99999-2009")
	c := of(t, s, Options{})
	if !c.Uneven || c.MonthsCounted != 12 {
		t.Fatalf("uneven %v, %d months", c.Uneven, c.MonthsCounted)
	}
	speeds := s.Channels[0].Values
	var n, sum, cubes, calms [12]float64
	all := 0.0
	for i, v := range speeds {
		if m := time.Unix(s.Times[i], 0).UTC().Month() - 1; v == v {
			all++
			n[m]++
			sum[m] += v
			cubes[m] += v * v * v
			if v == 0 {
				calms[m]++
			}
		}
	}
	days := []float64{31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	mean, cube, calm := 0.0, 0.0, 0.0
	weights := make([]float64, 12)
	for m, d := range days {
		mean += d / 365.25 * sum[m] / n[m]
		cube += d / 365.25 * cubes[m] / n[m]
		calm += d / 365.25 * calms[m] / n[m]
		weights[m] = d / 365.25 / (n[m] / all)
	}
	near(t, "evened mean", c.Evened.MeanMS, mean, -1e-12)
	near(t, "evened cube", c.Evened.MeanCubeM3S3, cube, -1e-12)
	near(t, "evened calms", c.Evened.CalmShare, calm, -1e-12)
	if c.Average != c.Evened || c.Plain == c.Evened {
		t.Error("the evened averages are those to use")
	}
	st, err := resource.Describe(s, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "MeanOfMonths", c.Evened.MeanMS, st.MeanOfMonths, -1e-12)
	near(t, "Mean", c.Plain.MeanMS, st.Mean, -1e-12)
	near(t, "AirDensity", c.AirDensityKgM3, st.AirDensity, -1e-12)
	near(t, "Completeness", c.Completeness, st.Completeness, 1e-12)
	for m := range st.Months {
		near(t, "month", c.Months[m].MeanMS, st.Months[m].Mean, -1e-12)
		near(t, "month's completeness", c.Months[m].Completeness, st.Months[m].Completeness, 1e-12)
	}
	for h := range st.Hours {
		near(t, "hour's completeness", c.Hours[h].Completeness, st.Hours[h].Completeness, 1e-12)
	}

	equation := func(k float64) (g, scale float64) {
		var vk, vkln, ln, w float64
		for i, v := range speeds {
			if v > 0 {
				x := weights[time.Unix(s.Times[i], 0).UTC().Month()-1]
				w += x
				vk += x * math.Pow(v, k)
				vkln += x * math.Pow(v, k) * math.Log(v)
				ln += x * math.Log(v)
			}
		}
		return vkln/vk - 1/k - ln/w, math.Pow(vk/w, 1/k)
	}
	lo, hi := 0.5, 8.0
	for range 50 {
		if g, _ := equation((lo + hi) / 2); g < 0 {
			lo = (lo + hi) / 2
		} else {
			hi = (lo + hi) / 2
		}
	}
	_, scale := equation(lo)
	near(t, "evened k", c.Fits[0].Shape, lo, -1e-9)
	near(t, "evened A", c.Fits[0].Scale, scale, -1e-9)
	near(t, "calms of the fit", c.Fits[0].CalmShare, calm, -1e-12)
	near(t, "moments keep the evened mean", c.Fits[1].Mean()*(1-calm), mean, -1e-9)
	near(t, "the cube is kept too", c.Fits[2].MeanCube()*(1-calm), cube, -1e-9)
	if raw, err := resource.FitSpeeds(present(speeds), ""); err != nil || c.Fits[0].ScaleSE <= raw.ScaleSE || math.Abs(raw.Shape-lo) < 1e-4 {
		t.Errorf("weights must cost certainty and move the fit: %+v and %+v, %v", c.Fits[0].Fit, raw, err)
	}
	checkSums(t, c)
	if _, ok := warned(c, "uneven_months"); !ok {
		t.Error("no warning")
	}
}

func present(values []float64) (out []float64) {
	for _, v := range values {
		if v == v {
			out = append(out, v)
		}
	}
	return out
}

// TestOneAbsurdRow: a reading of 1048 mph ruins every fit; that is told, by the energy the fit misses.
func TestOneAbsurdRow(t *testing.T) {
	c := of(t, station("EWR", math.Inf(1))(t), Options{})
	if _, ok := warned(c, "fit_misses_energy"); !ok {
		t.Error("no warning")
	}
	for _, f := range c.Fits {
		if f.Err != nil && !errors.Is(f.Err, resource.ErrNoShape) {
			t.Errorf("%s: %v", f.Method, f.Err)
		}
	}
}
