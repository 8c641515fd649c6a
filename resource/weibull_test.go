package resource

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
)

// TestWeibullConstants replays reference/weibull_constants.csv: columns k, mean/c, energy pattern factor, sd/mean,
// median/c, mode/c, speed of most energy/c (computed with SciPy's gamma, six decimals).
func TestWeibullConstants(t *testing.T) {
	rows := table(t, "reference/weibull_constants.csv", 1)
	if len(rows) != 15 {
		t.Errorf("got %d rows, want 15", len(rows))
	}
	for _, row := range rows {
		w := Weibull{Shape: number(row[0]), Scale: 7}
		near(t, "k "+row[0]+" mean/c", w.Mean()/7, number(row[1]), 1e-6)
		near(t, "k "+row[0]+" pattern factor", w.EnergyPatternFactor(), number(row[2]), 1e-6)
		near(t, "k "+row[0]+" sd/mean", w.SD()/w.Mean(), number(row[3]), 1e-6)
		near(t, "k "+row[0]+" median/c", w.Quantile(0.5)/7, number(row[4]), 1e-6)
		near(t, "k "+row[0]+" mode/c", w.Mode()/7, number(row[5]), 1e-6)
		near(t, "k "+row[0]+" most energy/c", w.SpeedOfMostEnergy()/7, number(row[6]), 1e-6)
	}
}

func TestWeibullClosedForms(t *testing.T) {
	// Γ(1.5) = √π/2 and Γ(2.5)/Γ(1.5)³ = 6/π exactly.
	rayleigh := Weibull{Shape: 2, Scale: 1}
	near(t, "mean", rayleigh.Mean(), math.Sqrt(math.Pi)/2, 1e-15)
	near(t, "pattern factor", rayleigh.EnergyPatternFactor(), 6/math.Pi, 1e-14)
	near(t, "mean cube", rayleigh.MeanCube(), 0.75*math.Sqrt(math.Pi), 1e-14)
	// Power density for a mean of 5 m/s at 1.225 kg/m³ (reference values, computed with SciPy, to 0.01 W/m²).
	for k, want := range map[float64]float64{1.5: 208.14, 2: 146.22, 2.5: 120.77} {
		near(t, "power density", fromMean(k, 5).PowerDensity(1.225), want, 0.005)
	}
	near(t, "power density at 6 m/s", fromMean(2, 6).PowerDensity(1.225), 252.67, 0.005)
	// The exponential distribution, k = 1: ∫ v·e^−v from a to b = (1+a)e^−a − (1+b)e^−b, ∫ e^−v from 0 to v = 1 − e^−v.
	exponential := Weibull{Shape: 1, Scale: 1}
	near(t, "partial moment", exponential.PartialMoment1(0.5, 2), 1.5*math.Exp(-0.5)-3*math.Exp(-2), 1e-14)
	near(t, "integrated survival", exponential.IntegratedSurvival(2), -math.Expm1(-2), 1e-14)
}

func TestWeibullIntegrals(t *testing.T) {
	for _, w := range []Weibull{{1.3, 4}, {2, 6.5}, {2.7, 9}, {4, 5}} {
		moment := quad.Fixed(func(v float64) float64 { return v * w.Prob(v) }, 3, 11, 200, nil, 0)
		near(t, "partial moment by quadrature", w.PartialMoment1(3, 11), moment, 1e-12)
		survival := quad.Fixed(w.Survival, 0, 8, 2000, nil, 0)
		near(t, "integrated survival by quadrature", w.IntegratedSurvival(8), survival, 1e-7)
		near(t, "all of the mean", w.PartialMoment1(-1, math.Inf(1)), w.Mean(), 1e-12)
		near(t, "all of the mean again", w.IntegratedSurvival(math.Inf(1)), w.Mean(), 1e-12)
		// Parts: ∫(1−F) from 0 to v = v·(1−F(v)) + ∫ x·f(x) from 0 to v.
		near(t, "by parts", w.IntegratedSurvival(7), 7*w.Survival(7)+w.PartialMoment1(0, 7), 1e-12)
	}
}

func TestWeibullSpecialCases(t *testing.T) {
	w := Weibull{Shape: 2, Scale: 6}
	near(t, "CDF below zero", w.CDF(-1), 0, 0)
	near(t, "survival below zero", w.Survival(-1), 1, 0)
	near(t, "CDF and survival", w.CDF(4)+w.Survival(4), 1, 1e-15)
	near(t, "CDF at infinity", w.CDF(math.Inf(1)), 1, 0)
	if q := w.Quantile(1); !math.IsInf(q, 1) {
		t.Errorf("quantile of 1 is %g", q)
	}
	for _, bad := range []Weibull{{0, 6}, {2, 0}, {-1, 6}, {math.NaN(), 6}, {2, math.Inf(1)}} {
		for name, v := range map[string]float64{
			"mean": bad.Mean(), "cube": bad.MeanCube(), "sd": bad.SD(), "cdf": bad.CDF(3), "prob": bad.Prob(3), "mode": bad.Mode(),
			"quantile": bad.Quantile(0.5), "pattern": bad.EnergyPatternFactor(), "partial": bad.PartialMoment1(1, 2),
			"integrated": bad.IntegratedSurvival(2), "survival": bad.Survival(2), "most energy": bad.SpeedOfMostEnergy(),
		} {
			if !math.IsNaN(v) {
				t.Errorf("%s of %+v is %g, want NaN", name, bad, v)
			}
		}
	}
	for _, p := range []float64{-0.1, 1.1, math.NaN()} {
		if !math.IsNaN(w.Quantile(p)) {
			t.Errorf("quantile of %g is %g", p, w.Quantile(p))
		}
	}
}
