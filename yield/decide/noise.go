package decide

import "math"

// Record says what the error of a record of wind at the hub is made of. All are relative standard deviations of the mean
// speed, shares from 0.
type Record struct {
	// YearToYear is the scatter of yearly means about the long run.
	YearToYear float64
	// Sensor is the error of the sensor and its mounting, which no length of the record takes away.
	Sensor float64
	// Month is what the weather of one month adds, for a month whose usual wind is known.
	Month float64
	// Season is the scatter of the usual winds of the twelve months about the year's, where the record must do without
	// knowing them: 0.71 of the amplitude of a wave of one year. 0 where they are known.
	Season float64
	// Lasting is the share, 0 to 1, of the variance of yearly means that a longer record does not take away, as slow changes
	// leave years in a row alike. 0 if each year is on its own.
	Lasting float64
}

// Fitted to means over 1, 2, 3, 4, 6 and 9 months of real records about the mean of all their years, at every month they can
// begin, by least squares of the relative misfit: six stations in Ireland, 1961 to 1978 (Haslett & Raftery 1989), and ten years
// of a global reanalysis at a monsoon sea point.
//
// monthAlone is of all seven with their own seasons taken out (0.168), monthWithReference of the Irish stations, each by its
// speed ratio to each other (0.148); both are rounded up, and single records are met within 20 %. seasonUnknown is the root
// mean square of the Irish seasons, 0.08 to 0.15; a monsoon's is 0.28. The closed form for what is missed of a season meets all
// seven within 0.012 of the mean speed.
//
// What a reference takes away is the season and some of a month's weather. From a year on it was no help in Ireland, as the
// stations drift against each other as much as the years differ: 9 % at a year either way.
const (
	monthAlone         = 0.17
	monthWithReference = 0.15
	seasonUnknown      = 0.11
)

// SD is the relative standard uncertainty of the long-run mean speed at the hub by a record of so many months; NaN for less
// than one, or a Record that holds NaN.
//
// With y for YearToYear, m months up to 12, and M the weather of a month,
//
//	u² = Sensor² + y² + M²·(1/m − 1/12) + Season²·(sin x / x)², x = π·m/12
//
// The last part is what is missed of a season that is a sine wave, root mean square over when the record begins (closed form).
// From a year on the mean is taken of monthly means, so the season is whole, and y² becomes y²·(Lasting + (1 − Lasting)·12/m):
// y/√n for n years of their own.
func (r Record) SD(months int) float64 {
	if months < 1 {
		return math.NaN()
	}
	m := float64(months)
	sum := r.Sensor * r.Sensor
	if m >= 12 {
		sum += r.YearToYear * r.YearToYear * (r.Lasting + (1-r.Lasting)*12/m)
		return math.Sqrt(sum)
	}
	x := math.Pi * m / 12
	missed := r.Season * math.Sin(x) / x
	return math.Sqrt(sum + r.YearToYear*r.YearToYear + r.Month*r.Month*(1/m-1.0/12) + missed*missed)
}

// NoiseOf is Record.SD with what real records show: by itself a record knows neither its season nor how windy its months were,
// beside a long-term reference of the same months it knows the season, and some of the weather. With 6 % from year to year
// (common practice) and a faultless sensor that is 20, 14, 10, 6 and 4 % for 1, 3, 6, 12 and 24 months alone, and 16, 10, 7,
// 6 and 4 % with a reference. All are shares from 0; NaN for less than a month, or where one of them is NaN.
//
// Two years are taken to tell √2 as much as one (common practice). The Irish stations say less: their two years miss by 0.87 of
// what one does, where independent years would by 0.69 (both against the mean of eighteen). A caller who doubts that years are
// independent sets Record.Lasting; one who has yearly means of the place should give their scatter, 4 to 12 % in these records.
func NoiseOf(months int, yearToYear, sensor float64, withReference bool) float64 {
	r := Record{YearToYear: yearToYear, Sensor: sensor, Month: monthAlone, Season: seasonUnknown}
	if withReference {
		r.Month, r.Season = monthWithReference, 0
	}
	return r.SD(months)
}
