package solar

import "fmt"

// cells hold the extraterrestrial irradiation of the year by month and hour of local standard time, Wh/m².
type cells [12][24]float64

func (c *cells) month(m int) float64 {
	s := 0.0
	for _, v := range c[m] {
		s += v
	}
	return s
}

// nominalYear is what a whole year of 365 days sends at the top of the atmosphere: the year given, without a leap day.
func nominalYear(t *track, year, utcOffsetS int64) cells {
	var out cells
	first := dayOfYear1(year)
	for day := first; day < first+366; day++ {
		y, month, dayOfMonth := monthOfDay(day)
		if y != year || month == 1 && dayOfMonth == 29 {
			continue
		}
		for hour := range int64(24) {
			s := t.step(day*secondsDay+hour*3600-utcOffsetS, 3600)
			out[month][hour] += s.extraterrestrial()
		}
	}
	return out
}

// Coverage rules of FromSeries.
const (
	coveredMonth = 0.5  // a month counts when this share of its sun is there
	coveredYear  = 11   // so many months must count
	coveredCell  = 0.2  // an hour of the day in a month stands on its own when this share of its sun is there
	trifle       = 1e-4 // a cell with less than this share of the year's sun may be left out
)

// cell is one hour of the day in one month.
type cell struct{ month, hour int }

// fillYear gives the factor on the hours of each cell's samples that makes the year whole. Within a cell, the mean ratio
// of power to extraterrestrial irradiation stands for what is missing; a cell with too little lives on its donors.
// missing is the share of the year's sun that was filled.
func fillYear(whole, present *cells) (factor cells, missing float64, err error) {
	if n := coveredMonths(whole, present); n < coveredYear {
		return factor, 0, fmt.Errorf("%w: only %d months of the year have half of their sun, and %d are needed",
			ErrTooShort, n, coveredYear)
	}
	year, absent := 0.0, 0.0
	for m := range whole {
		for h, w := range whole[m] {
			year += w
			absent += max(0, w-present[m][h])
		}
	}
	for m := range whole {
		for h, w := range whole[m] {
			if w <= 0 {
				continue
			}
			from, n := donors(whole, present, m, h)
			if n == 0 && w > trifle*year {
				return factor, 0, fmt.Errorf("%w: nothing between %d and %d o'clock in month %d or near it",
					ErrTooShort, h, h+1, m+1)
			}
			for _, c := range from[:n] {
				factor[c.month][c.hour] += w / (present[c.month][c.hour] * float64(n))
			}
		}
	}
	return factor, absent / year, nil
}

// coveredMonths counts the months with enough sun in the record, and those with next to none at all: the polar night.
func coveredMonths(whole, present *cells) int {
	brightest := 0.0
	for m := range whole {
		brightest = max(brightest, whole.month(m))
	}
	n := 0
	for m := range whole {
		if w := whole.month(m); w < 0.005*brightest || present.month(m) >= coveredMonth*w {
			n++
		}
	}
	return n
}

// donors are the cells that fill a cell: itself if it has enough, else the same hour of the months beside it, else the
// nearest hours with enough, to three hours away; n of them.
func donors(whole, present *cells, m, h int) (from [2]cell, n int) {
	for _, near := range [...][2]cell{
		{{m, h}, {m, h}},
		{{(m + 11) % 12, h}, {(m + 1) % 12, h}},
		{{m, (h + 23) % 24}, {m, (h + 1) % 24}},
		{{m, (h + 22) % 24}, {m, (h + 2) % 24}},
		{{m, (h + 21) % 24}, {m, (h + 3) % 24}},
	} {
		for i, c := range near {
			if i == 1 && c == near[0] {
				break
			}
			if p := present[c.month][c.hour]; p > 0 && p >= coveredCell*whole[c.month][c.hour] {
				from[n] = c
				n++
			}
		}
		if n > 0 {
			break
		}
	}
	return from, n
}
