package climate

import (
	"math"
	"time"

	"gonum.org/v1/gonum/stat"

	"mastworth/resource"
)

// completeYear is the share of a year that must be covered for its mean to count in YearSpread, and fewestYears how many
// such years it takes. Judgement.
const (
	completeYear = 0.9
	fewestYears  = 3
)

// periods fills months, hours and years.
func (cl *Climate) periods(s *resource.Series, g *gathered, weights *[12]float64) {
	first, end := span(s)
	time := periodTimes(first, end)
	var hourTime [24]int64
	covered := int64(0)
	for m := range time {
		monthTime := int64(0)
		for h := range time[m] {
			cl.MonthHours[m][h] = g.monthHours[m][h].period(time[m][h])
			monthTime += time[m][h]
			hourTime[h] += time[m][h]
		}
		cl.Months[m] = g.months[m].period(monthTime)
		covered += g.months[m].covered
	}
	cl.Completeness = share(covered, end-first)
	for h := range cl.Hours {
		cl.Hours[h] = g.hour(h, hourTime[h], weights)
	}
	cl.YearSpread = math.NaN()
	if s.Kind != resource.TypicalYear {
		cl.years(g)
	}
}

// hour is an hour of the day over all months, weighed.
func (g *gathered) hour(h int, time int64, weights *[12]float64) Period {
	var p Period
	var n, sum, cubes float64
	covered := int64(0)
	for m, w := range weights {
		t := &g.monthHours[m][h]
		p.N += t.n
		covered += t.covered
		n += w * float64(t.n)
		sum += w * t.sum
		cubes += w * t.cubes
	}
	p.MeanMS, p.MeanCube, p.Completeness = sum/n, cubes/n, share(covered, time)
	return p
}

func (t *tally) period(time int64) Period {
	n := float64(t.n)
	return Period{N: t.n, MeanMS: t.sum / n, MeanCube: t.cubes / n, Completeness: share(t.covered, time)}
}

// years lists the years from the first with a speed to the last.
func (cl *Climate) years(g *gathered) {
	var means []float64
	for i := range g.years {
		y := &g.years[i]
		for n := len(cl.Years); n > 0 && cl.Years[n-1].Year < y.year-1; n++ {
			cl.Years = append(cl.Years, YearStat{Year: cl.Years[n-1].Year + 1, MeanMS: math.NaN(), MeanCube: math.NaN()})
		}
		p := y.period(yearBegins(y.year+1) - yearBegins(y.year))
		cl.Years = append(cl.Years, YearStat{Year: y.year, N: p.N, Completeness: p.Completeness, MeanMS: p.MeanMS, MeanCube: p.MeanCube})
		if p.Completeness >= completeYear {
			means = append(means, p.MeanMS)
		}
	}
	if len(means) >= fewestYears {
		mean, sd := stat.MeanStdDev(means, nil)
		cl.YearSpread = sd / mean
	}
}

func yearBegins(year int) int64 { return time.Date(year, time.January, 1, 0, 0, 0, 0, time.UTC).Unix() }

// share is part/whole, at most 1 (where steps are longer than the period they are counted in); NaN for no whole.
func share(part, whole int64) float64 {
	if whole <= 0 {
		return math.NaN()
	}
	return math.Min(1, float64(part)/float64(whole))
}

// span is the time a record covers in local standard time, from its first stamp to the end of its last step, s.
func span(s *resource.Series) (first, end int64) {
	if len(s.Times) == 0 {
		return 0, 0
	}
	return s.Times[0] + s.UTCOffsetS, s.Times[len(s.Times)-1] + s.UTCOffsetS + s.StepS
}

// periodTimes is the time that each hour of the day has in each calendar month between two local times, over all years, s.
func periodTimes(first, end int64) (times [12][24]int64) {
	for from := first; from < end; {
		year, month, _ := time.Unix(from, 0).UTC().Date()
		to := min(end, time.Date(year, month+1, 1, 0, 0, 0, 0, time.UTC).Unix())
		for h := range times[month-1] {
			times[month-1][h] += hourUntil(h, to) - hourUntil(h, from)
		}
		from = to
	}
	return times
}

// hourUntil is the time an hour of the day has from an agreed midnight until a local time, s.
func hourUntil(hour int, local int64) int64 {
	ofDay := local % secondsPerDay
	if ofDay < 0 {
		ofDay += secondsPerDay
	}
	return (local-ofDay)/secondsPerDay*secondsPerHour + min(max(ofDay-int64(hour)*secondsPerHour, 0), secondsPerHour)
}
