package assess

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"testing"

	"mastworth/yield"
	"mastworth/yield/cost"
)

// near fails unless got is within tol of want, relative to want (absolute where want is 0).
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	scale := math.Abs(want)
	if want == 0 {
		scale = 1
	}
	if !(math.Abs(got-want) <= tol*scale) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tol)
	}
}

// garden is a complete invented request in a Weibull wind, without losses, at sea level on 1.225 kg/m³ air.
func garden() Request {
	return Request{
		Site: Site{Name: "invented", LatitudeDeg: 52, LongitudeDeg: -1, ElevationM: 0,
			Ground: Ground{RoughnessM: 0.1, DisplacementM: 0}},
		Wind:  Wind{Weibull: &Weibull{ScaleMS: 5.5, Shape: 2, HeightM: 10}},
		Shear: Shear{Method: ShearAuto, Exponent: nan},
		Turbine: Turbine{Name: "invented", RotorDiameterM: 2.4, RatedPowerW: 900, Regulation: yield.Furling, CurveDensity: 1.225,
			CurvePoints: []yield.Point{{SpeedMS: 2.5}, {SpeedMS: 4, PowerW: 45}, {SpeedMS: 6, PowerW: 190}, {SpeedMS: 8, PowerW: 440},
				{SpeedMS: 10, PowerW: 750}, {SpeedMS: 12, PowerW: 900}, {SpeedMS: 25, PowerW: 300}, {SpeedMS: 26}}},
		Towers: []Tower{{HubHeightM: 12, Cost: 650}, {HubHeightM: 18, Cost: 1400}},
		Losses: yield.Losses{},
		Money: Money{Currency: "EUR", TurbineCost: 1900, OtherCost: 400, YearlyCost: 80, LifeYears: 20, DiscountRate: 0.04,
			PricePerKWh: 0.28, FeedInPerKWh: nan, SelfUsedShare: nan},
		Solar: Solar{CostPerKW: 1500, YearlyCostPerKW: 15, LifeYears: 25, TiltDeg: nan, BestTilt: true, AzimuthDeg: 180, Losses: 0.14,
			YearlyIrradiationKWhM2: nan, YieldKWhPerKW: nan},
	}
}

func mustRun(t testing.TB, r Request) Estimate {
	t.Helper()
	e, err := Run(r)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// referenceCurve reads one of the government reference machines' curves (NREL open reference machines, 2019
// cost-of-energy set) in the shared figures beside the checkout.
func referenceCurve(t *testing.T, name string) []yield.Point {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "shared", "reference", name))
	if errors.Is(err, os.ErrNotExist) && os.Getenv("CI") == "" {
		t.Skip("the shared reference figures are not beside this checkout")
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var points []yield.Point
	for _, row := range rows[1:] {
		v, err1 := strconv.ParseFloat(row[0], 64)
		kw, err2 := strconv.ParseFloat(row[1], 64)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		points = append(points, yield.Point{SpeedMS: v, PowerW: 1000 * kw})
	}
	return points
}

// The yearly energy of the 20 kW reference machine, 12.4 m across, in Rayleigh winds, must pass through a whole estimate
// unharmed. Source: fine integral over the published curve, computed with SciPy; 0.2 %.
func TestReferenceMachineThroughEstimate(t *testing.T) {
	points := referenceCurve(t, "curve_DW20.csv")
	for mean, kWh := range map[float64]float64{4: 26499, 5: 46432, 6: 66985, 7: 86221, 8: 102773} {
		r := garden()
		r.Site.ElevationM = -30 // so that the hub is at sea level and the air is the curve's
		r.Wind = Wind{Mean: &Mean{SpeedMS: mean, HeightM: 30, Shape: 2}}
		r.Turbine.RotorDiameterM, r.Turbine.RatedPowerW, r.Turbine.CurvePoints = 12.4, 20000, points
		r.Towers = []Tower{{HubHeightM: 30}}
		h := mustRun(t, r).Heights[0]
		near(t, "gross_kwh", h.Energy.GrossKWh, kWh, 0.002)
		near(t, "weibull_gross_kwh", h.Energy.WeibullGrossKWh, kWh, 0.002)
		near(t, "capacity_factor", h.Energy.CapacityFactor, kWh/8760/20, 0.002)
		near(t, "height_factor", h.Wind.HeightFactor, 1, 1e-12)
	}
}

// Wieringa's exposure transfer (WMO-No. 8; explicit formula from memory): an airport's 5.0 m/s at 10 m over 0.03 m is
// 5.04092 m/s at 20 m in a suburb of 0.5 m, 4.83879 m/s with a displacement of 3.5 m. Computed with SciPy, 1e-5.
func TestExposureThroughEstimate(t *testing.T) {
	for d, want := range map[float64]float64{0: 5.04092, 3.5: 4.83879} {
		r := garden()
		r.Wind = Wind{Mean: &Mean{SpeedMS: 5, HeightM: 10, Shape: 2}, MeasuredOver: &Ground{RoughnessM: 0.03, DisplacementM: 0}}
		r.Site.Ground = Ground{RoughnessM: 0.5, DisplacementM: d}
		r.Towers = []Tower{{HubHeightM: 20, Cost: 1}}
		near(t, "mean speed", mustRun(t, r).Heights[0].Wind.MeanSpeedMS, want, 1e-5)
	}
}

// The power-law example of a handbook page (5 m/s at 10 m, exponent 0.25, to 40 m: 7.07 m/s, printed 7.1).
func TestPowerLawThroughEstimate(t *testing.T) {
	r := garden()
	r.Wind = Wind{Mean: &Mean{SpeedMS: 5, HeightM: 10, Shape: 2}}
	r.Shear = Shear{Method: ShearPower, Exponent: 0.25}
	r.Towers = []Tower{{HubHeightM: 40, Cost: 1}}
	near(t, "mean speed", mustRun(t, r).Heights[0].Wind.MeanSpeedMS, 7.07, 0.001)
}

// The capital recovery factor at 5 % over 20 years is 0.080243 (engineering-economics tables), so 6000 and 150 a year are
// 631.455 a year; over the year's energy that is the cost per kWh.
func TestMoneyThroughEstimate(t *testing.T) {
	r := garden()
	r.Money = Money{Currency: "EUR", TurbineCost: 4000, OtherCost: 500, YearlyCost: 150, LifeYears: 20, DiscountRate: 0.05, PricePerKWh: 0.17,
		FeedInPerKWh: nan, SelfUsedShare: nan}
	r.Towers = []Tower{{HubHeightM: 12, Cost: 1500}}
	r.Solar.LifeYears, r.Solar.CostPerKW, r.Solar.YearlyCostPerKW = 20, 6000, 150
	h := mustRun(t, r).Heights[0]
	near(t, "capital", h.Cost.Capital, 6000, 0)
	near(t, "yearly_equivalent", h.Cost.YearlyEquivalent, 6000*0.080243+150, 1e-5)
	near(t, "per_kwh", h.Cost.PerKWh, h.Cost.YearlyEquivalent/h.Energy.NetKWh, 1e-12)
	near(t, "npv", h.Cost.NPV, (0.17*h.Energy.NetKWh-150)*12.462210-6000, 1e-5)
	near(t, "array_kw", h.Solar.ArrayKW, 1, 1e-9) // a kW of solar costs what the turbine does
	near(t, "solar kWh", h.Solar.AnnualKWh, h.Solar.ArrayKW*h.Solar.YieldKWhPerKW, 1e-12)
	near(t, "solar per_kwh", h.Solar.PerKWh, h.Cost.YearlyEquivalent/h.Solar.AnnualKWh, 1e-9)
}

// Furling, stall and unregulated machines make power with the air's density; a pitching machine meets its rated power
// all the same, at a higher wind (IEC 61400-12-1, density normalisation). At 1600 m of ISO 2533 the density is 1.0476.
func TestDensityThroughEstimate(t *testing.T) {
	r := garden()
	r.Shear = Shear{Method: ShearPower, Exponent: 0}
	r.Towers = []Tower{{HubHeightM: 10, Cost: 1}}
	r.Site.ElevationM = -10
	sea := mustRun(t, r).Heights[0]
	r.Site.ElevationM = 1590
	high := mustRun(t, r).Heights[0]
	near(t, "density", high.Wind.AirDensityKgM3, 1.0476, 1e-4)
	near(t, "furling", high.Energy.GrossKWh/sea.Energy.GrossKWh, 1.0476/1.2250, 1e-4)
	r.Turbine.Regulation = yield.Pitch
	pitch := mustRun(t, r).Heights[0]
	if !(pitch.Energy.GrossKWh > high.Energy.GrossKWh && pitch.Energy.GrossKWh < sea.Energy.GrossKWh) {
		t.Errorf("pitch: %g kWh is not between %g and %g", pitch.Energy.GrossKWh, high.Energy.GrossKWh, sea.Energy.GrossKWh)
	}
}

// A fine frequency table drawn from a Weibull distribution is that distribution.
func TestFrequencyTableAgreesWithWeibull(t *testing.T) {
	r := garden()
	want := mustRun(t, r).Heights[1]
	cdf := func(v float64) float64 { return -math.Expm1(-math.Pow(v/5.5, 2)) }
	f := &Frequency{HeightM: 10}
	const width = 0.1
	for v := 0.0; v < 24; v += width {
		f.Bins = append(f.Bins, Bin{FromMS: v, ToMS: v + width, Share: cdf(v+width) - cdf(v)})
	}
	r.Wind = Wind{Frequency: f}
	got := mustRun(t, r).Heights[1]
	near(t, "gross", got.Energy.GrossKWh, want.Energy.GrossKWh, 1e-3)
	near(t, "mean", got.Wind.MeanSpeedMS, want.Wind.MeanSpeedMS, 1e-3)
	near(t, "shape", got.Wind.Weibull.Shape, 2, 5e-3)
	if got.Energy.Basis != "histogram" || want.Energy.Basis != "weibull" {
		t.Errorf("basis %q and %q", got.Energy.Basis, want.Energy.Basis)
	}
}

func TestLossChainAddsUp(t *testing.T) {
	r := garden()
	r.Losses = yield.Losses{Availability: 0.05, Wiring: 0.03, Conversion: 0.06, Other: 0.03}
	e := mustRun(t, r).Heights[0].Energy
	near(t, "net", e.NetKWh, e.GrossKWh*0.95*0.97*0.94*0.97, 1e-12)
	left := e.GrossKWh
	for _, l := range e.Losses {
		near(t, l.Name, l.KWh, left*l.Share, 1e-12)
		left -= l.KWh
	}
	near(t, "chain", left, e.NetKWh, 1e-12)
}

// Many callers may share one request, and get the same answer each.
func TestRunIsPure(t *testing.T) {
	r := garden()
	r.Losses.Wiring, r.Turbine.RatedPowerW, r.Wind.MeasuredOver = nan, nan, &Ground{Cover: "open", RoughnessM: nan, DisplacementM: nan}
	want := mustRun(t, r)
	if r.Losses.Wiring == r.Losses.Wiring || r.Wind.MeasuredOver.RoughnessM == r.Wind.MeasuredOver.RoughnessM {
		t.Error("Run filled defaults into the caller's request")
	}
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			got, err := Run(r)
			if err != nil || got.Heights[1].Cost != want.Heights[1].Cost || !reflect.DeepEqual(got.Verdict, want.Verdict) {
				t.Error("the same request gave another answer")
			}
		})
	}
	wg.Wait()
}

func TestBadRequestsNameThePlace(t *testing.T) {
	cases := map[string]func(*Request){
		"site.latitude":                  func(r *Request) { r.Site.LatitudeDeg = 120 },
		"site.longitude":                 func(r *Request) { r.Site.LongitudeDeg = nan },
		"site.ground.cover":              func(r *Request) { r.Site.Ground = Ground{Cover: "shrubbery", RoughnessM: nan} },
		"site.ground.roughness_m":        func(r *Request) { r.Site.Ground.RoughnessM = -1 },
		"site.ground.displacement_m":     func(r *Request) { r.Site.Ground.DisplacementM = math.Inf(1) },
		"wind.measured_over.roughness_m": func(r *Request) { r.Wind.MeasuredOver = &Ground{RoughnessM: 0} },
		"wind":                           func(r *Request) { r.Wind.Mean = &Mean{SpeedMS: 5, HeightM: 10, Shape: 2} },
		"wind.weibull.scale_m_s":         func(r *Request) { r.Wind.Weibull = &Weibull{ScaleMS: -1, Shape: 2, HeightM: 10} },
		"wind.mean.height_m":             func(r *Request) { r.Wind = Wind{Mean: &Mean{SpeedMS: 5, HeightM: -10, Shape: 2}} },
		"wind.frequency.bins": func(r *Request) {
			r.Wind = Wind{Frequency: &Frequency{HeightM: 10, Bins: []Bin{{0, 1, 60}, {1, 2, 30}, {2, 3, 10}}}}
		},
		"wind.frequency.bins[1].from_m_s": func(r *Request) {
			r.Wind = Wind{Frequency: &Frequency{HeightM: 10, Bins: []Bin{{0, 2, .6}, {1, 2, .3}, {2, 3, .1}}}}
		},
		"shear.method":                          func(r *Request) { r.Shear.Method = "guess" },
		"shear.exponent":                        func(r *Request) { r.Shear.Exponent = 3 },
		"turbine.rotor_diameter_m":              func(r *Request) { r.Turbine.RotorDiameterM = 0 },
		"turbine.power_curve.points[2][0]":      func(r *Request) { r.Turbine.CurvePoints[2].SpeedMS = 1 },
		"turbine.power_curve.points[3][1]":      func(r *Request) { r.Turbine.CurvePoints[3].PowerW = -5 },
		"turbine.power_curve.points":            func(r *Request) { r.Turbine.RotorDiameterM = 1 },
		"turbine.power_curve.air_density_kg_m3": func(r *Request) { r.Turbine.CurveDensity = 12 },
		"towers":                                func(r *Request) { r.Towers = nil },
		"towers[0].hub_height_m":                func(r *Request) { r.Site.Ground.DisplacementM = 12 },
		"towers[1].hub_height_m":                func(r *Request) { r.Towers[1].HubHeightM = 12 },
		"towers[1].cost":                        func(r *Request) { r.Towers[1].Cost = nan },
		"losses.wiring":                         func(r *Request) { r.Losses.Wiring = 3 },
		"money.turbine_cost":                    func(r *Request) { r.Money.TurbineCost = nan },
		"money.discount_rate":                   func(r *Request) { r.Money.DiscountRate = 4 },
		"money.life_years":                      func(r *Request) { r.Money.LifeYears = -1 },
		"money.replacements[0].year":            func(r *Request) { r.Money.Replacements = []cost.Replacement{{Year: 0, Cost: 1}} },
		"solar.cost_per_kw":                     func(r *Request) { r.Money.Currency, r.Solar.CostPerKW = "XTS", nan },
		"solar.tilt_deg":                        func(r *Request) { r.Solar.BestTilt, r.Solar.TiltDeg = false, 100 },
		"solar":                                 func(r *Request) { r.Solar.YieldKWhPerKW, r.Solar.YearlyIrradiationKWhM2 = 900, 1000 },
		"solar.monthly_irradiation_kwh_m2":      func(r *Request) { r.Solar.MonthlyIrradiationKWhM2 = make([]float64, 11) },
	}
	for place, breakIt := range cases {
		t.Run(place, func(t *testing.T) {
			r := garden()
			breakIt(&r)
			_, err := Run(r)
			var inv *InvalidError
			if !errors.As(err, &inv) {
				t.Fatalf("got %v, want an InvalidError", err)
			}
			for _, f := range inv.Fields {
				if f.Location == place && strings.TrimSpace(f.Detail) != "" {
					return
				}
			}
			t.Errorf("%s is not named by %v", place, inv)
		})
	}
}

func BenchmarkRunFourHeights(b *testing.B) {
	r := garden()
	r.Towers = []Tower{{12, 650}, {18, 1400}, {24, 2300}, {30, 3500}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Run(r); err != nil {
			b.Fatal(err)
		}
	}
}
