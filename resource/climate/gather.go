package climate

import (
	"math"
	"time"

	"mastworth/resource"
)

const (
	secondsPerHour = 3600
	secondsPerDay  = 86400

	fewestDaysOfMonth = 10   // as resource.Statistics.MeanOfMonths asks
	unevenFrom        = 0.05 // judgement: 5 % of a month's weight moves the mean by some 0.1 %
)

// monthDays is the length of each calendar month, a leap year every four.
var monthDays = [12]float64{31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// nudge lifts a speed onto an edge of a class that it misses by rounding alone, so that a record changed to another unit
// and back falls into the same classes.
const nudge = 1 + 1e-9

// tally sums speeds.
type tally struct {
	n, calm    int
	sum, cubes float64
	covered    int64 // s
}

// count adds one speed.
func (t *tally) count(v, cube float64, covered int64) {
	t.n++
	if v == 0 {
		t.calm++
	}
	t.sum += v
	t.cubes += cube
	t.covered += covered
}

// add adds another tally.
func (t *tally) add(o *tally) {
	t.n += o.n
	t.calm += o.calm
	t.sum += o.sum
	t.cubes += o.cubes
	t.covered += o.covered
}

// sectorTally sums the speeds of one month from one sector.
type sectorTally struct {
	n, sum, cubes float64
	classes       [speedClasses]float64
}

// entry is a speed above zero, and where it belongs.
type entry struct {
	v      float64
	month  uint8
	sector int8 // −1 without a usable direction
}

// yearTally sums the speeds of one year.
type yearTally struct {
	year int
	tally
}

// gathered is what one pass over the record leaves.
type gathered struct {
	n, flagged         int
	negative, infinite int // not used
	undirected         int // entries
	monthHours         [12][24]tally
	months             [12]tally // summed from monthHours
	years              []yearTally
	classes            *[speedClasses]float64 // where they begin, m/s
	sectors            [][12]sectorTally
	entries            []entry
	deviations, gusts  ratios
	direction          *resource.Channel // nil where the record has none
}

// gather passes once over the record.
func gather(s *resource.Series, channel int, o *Options) *gathered {
	c := &s.Channels[channel]
	g := &gathered{
		classes: &o.ClassesMS, sectors: make([][12]sectorTally, o.Sectors), entries: make([]entry, 0, len(c.Values)),
		deviations: newRatios(s, channel, resource.SpeedSD), gusts: newRatios(s, channel, resource.Gust),
	}
	if i := s.Find(resource.Direction, c.HeightM); i >= 0 {
		g.direction = &s.Channels[i]
	}
	day := calendarDay{first: math.MaxInt64}
	hourBegins := int64(math.MaxInt64)
	var period, year *tally
	for i, v := range c.Values {
		switch {
		case v != v:
			continue
		case c.Flags != nil && c.Flags[i] != 0:
			g.flagged++
			continue
		case !(v >= 0 && v <= math.MaxFloat64):
			g.refuse(v)
			continue
		}
		if local := s.Times[i] + s.UTCOffsetS; local < hourBegins || local >= hourBegins+secondsPerHour {
			day.moveTo(local)
			hour := (local - day.first) / secondsPerHour
			hourBegins = day.first + hour*secondsPerHour
			period = &g.monthHours[day.month][hour]
			year = g.yearOf(day.year)
		}
		cube, covered := v*v*v, step(s, i)
		period.count(v, cube, covered)
		year.count(v, cube, covered)
		if v == 0 {
			continue
		}
		g.lay(i, day.month, v, cube)
		g.deviations.take(i, v)
		g.gusts.take(i, v)
	}
	g.finish()
	return g
}

// lay puts speed v of stamp i, above zero, into its sector.
func (g *gathered) lay(i, month int, v, cube float64) {
	sector := -1
	if g.direction != nil && g.direction.Usable(i) {
		sector = resource.SectorOf(g.direction.Values[i], len(g.sectors))
	}
	g.entries = append(g.entries, entry{v: v, month: uint8(month), sector: int8(sector)})
	if sector < 0 {
		g.undirected++
		return
	}
	t := &g.sectors[sector][month]
	t.n++
	t.sum += v
	t.cubes += cube
	t.classes[classOf(v, g.classes)]++
}

// refuse counts a speed that is none.
func (g *gathered) refuse(v float64) {
	if v < 0 && v >= -math.MaxFloat64 {
		g.negative++
	} else {
		g.infinite++
	}
}

// finish sums what parts of the pass give.
func (g *gathered) finish() {
	for m := range g.monthHours {
		for h := range g.monthHours[m] {
			g.months[m].add(&g.monthHours[m][h])
		}
		g.n += g.months[m].n
	}
}

// yearOf is the tally of a year, which comes after all others. It is valid until the next call.
func (g *gathered) yearOf(year int) *tally {
	if n := len(g.years); n == 0 || g.years[n-1].year != year {
		g.years = append(g.years, yearTally{year: year})
	}
	return &g.years[len(g.years)-1].tally
}

// step is the time that value i stands for, s: the step, or less where the next stamp comes sooner.
func step(s *resource.Series, i int) int64 {
	if i+1 < len(s.Times) {
		return min(s.StepS, s.Times[i+1]-s.Times[i])
	}
	return s.StepS
}

// calendarDay is a day of local standard time.
type calendarDay struct {
	first       int64 // local time at which it begins, s
	year, month int   // month 0 is January
}

// moveTo makes it the day of a local time.
func (d *calendarDay) moveTo(local int64) {
	if local >= d.first && local < d.first+secondsPerDay {
		return
	}
	n := local / secondsPerDay
	if local%secondsPerDay < 0 {
		n--
	}
	d.first = n * secondsPerDay
	year, month, _ := time.Unix(d.first, 0).UTC().Date()
	d.year, d.month = year, int(month)-1
}
