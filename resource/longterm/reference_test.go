package longterm_test

import (
	"math"
	"testing"

	"mastworth/resource"
	"mastworth/resource/longterm"
)

// days1978 is where 1978 begins among the days of the Irish table, 1 January 1961 being 0: 17 years with 4 leap days.
const days1978 = 17*365 + 4

// TestIrishTable trains on 1978 and predicts 1961 to 1977 (Haslett & Raftery 1989, open data, knots × 0.514444; figures of
// r, slopes, intercepts, means and standard deviations computed with another program from the same file, to 1e-5; the
// methods by Rogers et al. 2005, from memory). The figures are those of the bare line; where it dips below zero the
// hindcast is set to zero, which the test adds back.
func TestIrishTable(t *testing.T) {
	for _, w := range []struct {
		target           string
		method           longterm.Method
		r, slope, offset float64
		mean, sd         float64
		actual, actualSD float64
	}{
		{"CLO", longterm.LeastSquares, 0.7890116, 0.669703, 0.7678964, 4.37642, 1.69862, 4.49167, 2.32346},
		{"CLO", longterm.VarianceRatio, 0.7890116, 0.8487873, -0.168799, 4.40467, 2.15285, 4.49167, 2.32346},
		{"BIR", longterm.LeastSquares, 0.897188, 0.7070899, 0.2374211, 4.04739, 1.79345, 3.63168, 2.04083},
		{"BIR", longterm.VarianceRatio, 0.897188, 0.7881178, -0.1863933, 4.06017, 1.99897, 3.63168, 2.04083},
	} {
		target, reference := station(t, w.target), station(t, "SHA")
		r, err := longterm.Predict(part(target, days1978, 6574), 0, reference, 0, longterm.Options{Method: w.method, MaxShiftS: longterm.DefaultMaxShiftS})
		if err != nil {
			t.Fatal(err)
		}
		const tol = 1e-5
		name := w.target + " " + string(w.method) + ": "
		fit := r.Fits[0]
		near(t, name+"r", r.R, w.r, tol)
		near(t, name+"slope", fit.Slope, w.slope, tol)
		near(t, name+"intercept", fit.Intercept, w.offset, tol)
		near(t, name+"x̄", r.Concurrent.ReferenceMeanMS, 5.230472, tol)
		near(t, name+"ȳ", r.Concurrent.TargetMeanMS, map[string]float64{"CLO": 4.270759, "BIR": 3.935835}[w.target], tol)
		near(t, name+"long-run mean of the reference", meanOf(part(reference, 0, days1978), 0), 5.388239, tol)
		mean, sd, dips := spread(r.Series.Channels[0].Values[:days1978], reference.Channels[0].Values, fit)
		near(t, name+"predicted mean", mean, w.mean, tol)
		near(t, name+"predicted standard deviation", sd, w.sd, tol)
		if dips > r.Clipped {
			t.Errorf("%s%d speeds dip below zero, and %d are reported", name, dips, r.Clipped)
		}
		mean, sd, _ = spread(target.Channels[0].Values[:days1978], nil, longterm.Fit{})
		near(t, name+"actual mean", mean, w.actual, tol)
		near(t, name+"actual standard deviation", sd, w.actualSD, tol)
	}
}

// spread is mean and standard deviation (n−1); where a value is zero and x is given it is the bare line's instead.
func spread(values, x []float64, f longterm.Fit) (mean, sd float64, dips int) {
	of := func(i int) float64 {
		if values[i] == 0 && x != nil {
			return f.Intercept + f.Slope*x[i]
		}
		return values[i]
	}
	for i := range values {
		mean += of(i) / float64(len(values))
		if of(i) < 0 {
			dips++
		}
	}
	for i := range values {
		sd += (of(i) - mean) * (of(i) - mean)
	}
	return mean, math.Sqrt(sd / float64(len(values)-1)), dips
}

// TestSpeedRatioIrish holds the third method against the same table: ȳ/x̄ = 4.270759/5.230472.
func TestSpeedRatioIrish(t *testing.T) {
	r, err := longterm.Predict(part(station(t, "CLO"), days1978, 6574), 0, station(t, "SHA"), 0, longterm.Options{Method: longterm.SpeedRatio})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", r.Fits[0].Slope, 4.270759/5.230472, 1e-6)
	near(t, "intercept", r.Fits[0].Intercept, 0, 0)
	near(t, "ratio", r.Fits[0].Ratio, 4.270759/5.230472, 1e-6)
}

// TestFitAgainstR holds fit, averaging and leaving out against R 4 (lm, cor, aggregate), for two made-up records; the script is
// beside the figures.
func TestFitAgainstR(t *testing.T) {
	target, reference := madeUp()
	for _, w := range rFigures {
		r, err := longterm.Predict(target, 0, reference, 0, longterm.Options{Method: w.method})
		if err != nil {
			t.Fatal(err)
		}
		name := string(w.method) + ": "
		near(t, name+"slope", r.Fits[0].Slope, w.slope, -1e-9)
		near(t, name+"intercept", r.Fits[0].Intercept, w.intercept, -1e-9)
		near(t, name+"r", r.R, w.r, -1e-9)
		near(t, name+"leave-out mean", r.LeaveOut.MeanErrorRMS, w.meanRMS, -1e-9)
		near(t, name+"leave-out cube", r.LeaveOut.CubeErrorRMS, w.cubeRMS, -1e-9)
		if r.LeaveOut.Months != w.months || r.ConcurrentN != w.n {
			t.Errorf("%s%d months and %d pairs, want %d and %d", name, r.LeaveOut.Months, r.ConcurrentN, w.months, w.n)
		}
	}
}

// madeUp is a half-hourly target over April to July 2021 (122 days) and an hourly reference over 2020 and 2021, both in
// UTC, of sums of sines: i is the half-hour from 1 January 2020, and the values are as in the R script.
func madeUp() (target, reference *resource.Series) {
	const start = 1577836800 // 2020-01-01
	reference = &resource.Series{StepS: 3600, Channels: []resource.Channel{{Name: "far", Quantity: resource.Speed, HeightM: 10}}}
	for h := range (366 + 365) * 24 {
		reference.Times = append(reference.Times, start+int64(h)*3600)
		reference.Channels[0].Values = append(reference.Channels[0].Values, far(float64(2*h)))
	}
	target = &resource.Series{StepS: 1800, Channels: []resource.Channel{{Name: "near", Quantity: resource.Speed, HeightM: 10}}}
	for i := (366 + 90) * 48; i < (366+90+122)*48; i++ {
		f := float64(i)
		target.Times = append(target.Times, start+int64(i)*1800)
		target.Channels[0].Values = append(target.Channels[0].Values, 1+0.6*far(f)+0.8*math.Sin(f/37)+0.5*math.Sin(f/1100))
	}
	return target, reference
}

func far(i float64) float64 { return 7 + 2*math.Sin(i/23) + 1.5*math.Sin(i/131+1) + math.Sin(i/911) }
