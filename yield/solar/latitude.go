package solar

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// climateRow is what is assumed of the sky at a latitude.
type climateRow struct {
	latitude  float64
	clearness float64 // yearly global irradiation over extraterrestrial
	season    float64 // relative swing of the clearness between midwinter and midsummer, half of it
}

// climates is a smooth band through inhabited places at low elevation, north and south alike (from memory, dated 2026):
// cloudy tropics, clear subtropics, cloudy west-wind belt. Places at one latitude differ by a quarter.
var climates = [...]climateRow{
	{0, 0.50, 0}, {10, 0.53, 0}, {20, 0.57, 0}, {27, 0.58, 0.02}, {35, 0.57, 0.09}, {40, 0.54, 0.13}, {45, 0.47, 0.18},
	{50, 0.41, 0.21}, {55, 0.39, 0.21}, {60, 0.40, 0.20}, {70, 0.41, 0.15}, {90, 0.45, 0},
}

// ClearnessByLatitude is the yearly clearness index assumed at a latitude, degrees, north or south, and the half of its
// relative swing from midwinter to midsummer: straight lines through a short table from memory. Weak by nature.
func ClearnessByLatitude(latitudeDeg float64) (clearness, season float64) {
	l := min(math.Abs(latitudeDeg), 90)
	for i := 1; i < len(climates); i++ {
		low, up := climates[i-1], climates[i]
		if l <= up.latitude {
			x := (l - low.latitude) / (up.latitude - low.latitude)
			return low.clearness + x*(up.clearness-low.clearness), low.season + x*(up.season-low.season)
		}
	}
	return math.NaN(), math.NaN()
}

// FromLatitude estimates the yield where nothing is known but the place: the sky's clearness is assumed from the
// latitude, the rest as FromMonthly. It always carries the warning "solar_from_latitude": two places at one latitude
// differ by ±25 %.
func FromLatitude(site Site, p Plane, best bool, a Array) (Yield, error) {
	if err := check(site, p, best, a); err != nil {
		return Yield{}, err
	}
	c := newPlace(site.LatitudeDeg, p.AzimuthDeg)
	kt, _ := ClearnessByLatitude(site.LatitudeDeg)
	var days [12]day
	shapeYear(&c, &days, site.LatitudeDeg)
	scaleYear(&days, kt*extraterrestrialYear(&days))
	y := fromDays(&c, &days, site, p, best, &a, BasisLatitude)
	y.Warnings = []resource.Warning{{Code: "solar_from_latitude", Detail: fromLatitudeDetail}}
	return y, nil
}

const fromLatitudeDetail = "solar yield is guessed from the latitude alone, with a standard uncertainty of some 20 %; give a record " +
	"with irradiance, monthly or yearly irradiation, or a specific yield"

// FromYearly estimates the yield from a year's global irradiation on the horizontal, kWh/m²: it is spread over the
// months by their extraterrestrial irradiation and the seasonal swing of clearness usual at the latitude, the rest as
// FromMonthly. Errors are *InputError with the field "ghi".
func FromYearly(ghiKWhM2 float64, site Site, p Plane, best bool, a Array) (Yield, error) {
	if err := check(site, p, best, a); err != nil {
		return Yield{}, err
	}
	c := newPlace(site.LatitudeDeg, p.AzimuthDeg)
	var days [12]day
	shapeYear(&c, &days, site.LatitudeDeg)
	above := extraterrestrialYear(&days)
	if !(ghiKWhM2 >= 0 && ghiKWhM2 <= above) {
		return Yield{}, wrong("ghi", "must lie within 0 and the %.0f kWh/m² a year that reach the top of the atmosphere at "+
			"latitude %g, not %g; is it in MJ?", above, site.LatitudeDeg, ghiKWhM2)
	}
	scaleYear(&days, ghiKWhM2)
	y := fromDays(&c, &days, site, p, best, &a, BasisYearly)
	y.Warnings = append(y.Warnings, resource.Warning{Code: "solar_months_assumed",
		Detail: "a yearly sum is spread over the months by the season usual at the latitude; the year may be 5 % off, a month 20 %"},
		warnAir("the yearly sum comes without temperature"))
	if k := ghiKWhM2 / above; k > highClearness {
		y.Warnings = append(y.Warnings, warnBright(k))
	}
	return y, nil
}

// shapeYear fills the days with the shape of the year: extraterrestrial irradiation times the seasonal swing.
func shapeYear(c *place, days *[12]day, latitudeDeg float64) {
	_, season := ClearnessByLatitude(latitudeDeg)
	if latitudeDeg < 0 {
		season = -season
	}
	const highest = 0.3979 // sine of the sun's highest declination
	for m := range days {
		d := c.day(m)
		d.global = d.extraterrestrial * (1 + season*d.sun.sinDec/highest)
		days[m] = d
	}
}

// scaleYear scales the days so that the year's irradiation is the one given, kWh/m².
func scaleYear(days *[12]day, yearKWhM2 float64) {
	sum := 0.0
	for m := range days {
		sum += days[m].global * days[m].days
	}
	for m := range days {
		days[m].global *= yearKWhM2 / sum
	}
}

func extraterrestrialYear(days *[12]day) float64 {
	sum := 0.0
	for m := range days {
		sum += days[m].extraterrestrial * days[m].days
	}
	return sum
}

func warnBright(k float64) resource.Warning {
	return resource.Warning{Code: "solar_irradiation_high", Detail: fmt.Sprintf("the irradiation is %.0f %% of what reaches "+
		"the top of the atmosphere; clear deserts reach 75 %%: check its unit and months", 100*k)}
}
