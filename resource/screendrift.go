package resource

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// What counts as drift. The ratio of two sensors' sums, month by month, is taken in logarithms and a straight line laid
// through. Two sensors at one height should have one ratio all year. At two heights the ratio has a season: calendar
// months are then levelled first, and two years are needed. Judgement.
var driftLimits = []Limit{
	{"sensor_drift.least_m_s", 3, "m/s", 0, 20, "speed of both from which they are compared"},
	{"sensor_drift.fewest_months", 6, "", 3, 1000, "months needed for two sensors at about one height"},
	{"sensor_drift.fewest_months_two_heights", 24, "", 18, 1000, "months needed for two heights"},
	{"sensor_drift.slope_per_year", 0.01, "", 0, 1, "slowest drift reported, as a share a year"},
	{"sensor_drift.change", 0.01, "", 0, 1, "smallest change over the whole record reported, as a share"},
	{"sensor_drift.standard_errors", 5, "", 2, 100, "how many standard errors the slope must be away from none"},
	{"sensor_drift.height_share", 0.1, "", 0, 0.5, "how much heights differ at most to count as one, as a share of the upper"},
}

// The places of driftLimits.
const (
	driftLeast = iota
	driftMonths
	driftMonthsTwo
	driftSlope
	driftChange
	driftErrors
	driftHeights
)

// driftHours is how many hours a month needs.
const driftHours = 72

// findDrift looks at every two speed sensors. It cannot say which of the two drifts.
func findDrift(x *screening) {
	speeds := x.s.SpeedChannels()
	for k, i := range speeds {
		for _, j := range speeds[k+1:] {
			x.driftOf(i, j)
		}
	}
}

// monthRatio is the ratio of two sensors in one month.
type monthRatio struct {
	from, to int     // rows
	years    float64 // of the month's middle, since 1970
	calendar int     // month, 0 is January
	log      float64
	n        int
}

func (x *screening) monthRatios(i, j int) []monthRatio {
	s := x.s
	a, b := &s.Channels[i], &s.Channels[j]
	least := x.limits[driftLeast]
	starts := x.monthStarts()
	var out []monthRatio
	for m := range len(starts) - 1 {
		sumA, sumB, n := 0.0, 0.0, 0
		for r := starts[m]; r < starts[m+1]; r++ {
			if v, w := a.Values[r], b.Values[r]; v >= least && w >= least && a.Usable(r) && b.Usable(r) {
				sumA += v
				sumB += w
				n++
			}
		}
		if int64(n)*s.StepS < driftHours*secondsPerHour {
			continue
		}
		from, to := starts[m], starts[m+1]-1
		middle := float64(s.Times[from]/2 + s.Times[to]/2)
		out = append(out, monthRatio{from, to, middle / (365.25 * secondsPerDay), MonthOf(s.Times[from], s.UTCOffsetS), math.Log(sumA / sumB), n})
	}
	return out
}

func (x *screening) driftOf(i, j int) {
	s := x.s
	months := x.monthRatios(i, j)
	parameters, fewest := 2, x.limits[driftMonths]
	one := sameHeight(&s.Channels[i], &s.Channels[j], x.limits[driftHeights])
	if !one {
		parameters, fewest = 13, x.limits[driftMonthsTwo]
	}
	if float64(len(months)) < fewest || len(months) <= parameters {
		return
	}
	slope, se := slopeOf(months, one, parameters)
	last := months[len(months)-1]
	years := last.years - months[0].years
	if !(math.Abs(slope) >= max(x.limits[driftSlope], x.limits[driftErrors]*se)) || math.Abs(slope)*years < x.limits[driftChange] {
		return
	}
	count := 0
	for _, m := range months {
		count += m.n
	}
	chance := 2 * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(len(months) - parameters)}.CDF(-math.Abs(slope/se))
	how := "more and more"
	if slope < 0 {
		how = "less and less"
	}
	x.report(i, months[0].from, last.to, count, fmt.Sprintf(
		"it reads %s beside %q: %+.2g %% a year ± %.1g, over %d months (p %.1g); one of the two has drifted or was changed: "+
			"compare their calibrations, and leave the worse one out", how, s.Channels[j].Name, 100*slope, 100*se, len(months), chance))
}

// slopeOf is the slope of the monthly ratios by least squares, a year, and its standard error, widened for neighbours that
// go together (first-order autocorrelation). Where season is not kept, calendar months are levelled first: the slope is
// then that within calendar months (Frisch & Waugh 1933).
func slopeOf(months []monthRatio, season bool, parameters int) (slope, se float64) {
	t, y := make([]float64, len(months)), make([]float64, len(months))
	var sumT, sumY, n [12]float64
	group := func(m monthRatio) int {
		if season {
			return 0
		}
		return m.calendar
	}
	for _, m := range months {
		g := group(m)
		sumT[g] += m.years
		sumY[g] += m.log
		n[g]++
	}
	tt, ty := 0.0, 0.0
	for k, m := range months {
		g := group(m)
		t[k], y[k] = m.years-sumT[g]/n[g], m.log-sumY[g]/n[g]
		tt += t[k] * t[k]
		ty += t[k] * y[k]
	}
	slope = ty / tt
	rr, r1 := 0.0, 0.0
	before := 0.0
	for k := range months {
		r := y[k] - slope*t[k]
		rr += r * r
		r1 += r * before
		before = r
	}
	rho := 0.0
	if rr > 0 {
		rho = min(max(r1/rr, 0), 0.8)
	}
	return slope, math.Sqrt(rr / float64(len(months)-parameters) / tt * (1 + rho) / (1 - rho))
}

// medianOf is the median of values, which it sorts; NaN for none.
func medianOf(values []float64) float64 {
	if len(values) == 0 {
		return math.NaN()
	}
	slices.Sort(values)
	m := len(values) / 2
	if len(values)%2 == 1 {
		return values[m]
	}
	return (values[m-1] + values[m]) / 2
}
