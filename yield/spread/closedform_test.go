package spread

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// zs are the normal distribution's quantiles of handbook tables, to six places.
var zs = [5]float64{0, 0.674490, 1.281552, 1.644854, 2.326348}

func levels(s *Spread) [5]Level { return [5]Level{s.P50, s.P75, s.P90, s.P95, s.P99} }

// Normal errors through a linear model: energy is exactly normal, and so are its levels, P90 = 1 − 1.281552 u. With 10 % that is
// 0.87184 and with 20 % 0.74369. The stated sampling errors must be what they claim: over sixty seeds the misses, in their
// units, scatter as Student's t with the blocks' degrees of freedom.
func TestLinearNormalIsExact(t *testing.T) {
	for _, u := range []float64{0.10, 0.20} {
		m := straight(t, 1)
		sources := []Source{
			{Name: "a", Kind: WindSpeed, Standard: u},
		}
		var misses []float64
		for seed := range uint64(60) {
			r := mustDraw(t, m, sources, Options{Draws: 4000, Seed: seed})
			e := &r.Heights[0].Year.Energy
			for i, l := range levels(e) {
				want := 1000 * (1 - u*zs[i])
				near(t, "level", l.Value, want, 2e-2)
				misses = append(misses, (l.Value-want)/l.SamplingError)
			}
			near(t, "mean", e.Mean.Value, 1000, 3e-4)
			near(t, "standard uncertainty", e.SD.Value, 1000*u, 5e-3)
			misses = append(misses, (e.Mean.Value-1000)/e.Mean.SamplingError)
		}
		checkMisses(t, misses)
		r := mustDraw(t, m, sources, Options{Draws: 20000, Seed: 1})
		near(t, "P90/P50", r.Heights[0].Year.Energy.P90.Value/r.Heights[0].Year.Energy.P50.Value, 1-1.281552*u, 5e-4)
	}
}

// checkMisses holds misses in units of the stated errors to what Student's t with 7 degrees of freedom allows: 91.4 % within 2,
// 98 % within 3.
func checkMisses(t *testing.T, misses []float64) {
	t.Helper()
	two, three := 0, 0
	for _, x := range misses {
		if math.Abs(x) <= 2 {
			two++
		}
		if math.Abs(x) <= 3 {
			three++
		}
	}
	n := float64(len(misses))
	if share := float64(two) / n; share < 0.87 || share > 0.99 {
		t.Errorf("%.1f %% of %g misses are within two sampling errors, want about 92 %%", 100*share, n)
	}
	if share := float64(three) / n; share < 0.955 {
		t.Errorf("%.1f %% of %g misses are within three sampling errors, want about 98 %%", 100*share, n)
	}
}

// Log-normal factors through a power law: ln E is exactly normal with variance S² Σ ln(1+u²) over speeds plus Σ ln(1+u²) over
// energies, whatever the number of sources, so every level is known.
func TestPowerLawLognormalIsExact(t *testing.T) {
	const power = 2.3
	m := straight(t, power)
	speeds, energies := []float64{0.03, 0.04, 0.03, 0.06, 0.05}, []float64{0.06, 0.03}
	var sources []Source
	variance, centre := 0.0, math.Log(1000)
	for i, u := range append(append([]float64(nil), speeds...), energies...) {
		s := Source{Name: string(rune('a' + i)), Kind: WindSpeed, Standard: u, Distribution: Lognormal}
		v := math.Log1p(u * u)
		if i < len(speeds) {
			variance += power * power * v
			centre -= power * v / 2
		} else {
			s.Kind = WindEnergy
			variance += v
			centre -= v / 2
		}
		sources = append(sources, s)
	}
	var misses []float64
	for seed := range uint64(40) {
		r := mustDraw(t, m, sources, Options{Draws: 8000, Seed: seed})
		h := &r.Heights[0]
		for i := range zs {
			want := math.Exp(centre - zs[i]*math.Sqrt(variance))
			got := levels(&h.Life.Energy)[i]
			near(t, "energy", got.Value, want, 3e-2)
			misses = append(misses, (got.Value-want)/got.SamplingError)
			// Its cost is its reciprocal: not exceeded with 90 % where the energy is exceeded with 90 %.
			near(t, "cost", levels(&h.Life.CostPerKWh)[i].Value, 100/want, 3e-2)
		}
		near(t, "capacity factor", h.Life.CapacityFactor.P90.Value, h.Life.Energy.P90.Value/8760, 1e-12)
	}
	checkMisses(t, misses)
}

// The worked number: speed parts of 3, 4, 3, 6 and 5 %, 9.7468 % together; at 2.3 % of energy a per cent of speed 22.418 %; with 6 % for
// the curve and 3 % for losses 23.400 %; P90/P50 = 0.70012 and P75/P50 = 0.84217 for a normal distribution (computed apart). The law of
// propagation gives it to all digits. Drawing adds what the products of errors add: a little to the spread, and a skew.
func TestWorkedCombination(t *testing.T) {
	const power = 2.3
	m := straight(t, 1)
	e, err := Tabulate(func(f float64) float64 { return math.Max(0, 1+power*(f-1)) }, wide())
	if err != nil {
		t.Fatal(err)
	}
	m.Heights[0].Energy = e
	sources := []Source{
		{Name: "sensor", Kind: WindSpeed, Standard: 0.03}, {Name: "long run", Kind: WindSpeed, Standard: 0.04},
		{Name: "shear", Kind: WindSpeed, Standard: 0.03}, {Name: "years", Kind: WindSpeed, Standard: 0.06},
		{Name: "hedge", Kind: WindSpeed, Standard: 0.05}, {Name: "curve", Kind: WindEnergy, Standard: 0.06},
		{Name: "losses", Kind: WindEnergy, Standard: 0.03},
	}
	r := mustDraw(t, m, sources, Options{Draws: 50000, Seed: 3})
	h := &r.Heights[0]
	near(t, "energy per speed", h.Sensitivity, power, 1e-5)
	near(t, "speed alone", math.Sqrt(h.LinearYear*h.LinearYear-0.06*0.06-0.03*0.03)/power, 0.097468, 1e-5)
	near(t, "combined standard uncertainty", h.LinearYear, 0.23400, 2e-5)
	near(t, "P90/P50 by the law of propagation", 1-1.281552*h.LinearYear, 0.70012, 2e-5)
	near(t, "P75/P50 by the law of propagation", 1-0.674490*h.LinearYear, 0.84217, 2e-5)
	near(t, "standard uncertainty drawn", h.Year.Energy.SD.Value, 0.23400, 1e-2)
	// The sources' squares are their shares: the sensor's is (2.3·0.03/0.234)².
	near(t, "the sensor's share", h.Year.Energy.Contributions[0].Share, math.Pow(power*0.03/0.234, 2), 0.02)
	near(t, "the years' share", h.Year.Energy.Contributions[3].Share, math.Pow(power*0.06/0.234, 2), 0.02)
	near(t, "shares and what is left", h.Year.Energy.Together, 0, 0.015)
	// As one normal error of the combined size, the drawn levels are the worked ones.
	r = mustDraw(t, m, []Source{{Name: "all", Kind: WindEnergy, Standard: 0.23400}}, Options{Draws: 50000, Seed: 3})
	e1 := &r.Heights[0].Year.Energy
	near(t, "P90/P50 drawn", e1.P90.Value/e1.P50.Value, 0.70012, 2e-4)
	near(t, "P75/P50 drawn", e1.P75.Value/e1.P50.Value, 0.84217, 2e-4)
}

// A year's mean stands for the long term with ± 6 %/√N (common practice, reference section 9): in a life of N years what varies from
// year to year shrinks by √N, the rest does not.
func TestYearsShrinkWithTheLife(t *testing.T) {
	for _, years := range []int{1, 4, 20} {
		m := straight(t, 1)
		m.LifeYears = years
		sources := []Source{{Name: "years", Kind: WindSpeed, Standard: 0.06, EveryYear: true}}
		r := mustDraw(t, m, sources, Options{Draws: 4000, Seed: 9})
		h := &r.Heights[0]
		near(t, "a year", h.Year.Energy.SD.Value, 60, 5e-3)
		near(t, "the life", h.Life.Energy.SD.Value, 60/math.Sqrt(float64(years)), 2.5e-2)
		near(t, "the life, linear", h.LinearLife, 0.06/math.Sqrt(float64(years)), 1e-6)
		near(t, "the swing", h.Swings[0].Life.EnergyAbove, 1000*(1+0.06/math.Sqrt(float64(years))), 1e-6)
		near(t, "the share of the life", h.Life.Energy.Contributions[0].Share, 1, 1e-3)
	}
	// One year's record for a mean of twenty: √(6² + (6/√20)²) = 6.148 % (computed apart).
	m := straight(t, 1)
	r := mustDraw(t, m, []Source{
		{Name: "one year's record", Kind: WindSpeed, Standard: 0.06},
		{Name: "years to come", Kind: WindSpeed, Standard: 0.06, EveryYear: true},
	}, Options{Draws: 20000, Seed: 4})
	near(t, "linear", r.Heights[0].LinearLife, 0.06148, 5e-5)
	within(t, "drawn", r.Heights[0].Life.Energy.SD, 61.48, 4)
}

// JCGM 101:2008, 9.2 (from memory): the sum of four inputs. Four normal of unit standard deviation: u(y) = 2.0 and ± 3.92; four
// rectangular ones: ± 3.88; and with one of them ten times as wide: ± 17.0, where a normal would have ± 19.9.
func TestAdditiveModelsOfJCGM101(t *testing.T) {
	for _, c := range []struct {
		name         string
		distribution Distribution
		widest       float64
		want, tol    float64
		u            float64
	}{
		{"9.2.2 normal", Normal, 1, 3.92, 0.01, 2}, // printed to 0.01 and 0.1
		{"9.2.3 rectangular", Rectangular, 1, 3.88, 0.01, 2},
		{"9.2.4 one rectangular wider", Rectangular, 10, 17.0, 0.05, math.Sqrt(103)},
	} {
		var sources []Source
		for _, name := range []string{"a", "b", "c", "d"} {
			sources = append(sources, Source{Name: name, Kind: WindEnergy, Standard: 0.1, Distribution: c.distribution})
		}
		const seeds = 10
		symmetric, narrow, u, expectation := 0.0, 0.0, 0.0, 0.0
		for seed := range uint64(seeds) {
			r := mustDraw(t, straight(t, 1), sources, Options{Draws: 50000, Seed: seed, Keep: true})
			sum := make([]float64, r.Draws)
			for i, scores := range r.Joint.Scores {
				for k, x := range scores {
					if i == 3 {
						x *= c.widest
					}
					sum[k] += x
				}
			}
			s := spreadOf(new(sorter), sum, r.Draws/r.Blocks, true)
			symmetric += (s.Symmetric.High - s.Symmetric.Low) / 2 / seeds
			narrow += (s.Shortest.High - s.Shortest.Low) / 2 / seeds
			u += s.SD.Value / seeds
			expectation += s.Mean.Value / seeds
		}
		near(t, c.name+": symmetric interval", symmetric, c.want, c.tol/c.want)
		// Of a symmetric distribution both are the same; the narrowest of many drawn ones is a touch narrower.
		near(t, c.name+": shortest interval", narrow, c.want, 3*c.tol/c.want)
		near(t, c.name+": standard uncertainty", u, c.u, 1e-3)
		near(t, c.name+": expectation", expectation, 0, 1e-3)
	}
}

// Every distribution has mean 1 and its standard uncertainty, and its own quantiles; gonum's are the judges.
func TestDistributions(t *testing.T) {
	const u = 0.2
	v := math.Log1p(u * u)
	for _, c := range []struct {
		d    Distribution
		want func(p float64) float64
	}{
		{Normal, distuv.Normal{Mu: 1, Sigma: u}.Quantile},
		{Lognormal, distuv.LogNormal{Mu: -v / 2, Sigma: math.Sqrt(v)}.Quantile},
		{Rectangular, distuv.Uniform{Min: 1 - u*math.Sqrt(3), Max: 1 + u*math.Sqrt(3)}.Quantile},
		{Triangular, distuv.NewTriangle(1-u*math.Sqrt(6), 1+u*math.Sqrt(6), 1, nil).Quantile},
	} {
		s := Source{Name: "x", Kind: WindEnergy, Standard: u, Distribution: c.d}
		for _, p := range []float64{1e-6, 0.01, 0.1, 0.25, 0.5, 0.75, 0.9, 0.99, 1 - 1e-6} {
			x := []float64{p}
			s.score(x)
			near(t, string(c.d), s.factor(x[0], u), c.want(p), 1e-9)
		}
		r := mustDraw(t, straight(t, 1), []Source{s}, Options{Draws: 20000, Seed: 2})
		e := &r.Heights[0].Year.Energy
		near(t, string(c.d)+": mean", e.Mean.Value, 1000, 1e-4)
		near(t, string(c.d)+": standard uncertainty", e.SD.Value, 1000*u, 1e-3)
	}
	// The rectangle and the triangle know half-widths (JCGM 101, 6.4.2 and 6.4.5).
	near(t, "rectangle", RectangularStandard(0.173205), 0.1, 1e-6)
	near(t, "triangle", TriangularStandard(0.244949), 0.1, 1e-6)
}

// A normal bounded at ± a standard deviations keeps 1 − 2aφ(a)/(2Φ(a)−1) of its variance (textbook).
func TestTruncation(t *testing.T) {
	for _, a := range []float64{1, 2, 3} {
		n := distuv.UnitNormal
		want := math.Sqrt(1 - 2*a*n.Prob(a)/(2*n.CDF(a)-1))
		r := mustDraw(t, straight(t, 1), []Source{{Name: "x", Kind: WindEnergy, Standard: 0.1, TruncateAt: a}}, Options{Draws: 20000, Seed: 2})
		e := &r.Heights[0].Year.Energy
		near(t, "standard uncertainty", e.SD.Value, 100*want, 1e-3)
		if e.Symmetric.Low < 1000-100*a {
			t.Errorf("truncated at %g, but drawn down to %g", a, e.Symmetric.Low)
		}
	}
}
