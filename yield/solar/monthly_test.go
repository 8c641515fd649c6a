package solar_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"mastworth/yield/solar"
)

func facing(latitude float64) solar.Plane {
	return solar.Plane{AzimuthDeg: solar.TowardsEquator(latitude)}
}

// Specific yields that are usual in these regions, kWh/kW a year, ±10 % (from memory). The latitude alone must land
// within them at sea level; the weak basis is meant to be right there and may be 20 % off, and more, elsewhere.
func TestFromLatitudePlausible(t *testing.T) {
	for _, c := range []struct {
		where     string
		latitudes []float64
		low, up   float64
	}{
		{"United Kingdom", []float64{51, 53, 55, 57}, 850, 1000},
		{"Germany and the Low Countries", []float64{48.5, 50, 52, 53}, 900, 1050},
		{"northern Italy, France", []float64{44, 45, 46}, 1100, 1300},
		{"southern Spain, Greece", []float64{36, 37, 38}, 1450, 1700},
		{"Australia", []float64{-27, -33, -38}, 1400, 1700},
		{"northern India", []float64{25, 28, 30}, 1350, 1600},
	} {
		for _, latitude := range c.latitudes {
			y, err := solar.FromLatitude(solar.Site{LatitudeDeg: latitude}, facing(latitude), true, solar.DefaultArray())
			if err != nil {
				t.Fatal(err)
			}
			if y.KWhPerKW < c.low || y.KWhPerKW > c.up {
				t.Errorf("%s, %g°: %.0f kWh/kW, usual are %.0f to %.0f", c.where, latitude, y.KWhPerKW, c.low, c.up)
			}
			// Best tilts on inhabited latitudes lie a few degrees below the latitude, less so under cloud: common practice.
			if a := math.Abs(latitude); y.Plane.TiltDeg > a+1 || y.Plane.TiltDeg < a-20 {
				t.Errorf("%s, %g°: best tilt %g°", c.where, latitude, y.Plane.TiltDeg)
			}
			if len(y.Warnings) != 1 || y.Warnings[0].Code != "solar_from_latitude" || !strings.Contains(y.Warnings[0].Detail, "20 %") {
				t.Errorf("warnings: %v", y.Warnings)
			}
			if y.Basis != solar.BasisLatitude || len(y.MonthlyKWhPerKW) != 12 {
				t.Errorf("basis %q, %d months", y.Basis, len(y.MonthlyKWhPerKW))
			}
		}
	}
}

// What is put in on the horizontal comes out on the horizontal, and the performance ratio is the usual 0.75 to 0.85
// (from memory).
func TestFromMonthlyKeepsTheSum(t *testing.T) {
	ghi := [12]float64{19, 34, 75, 115, 150, 155, 155, 130, 90, 53, 25, 15} // invented, of the size of southern England
	sum := 0.0
	for _, g := range ghi {
		sum += g
	}
	site := solar.Site{LatitudeDeg: 51.5}
	for m := solar.HayDavies; m <= solar.Perez; m++ {
		a := solar.DefaultArray()
		a.Sky = m
		y, err := solar.FromMonthly(ghi, site, solar.Plane{AzimuthDeg: 180}, false, a)
		if err != nil {
			t.Fatal(err)
		}
		near(t, m.String()+" level", y.PlaneIrradiationKWhM2/sum, 1, 0.005) // circumsolar light below 5° is cut
	}
	y, err := solar.FromMonthly(ghi, site, facing(51.5), true, solar.DefaultArray())
	if err != nil {
		t.Fatal(err)
	}
	if pr := y.KWhPerKW / y.PlaneIrradiationKWhM2; pr < 0.75 || pr > 0.85 {
		t.Errorf("performance ratio %.3f", pr)
	}
	total := 0.0
	for _, m := range y.MonthlyKWhPerKW {
		total += m
	}
	near(t, "months", total, y.KWhPerKW, 1e-9)
}

// North and south mirror each other but for the Earth's distance: the sun is 6.9 % stronger in January than in July.
func TestHemispheres(t *testing.T) {
	days := [12]float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	ghi := [12]float64{45, 65, 105, 135, 165, 175, 180, 155, 115, 80, 50, 38}
	var mirrored [12]float64
	for m := range ghi {
		mirrored[(m+6)%12] = ghi[m]
	}
	a := solar.DefaultArray()
	north, err := solar.FromMonthly(ghi, solar.Site{LatitudeDeg: 41}, facing(41), true, a)
	if err != nil {
		t.Fatal(err)
	}
	south, err := solar.FromMonthly(mirrored, solar.Site{LatitudeDeg: -41}, facing(-41), true, a)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "year", south.KWhPerKW/north.KWhPerKW, 1, 0.01)
	near(t, "tilt", south.Plane.TiltDeg, north.Plane.TiltDeg, 1)
	for m := range ghi {
		near(t, fmt.Sprint("month ", m), south.MonthlyKWhPerKW[(m+6)%12]/north.MonthlyKWhPerKW[m], 1, 0.07)
	}
	for _, latitude := range []float64{5, 20, 35, 50, 65, 80} {
		n, err1 := solar.FromLatitude(solar.Site{LatitudeDeg: latitude}, facing(latitude), true, a)
		s, err2 := solar.FromLatitude(solar.Site{LatitudeDeg: -latitude}, facing(-latitude), true, a)
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprint("latitude ", latitude), s.KWhPerKW/n.KWhPerKW, 1, 0.04)
		for m := range 12 {
			day, other := n.MonthlyKWhPerKW[m]/days[m], s.MonthlyKWhPerKW[(m+6)%12]/days[(m+6)%12]
			near(t, fmt.Sprint("latitude ", latitude, " month ", m), other, day, 0.08*day+0.1)
		}
	}
	if solar.TowardsEquator(12) != 180 || solar.TowardsEquator(-12) != 0 {
		t.Error("TowardsEquator looks away from it")
	}
}

func TestFacing(t *testing.T) {
	a := solar.DefaultArray()
	for _, latitude := range []float64{48, -48} {
		site := solar.Site{LatitudeDeg: latitude}
		equator, pole := facing(latitude), facing(-latitude)
		best, _ := solar.FromLatitude(site, equator, true, a)
		away, _ := solar.FromLatitude(site, pole, true, a)
		if best.Plane.TiltDeg < 25 || away.Plane.TiltDeg > 1 {
			t.Errorf("%g: best tilts %g towards the equator, %g away", latitude, best.Plane.TiltDeg, away.Plane.TiltDeg)
		}
		east, _ := solar.FromLatitude(site, solar.Plane{TiltDeg: 35, AzimuthDeg: 90}, false, a)
		west, _ := solar.FromLatitude(site, solar.Plane{TiltDeg: 35, AzimuthDeg: 270}, false, a)
		near(t, "east as west", east.KWhPerKW/west.KWhPerKW, 1, 1e-9)
		if east.KWhPerKW > best.KWhPerKW {
			t.Errorf("%g: east %g beats the equator %g", latitude, east.KWhPerKW, best.KWhPerKW)
		}
		// The half day stands for the whole only when facing due north or south: a hair beside it must agree.
		beside, _ := solar.FromLatitude(site, solar.Plane{TiltDeg: 35, AzimuthDeg: equator.AzimuthDeg + 1e-6}, false, a)
		due, _ := solar.FromLatitude(site, solar.Plane{TiltDeg: 35, AzimuthDeg: equator.AzimuthDeg}, false, a)
		near(t, "half day", due.KWhPerKW/beside.KWhPerKW, 1, 1e-6)
	}
}

// The pole, the polar night and the equator do not break anything.
func TestFarLatitudes(t *testing.T) {
	a := solar.DefaultArray()
	for _, latitude := range []float64{90, 78, 66.56, 0, -66.56, -90} {
		y, err := solar.FromLatitude(solar.Site{LatitudeDeg: latitude}, facing(latitude), true, a)
		if err != nil || math.IsNaN(y.KWhPerKW) || y.KWhPerKW <= 0 {
			t.Errorf("%g: %g kWh/kW, %v", latitude, y.KWhPerKW, err)
		}
		if math.Abs(latitude) >= 78 {
			dark := 11
			if latitude < 0 {
				dark = 5
			}
			near(t, "polar night", y.MonthlyKWhPerKW[dark], 0, 0)
		}
	}
	y, err := solar.FromMonthly([12]float64{}, solar.Site{LatitudeDeg: 50}, facing(50), true, a)
	if err != nil || y.KWhPerKW != 0 {
		t.Errorf("no sun at all: %v, %v", y, err)
	}
}

// The yearly sum, spread, gives back nearly what its months give where they have the usual season.
func TestFromYearly(t *testing.T) {
	site, a := solar.Site{LatitudeDeg: 52}, solar.DefaultArray()
	y, err := solar.FromYearly(1000, site, solar.Plane{AzimuthDeg: 180}, false, a)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "level", y.PlaneIrradiationKWhM2, 1000, 5)
	if y.Basis != solar.BasisYearly || len(y.MonthlyKWhPerKW) != 12 || !slices.IsSortedFunc(y.MonthlyKWhPerKW[5:], func(a, b float64) int {
		return int(math.Copysign(1, b-a))
	}) {
		t.Errorf("%+v", y)
	}
}

func TestBadArguments(t *testing.T) {
	a, site := solar.DefaultArray(), solar.Site{LatitudeDeg: 50}
	ghi := [12]float64{30, 50, 90, 120, 150, 160, 160, 140, 100, 60, 30, 20}
	change := func(f func(*solar.Array)) solar.Array { b := a; f(&b); return b }
	megajoules := ghi
	megajoules[3] *= 3.6
	nan := ghi
	nan[0] = math.NaN()
	for _, c := range []struct {
		field string
		ghi   [12]float64
		site  solar.Site
		plane solar.Plane
		array solar.Array
	}{
		{"latitude", ghi, solar.Site{LatitudeDeg: 120}, solar.Plane{}, a},
		{"latitude", ghi, solar.Site{LatitudeDeg: math.NaN()}, solar.Plane{}, a},
		{"elevation", ghi, solar.Site{LatitudeDeg: 50, ElevationM: math.Inf(1)}, solar.Plane{}, a},
		{"tilt", ghi, site, solar.Plane{TiltDeg: math.NaN()}, a},
		{"tilt", ghi, site, solar.Plane{TiltDeg: 91}, a},
		{"azimuth", ghi, site, solar.Plane{AzimuthDeg: math.Inf(1)}, a},
		{"losses", ghi, site, solar.Plane{}, change(func(a *solar.Array) { a.Losses = math.NaN() })},
		{"losses", ghi, site, solar.Plane{}, change(func(a *solar.Array) { a.Losses = 14 })},
		{"heat_loss", ghi, site, solar.Plane{}, solar.Array{}},
		{"albedo", ghi, site, solar.Plane{}, change(func(a *solar.Array) { a.Albedo = -1 })},
		{"sky", ghi, site, solar.Plane{}, change(func(a *solar.Array) { a.Sky = 9 })},
		{"ghi[3]", megajoules, site, solar.Plane{}, a},
		{"ghi[0]", nan, site, solar.Plane{}, a},
	} {
		_, err := solar.FromMonthly(c.ghi, c.site, c.plane, false, c.array)
		var in *solar.InputError
		if !errors.As(err, &in) || in.Field != c.field {
			t.Errorf("%s: got %v", c.field, err)
		}
	}
	if _, err := solar.FromYearly(3600, site, solar.Plane{}, true, a); err == nil {
		t.Error("a year of more sun than reaches the Earth is taken")
	}
	if _, err := solar.FromMonthly(ghi, site, solar.Plane{TiltDeg: math.NaN(), AzimuthDeg: 180}, true, a); err != nil {
		t.Errorf("tilt is not read where the best is asked for: %v", err)
	}
	bright := ghi
	bright[5] = 290
	y, err := solar.FromMonthly(bright, site, solar.Plane{}, false, a)
	if err != nil || !hasWarning(y, "solar_irradiation_high") {
		t.Errorf("%v %v", y.Warnings, err)
	}
}

func hasWarning(y solar.Yield, code string) bool {
	for _, w := range y.Warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

// The search against every whole degree, over places, facings and skies; and more losses never give more.
func TestBestTilt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		site := solar.Site{LatitudeDeg: rapid.Float64Range(-85, 85).Draw(t, "latitude")}
		plane := solar.Plane{AzimuthDeg: rapid.Float64Range(0, 360).Draw(t, "azimuth")}
		a := solar.DefaultArray()
		a.Sky = solar.SkyModel(rapid.IntRange(0, 3).Draw(t, "sky"))
		best := againstEveryDegree(t, site, plane, a)
		plane.TiltDeg = best.Plane.TiltDeg
		a.Losses = 0.5
		if y, _ := solar.FromLatitude(site, plane, false, a); math.Abs(y.KWhPerKW/best.KWhPerKW-0.5/0.86) > 1e-9 {
			t.Fatalf("losses are not a factor: %g of %g", y.KWhPerKW, best.KWhPerKW)
		}
	})
	// Two tops and ripples: planes that face east and west far from the equator.
	for _, latitude := range []float64{-84, -64, 64, 84} {
		for _, azimuth := range []float64{81, 84, 87, 90, 93, 96, 99, 264, 270, 276} {
			for sky := range 4 {
				a := solar.DefaultArray()
				a.Sky = solar.SkyModel(sky)
				againstEveryDegree(t, solar.Site{LatitudeDeg: latitude}, solar.Plane{AzimuthDeg: azimuth}, a)
			}
		}
	}
	for top := 0.0; top <= 90; top++ {
		near(t, "parabola", solar.BestTilt(func(x float64) float64 { return -(x - top) * (x - top) }), top, 0)
	}
}

// againstEveryDegree is the yield at the best tilt by latitude alone.
func againstEveryDegree(t failing, site solar.Site, plane solar.Plane, a solar.Array) solar.Yield {
	return noBetterDegree(t, plane, func(p solar.Plane, best bool) (solar.Yield, error) { return solar.FromLatitude(site, p, best, a) })
}

func BenchmarkFromLatitude(b *testing.B) {
	for _, c := range []struct {
		name  string
		plane solar.Plane
		best  bool
	}{
		{"best", solar.Plane{AzimuthDeg: 180}, true},
		{"best-southwest", solar.Plane{AzimuthDeg: 225}, true},
		{"fixed", solar.Plane{TiltDeg: 35, AzimuthDeg: 180}, false},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			a := solar.DefaultArray()
			for b.Loop() {
				if _, err := solar.FromLatitude(solar.Site{LatitudeDeg: 52.21}, c.plane, c.best, a); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkFromMonthly(b *testing.B) {
	b.ReportAllocs()
	ghi := [12]float64{19, 34, 75, 115, 150, 155, 155, 130, 90, 53, 25, 15}
	a := solar.DefaultArray()
	for b.Loop() {
		if _, err := solar.FromMonthly(ghi, solar.Site{LatitudeDeg: 52.21}, solar.Plane{AzimuthDeg: 180}, true, a); err != nil {
			b.Fatal(err)
		}
	}
}
