package spread

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"mastworth/resource"
	"mastworth/yield"
)

// near fails unless got is within tol of want, relative to want (absolute where want is 0).
func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	scale := math.Abs(want)
	if want == 0 {
		scale = 1
	}
	if !(math.Abs(got-want) <= tol*scale) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tol)
	}
}

// within fails unless a level is within so many of its sampling errors of the exact value.
func within(t testing.TB, what string, got Level, want, errors float64) {
	t.Helper()
	if !(math.Abs(got.Value-want) <= errors*got.SamplingError) {
		t.Errorf("%s: got %.9g ± %.2g, want %.9g", what, got.Value, got.SamplingError, want)
	}
}

// sharedFile opens a file of the shared folder beside the checkout; it skips where that is absent, except under CI.
func sharedFile(t testing.TB, parts ...string) [][]string {
	t.Helper()
	dir, err := os.Getwd()
	for err == nil {
		if _, e := os.Stat(filepath.Join(dir, "go.mod")); e == nil {
			break
		}
		if filepath.Dir(dir) == dir {
			t.Fatal("no go.mod above the test")
		}
		dir = filepath.Dir(dir)
	}
	f, err := os.Open(filepath.Join(append([]string{dir, "..", "shared"}, parts...)...))
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal(err)
		}
		t.Skip("the shared folder is not beside the checkout: ", err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// referenceCurve reads a power curve of the reference folder.
func referenceCurve(t testing.TB, name string) *yield.Curve {
	t.Helper()
	var points []yield.Point
	for _, row := range sharedFile(t, "reference", name)[1:] {
		v, err1 := strconv.ParseFloat(row[0], 64)
		p, err2 := strconv.ParseFloat(row[1], 64)
		if err1 != nil || err2 != nil {
			t.Fatal(row, err1, err2)
		}
		points = append(points, yield.Point{SpeedMS: v, PowerW: 1000 * p})
	}
	c, err := yield.NewCurve(points, 1.225)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// inventedCurve is a small machine of no make.
func inventedCurve() *yield.Curve {
	var points []yield.Point
	for v := 3.0; v <= 15; v += 0.5 {
		points = append(points, yield.Point{SpeedMS: v, PowerW: min(1000, 2.3*math.Pow(v-2, 2.8))})
	}
	points = append(points, yield.Point{SpeedMS: 25, PowerW: 900})
	c, err := yield.NewCurve(points, 1.225)
	if err != nil {
		panic(err)
	}
	return c
}

// yearly is a year's energy in kWh by a factor on the wind, in a Rayleigh distribution of a mean speed.
func yearly(c *yield.Curve, meanMS float64) func(float64) float64 {
	return func(m float64) float64 {
		scale := m * meanMS / math.Gamma(1.5)
		return c.MeanPowerWeibull(resource.Weibull{Shape: 2, Scale: scale}) * yield.HoursPerYear / 1000
	}
}

// stopper is what a test and a property have in common.
type stopper interface {
	Helper()
	Fatal(args ...any)
}

// tableOf tabulates or fails.
func tableOf(t stopper, f func(float64) float64) *EnergyTable {
	t.Helper()
	e, err := Tabulate(f, Multipliers(45))
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// wide are factors that no draw of these tests leaves.
func wide() []float64 {
	var out []float64
	for m := 0.05; m < 3; m += 0.025 {
		out = append(out, m)
	}
	return out
}

// straight is a model of one height whose energy is 1000 kWh times a power of the factor, and whose cost is 100 a year.
func straight(t testing.TB, power float64) Model {
	e, err := Tabulate(func(m float64) float64 { return 1000 * math.Pow(m, power) }, wide())
	if err != nil {
		t.Fatal(err)
	}
	return Model{
		Heights:   []HeightModel{{Energy: e, NetShare: 1, RatedKW: 1, CapitalPerYear: 80, UpkeepPerYear: 20}},
		Solar:     Solar{PerKWh: math.NaN(), AnnualKWh: math.NaN()},
		Price:     math.NaN(),
		LifeYears: 20,
	}
}

// mustDraw draws or fails.
func mustDraw(t testing.TB, m Model, sources []Source, o Options) Result {
	t.Helper()
	r, err := Draw(m, sources, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// garden is an invented backyard: heights of 10 m to 38 m over a hedge, an array and a price.
func garden(t stopper, heights int) (Model, []Source) {
	m := Model{
		Solar:     Solar{PerKWh: 0.17, AnnualKWh: 2500, LifeYears: 25},
		Price:     0.30,
		LifeYears: 20,
		Rate:      0.03,
		Decline:   0.002,
	}
	c := inventedCurve()
	extrapolation := make([]float64, heights)
	for i := range heights {
		hub := 10 + 4*float64(i)
		m.Heights = append(m.Heights, HeightModel{
			Energy: tableOf(t, yearly(c, 4.2*math.Pow(hub/10, 0.22))), NetShare: 0.88, RatedKW: 1,
			CapitalPerYear: 180 + 9*hub, ReplacementsPerYear: 25, UpkeepPerYear: 60,
		})
		extrapolation[i] = 0.02 + 0.002*hub
	}
	return m, []Source{
		{Name: "measurement", Kind: WindSpeed, Standard: 0.04},
		{Name: "year to year", Kind: WindSpeed, Standard: 0.06, EveryYear: true},
		{Name: "long run", Kind: WindSpeed, Standard: 0.05},
		{Name: "extrapolation", Kind: WindSpeed, PerHeight: extrapolation},
		{Name: "obstacles", Kind: WindSpeed, Standard: 0.05, Distribution: Triangular},
		{Name: "power curve", Kind: WindEnergy, Standard: 0.08},
		{Name: "losses", Kind: WindEnergy, Standard: 0.04, Distribution: Rectangular},
		{Name: "capital", Kind: Capital, Standard: 0.1, Distribution: Lognormal},
		{Name: "upkeep", Kind: Upkeep, Standard: 0.3, Distribution: Lognormal},
		{Name: "solar resource", Kind: SolarEnergy, Standard: 0.04},
		{Name: "solar years", Kind: SolarEnergy, Standard: 0.04, EveryYear: true},
		{Name: "solar cost", Kind: SolarCost, Standard: 0.1},
		{Name: "price", Kind: Price, Standard: 0.15, Distribution: Lognormal},
	}
}
