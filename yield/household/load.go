package household

import (
	"fmt"
	"math"
	"time"
)

// LoadAssumption says what AssumedShape stands on, for an estimate's provenance.
const LoadAssumption = "assumed home: low at night, a rise at breakfast, a higher one in the evening; more in winter towards the " +
	"poles, more in summer in warm countries; no electric heating or car (judgement). Give your own readings where you have them"

// Shape is how a home's draw is spread: over the hours of the day, 0 h first, and over the months, January first. Both are
// weights, 0 or more; only their proportions count. A month's weight is of its mean power, not of its energy.
type Shape struct {
	Hours  [24]float64
	Months [12]float64
}

// AssumedShape is the built-in home at a latitude, degrees, north positive: see LoadAssumption. The numbers are judgement.
//
// The day is a base with three smooth rises, at breakfast, at noon and, highest, in the evening; the highest hour is about
// 2.5 times the lowest. The season is a cosine with its peak in mid January (mid July south of the equator), whose size
// goes with the latitude: none at the equator, 12 % the other way, for cooling, at 20 to 30°, none near 40°, 20 % at 55°,
// 30 % from 65° on, straight lines between. A latitude that is no number counts as 45° north.
func AssumedShape(latitudeDeg float64) Shape {
	if latitudeDeg != latitudeDeg {
		latitudeDeg = 45
	}
	var s Shape
	rise := func(hour, at, width, height float64) float64 {
		away := math.Abs(hour - at)
		away = math.Min(away, 24-away)
		return height * math.Exp(-away*away/(2*width*width))
	}
	for h := range s.Hours {
		mid := float64(h) + 0.5
		s.Hours[h] = 0.65 + rise(mid, 7.5, 1.2, 0.35) + rise(mid, 12.5, 1.8, 0.25) + rise(mid, 19.5, 2.3, 0.95)
	}
	swing := seasonSwing(math.Abs(latitudeDeg))
	coldest := 0.0
	if latitudeDeg < 0 {
		coldest = 6
	}
	for m := range s.Months {
		s.Months[m] = 1 + swing*math.Cos(2*math.Pi*(float64(m)-coldest)/12)
	}
	return s
}

// seasonSwing is the half swing of the months, above 0 for more in winter, at a latitude without sign.
func seasonSwing(latitude float64) float64 {
	table := [...]struct{ latitude, swing float64 }{{0, 0}, {20, -0.12}, {30, -0.12}, {40, 0}, {55, 0.2}, {65, 0.3}}
	for i := 1; i < len(table); i++ {
		if a, b := table[i-1], table[i]; latitude < b.latitude {
			return a.swing + (b.swing-a.swing)*(latitude-a.latitude)/(b.latitude-a.latitude)
		}
	}
	return table[len(table)-1].swing
}

// Load is what a home draws in each hour of a common year, W, from 1 January 0 h of local standard time.
type Load struct {
	W [hoursOfYear]float64
}

// Load spreads a year's energy, kWh, over the hours of a common year. Errors are *Fault, with the field "yearly_kwh",
// "hours[3]", "months[3]", or one of the last two without a number where all weights are 0.
func (s Shape) Load(yearlyKWh float64) (*Load, error) {
	if !(yearlyKWh >= 0) || math.IsInf(yearlyKWh, 1) {
		return nil, fault("yearly_kwh", "must be a number from 0, not %g", yearlyKWh)
	}
	hours, err := weightSum("hours", s.Hours[:])
	if err != nil {
		return nil, err
	}
	if _, err := weightSum("months", s.Months[:]); err != nil {
		return nil, err
	}
	months := 0.0
	for m, w := range s.Months {
		months += w * float64(daysOfMonth[m])
	}
	l := new(Load)
	for i := range l.W {
		l.W[i] = 1000 * yearlyKWh * (s.Hours[i%24] / hours) * (s.Months[commonYear[i]] / months)
	}
	return l, nil
}

func weightSum(field string, weights []float64) (float64, error) {
	sum := 0.0
	for i, w := range weights {
		if !(w >= 0) || math.IsInf(w, 1) {
			return 0, fault(fmt.Sprintf("%s[%d]", field, i), "must be a number from 0, not %g", w)
		}
		sum += w
	}
	if !(sum > 0 && sum <= math.MaxFloat64) {
		return 0, fault(field, "must not all be 0, nor too large to add up")
	}
	return sum, nil
}

// YearlyKWh is the load's energy in a common year.
func (l *Load) YearlyKWh() float64 {
	sum := 0.0
	for _, w := range l.W {
		sum += w
	}
	return sum / 1000
}

// Scaled is the load with another year's energy, kWh, its shape kept. Errors are *Fault: "yearly_kwh".
func (l *Load) Scaled(yearlyKWh float64) (*Load, error) {
	now := l.YearlyKWh()
	if !(yearlyKWh >= 0) || math.IsInf(yearlyKWh, 1) || !(now > 0) {
		return nil, fault("yearly_kwh", "must be a number from 0, not %g, for a load above 0, not %g", yearlyKWh, now)
	}
	out := new(Load)
	for i, w := range l.W {
		out.W[i] = w * (yearlyKWh / now)
	}
	return out, nil
}

// Along lays the load beside a record: at each stamp, Unix seconds, the load of the hour of the year it falls into by
// local standard time, whose offset from UTC is given, s. 29 February draws what 28 February does.
func (l *Load) Along(times []int64, utcOffsetS int64) []float64 {
	out := make([]float64, len(times))
	day, ofYear := int64(math.MinInt64), 0
	for i, t := range times {
		local := t + utcOffsetS
		d, second := local/86400, local%86400
		if second < 0 {
			d, second = d-1, second+86400
		}
		if d != day {
			day, ofYear = d, dayOfCommonYear(d)
		}
		out[i] = l.W[24*ofYear+int(second/3600)]
	}
	return out
}

// dayOfCommonYear is the day of the year, 0 for 1 January, of a day since 1 January 1970; in leap years 29 February counts
// as 28 February and all later days one less.
func dayOfCommonYear(days int64) int {
	t := time.Unix(86400*days, 0).UTC()
	n := t.YearDay() - 1
	if y := t.Year(); n >= 59 && y%4 == 0 && (y%100 != 0 || y%400 == 0) {
		n--
	}
	return n
}
