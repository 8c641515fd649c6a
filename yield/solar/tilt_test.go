package solar_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"mastworth/yield/solar"
)

// failing is a test, random or not.
type failing interface {
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

// noBetterDegree holds the yield at the best tilt against every whole degree: none may beat it by more than it says.
func noBetterDegree(t failing, plane solar.Plane, of func(p solar.Plane, best bool) (solar.Yield, error)) solar.Yield {
	best, err := of(plane, true)
	if err != nil {
		t.Fatal(err)
	}
	for tilt := 0.0; tilt <= 90; tilt++ {
		plane.TiltDeg = tilt
		y, err := of(plane, false)
		if err != nil {
			t.Fatal(err)
		}
		if y.KWhPerKW > best.KWhPerKW*(1+1e-4) {
			t.Fatalf("azimuth %g: %g° gives %.4f, the best %g° only %.4f", plane.AzimuthDeg, tilt, y.KWhPerKW, best.Plane.TiltDeg, best.KWhPerKW)
		}
	}
	return best
}

// The best tilt of the hours of real typical years, towards the equator, east, west and away from it.
func TestBestTiltOfHours(t *testing.T) {
	for _, file := range []string{golden, portAngeles} {
		y := readYear(t, file)
		for _, azimuth := range []float64{0, 90, 135, 180, 270} {
			noBetterDegree(t, solar.Plane{AzimuthDeg: azimuth}, func(p solar.Plane, best bool) (solar.Yield, error) {
				return solar.FromSeries(y.series, y.site, p, best, solar.DefaultArray())
			})
		}
	}
}

// The best tilt by months, both of real years and of any, dark months and lone bright ones among them.
func TestBestTiltOfMonths(t *testing.T) {
	y := readYear(t, golden)
	var real [12]float64
	for i, v := range y.series.Channels[0].Values {
		real[time.Unix(y.series.Times[i]+y.series.UTCOffsetS, 0).UTC().Month()-1] += v / 1000
	}
	rapid.Check(t, func(t *rapid.T) {
		site, months := y.site, real
		if rapid.Bool().Draw(t, "south of the equator") { // the same year half a year later
			site.LatitudeDeg = -site.LatitudeDeg
			for m := range months {
				months[m] = real[(m+6)%12]
			}
		}
		for m := range months {
			months[m] *= rapid.SampledFrom([]float64{0, 0.1, 0.5, 1}).Draw(t, "share")
		}
		a := solar.DefaultArray()
		a.Sky = solar.SkyModel(rapid.IntRange(0, 3).Draw(t, "sky"))
		noBetterDegree(t, solar.Plane{AzimuthDeg: rapid.Float64Range(0, 360).Draw(t, "azimuth")}, func(p solar.Plane, best bool) (solar.Yield, error) {
			return solar.FromMonthly(months, site, p, best, a)
		})
	})
}
