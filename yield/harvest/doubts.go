package harvest

import "math"

// Doubts are relative standard uncertainties of energy. NaN or 0: none.
type Doubts struct {
	// Estimate is that of the estimate, without those below: wind at the hub, surroundings, losses.
	Estimate float64
	// LongTerm is how badly the estimate's wind stands for the long run. It falls out where the wind of the time is known by the very record
	// the estimate is made of.
	LongTerm float64
	// OwnRecord says that it is that record.
	OwnRecord  bool
	PowerCurve float64
	YearToYear float64 // of one year's energy about the long run's
	Meter      float64
}

// UsualMeter is the standard uncertainty of a meter of class 2: errors up to 2 % (IEC 62053-21, from memory), taken as evenly
// distributed (JCGM 100:2008, 4.3.7).
const UsualMeter = 0.02 / 1.7320508

// What a record leaves unexplained of the scatter of the wind of a time, as a share of its standard deviation. Judgement: sensors at the
// mast's own place see its weather; a station's or a model's daily energies go with those at a site with a correlation of some 0.8, which
// leaves √(1 − 0.8²).
const (
	unexplainedHere      = 0.2
	unexplainedElsewhere = 0.6
)

// seasonDoubt is that of an energy of less than eleven months where neither the estimate nor a record knows the seasons. Judgement: windy and calm seasons differ by
// a factor of two or so in temperate latitudes.
const seasonDoubt = 0.3

// daysPerYear is a mean year.
const daysPerYear = 365.25

// windOfTime is the scatter of so many days' energy about the long run's. A year's is scaled as the mean of independent days is, with one
// over the root of their number: weather is forgotten within days, and slow changes are in the year's own.
func (d *Doubts) windOfTime(days float64) float64 {
	return d.YearToYear * math.Sqrt(daysPerYear/math.Max(days, 1))
}

// promised are the parts against the plain promise.
func (d *Doubts) promised(days float64, months bool) []Part {
	season := 0.0
	if !months && days < fewestDays {
		season = seasonDoubt
	}
	return some(Part{"estimate", math.Hypot(zero(d.Estimate), zero(d.LongTerm))}, Part{"power_curve", d.PowerCurve}, Part{"wind_of_the_time", d.windOfTime(days)},
		Part{"season", season}, Part{"meter", d.Meter})
}

// corrected are the parts against the promise for the wind there was, of which a record knows so many days. Of so many calendar months,
// lacking, neither the promise nor the record knows how windy they are: half a year of them hides the season whole.
func (d *Doubts) corrected(days, known float64, here bool, lacking int) []Part {
	unexplained := unexplainedElsewhere
	if here {
		unexplained = unexplainedHere
	}
	level := zero(d.Estimate)
	if !d.OwnRecord {
		level = math.Hypot(level, zero(d.LongTerm))
	}
	season := seasonDoubt * math.Min(1, float64(lacking)/6)
	missing := math.Max(0, 1-known/math.Max(days, 1e-9)) // share of the days of which the record knows nothing
	left := math.Sqrt(unexplained*unexplained*(1-missing) + missing)
	return some(Part{"estimate", level}, Part{"power_curve", d.PowerCurve}, Part{"wind_of_the_time", left * d.windOfTime(days)},
		Part{"season", season}, Part{"meter", d.Meter})
}

// some leaves out parts that are nothing or not known.
func some(parts ...Part) []Part {
	out := parts[:0]
	for _, p := range parts {
		if p.Standard > 0 {
			out = append(out, p)
		}
	}
	return out
}

func zero(v float64) float64 {
	if v != v {
		return 0
	}
	return v
}
