package harvest

import (
	"time"

	"mastworth/resource"
	"mastworth/yield"
)

// Promise is what an estimate says of a year at its hub, kWh net of losses.
type Promise struct {
	YearKWh    float64
	MonthKWh   []float64 // twelve, January first, of a year of 365 days; nil: not known
	UTCOffsetS int64     // local standard time less UTC
}

// Over is the energy promised for a stretch of time, kWh: each calendar month's energy spread evenly over its days, the year's over its
// 365 where months are not known. A 29 February gets what the other days of the month get.
func (p *Promise) Over(fromUnix, toUnix int64) float64 {
	if len(p.MonthKWh) != 12 {
		return p.YearKWh / (yield.HoursPerYear * 3600) * float64(toUnix-fromUnix)
	}
	sum := 0.0
	eachMonth(fromUnix, toUnix, p.UTCOffsetS, func(month int, seconds float64) {
		sum += p.MonthKWh[month] / float64(yield.DaysInMonth[month]*secondsPerDay) * seconds
	})
	return sum
}

// eachMonth parts a stretch of time at the ends of calendar months.
func eachMonth(fromUnix, toUnix, offset int64, f func(month int, seconds float64)) {
	for at := fromUnix; at < toUnix; {
		t := time.Unix(at+offset, 0).UTC()
		end := min(toUnix, time.Date(t.Year(), t.Month()+1, 1, 0, 0, 0, 0, time.UTC).Unix()-offset)
		f(resource.MonthOf(at, offset), float64(end-at))
		at = end
	}
}
