package resource

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
)

// What a measured shear must rest on.
const (
	shearSpeedMS     = 3                  // both speeds must be above this: below, cups stick and the profile is not one of wind but of calm
	shearHours       = 50                 // hours of pairs a class needs for an exponent of its own, some ±0.04 of it; judgement
	shearHeightRatio = 1.2                // of the two heights, at least; nearer together, errors of the sensors outweigh the shear
	shearLongestStep = 3 * secondsPerHour // of a record that can tell day from night
)

// ErrNoShear says that a record gives no measured shear. The error that wraps it says why.
var ErrNoShear = errors.New("no measured shear")

// ShearTable is the wind shear a record shows between two heights: the exponent of the power law by direction sector
// and by night and day (IsDay). Exponents refer to heights above ground, so that what displacement there is lies in them.
type ShearTable struct {
	LowM, HighM float64      // the two heights, m above ground
	Low, High   int          // the places of their channels in Series.Channels
	Sectors     int          // number of sectors; sector 0 is centred on north
	Exponent    [][2]float64 // of each sector by night (0) and day (1); where a class has too few pairs, of a wider one
	Counts      [][2]int     // pairs of speeds in each class
	Source      [][2]string  // what each exponent rests on: "sector and day", "sector", "day" or "all"
	ByDay       [2]float64   // of all directions together, by night and day
	Overall     float64      // of everything
	N           int          // pairs of speeds in all
}

// shearSums gathers pairs of speeds.
type shearSums struct {
	n         int
	low, high float64
}

func (a *shearSums) add(low, high float64) {
	a.n++
	a.low += low
	a.high += high
}

func (a *shearSums) join(b shearSums) {
	a.n += b.n
	a.low += b.low
	a.high += b.high
}

// MeasuredShear finds the shear between two speed channels of a record, by direction in a number of sectors and by night
// and day. It takes the pair of heights furthest apart, as a ratio, that holds at least 50 hours of speeds both usable
// and above 3 m/s. The exponent of a class is that of the ratio of its two mean speeds. A class with less than 50 hours
// takes that of its whole sector; failing that, that of all directions by night or day; failing that, the overall one.
// Where a record has no direction, or its steps are longer than 3 hours, all classes alike take the wider one.
//
// It fails with ErrNoShear where no two heights, known and a fifth apart, hold so much. It panics for less than one sector.
func MeasuredShear(s *Series, sectors int) (ShearTable, error) {
	if sectors < 1 {
		panic("resource: there must be at least one sector")
	}
	pairs := s.shearPairs()
	if len(pairs) == 0 {
		return ShearTable{}, fmt.Errorf("%w: the record has no two wind speeds at known heights at least a fifth apart", ErrNoShear)
	}
	most := 0
	for _, p := range pairs {
		classes := s.shearClasses(p[0], p[1], sectors)
		t := newShearTable(s, p[0], p[1], classes)
		if s.shearEnough(t.N) {
			return t, nil
		}
		most = max(most, t.N)
	}
	return ShearTable{}, fmt.Errorf("%w: speeds above %d m/s at two heights at once last %.1f hours; at least %d are needed",
		ErrNoShear, shearSpeedMS, float64(most)*float64(s.StepS)/secondsPerHour, shearHours)
}

// shearEnough reports whether a number of pairs is enough for an exponent.
func (s *Series) shearEnough(n int) bool {
	return n > 0 && int64(n)*s.StepS >= shearHours*secondsPerHour
}

// shearPairs lists pairs of speed channels, low and high, the furthest apart first.
func (s *Series) shearPairs() [][2]int {
	var pairs [][2]int
	speeds := s.SpeedChannels()
	height := func(i int) float64 { return s.Channels[i].HeightM }
	ratio := func(p [2]int) float64 { return height(p[1]) / height(p[0]) }
	for i, low := range speeds {
		for _, high := range speeds[i+1:] {
			if p := [2]int{low, high}; height(low) > 0 && ratio(p) >= shearHeightRatio {
				pairs = append(pairs, p)
			}
		}
	}
	slices.SortStableFunc(pairs, func(a, b [2]int) int { return cmp.Compare(ratio(b), ratio(a)) })
	return pairs
}

// shearClasses sums the pairs of two channels by sector, the last of which is that of no direction, and by night and day.
func (s *Series) shearClasses(low, high, sectors int) [][2]shearSums {
	a, b := &s.Channels[low], &s.Channels[high]
	var direction *Channel
	if i := s.Find(Direction, a.HeightM); i >= 0 {
		direction = &s.Channels[i]
	}
	classes := make([][2]shearSums, sectors+1)
	for i, v := range a.Values {
		if !(v > shearSpeedMS && b.Values[i] > shearSpeedMS) || !a.Usable(i) || !b.Usable(i) {
			continue
		}
		sector, day := sectors, 0
		if direction != nil && direction.Usable(i) {
			if k := SectorOf(direction.Values[i], sectors); k >= 0 {
				sector = k
			}
		}
		if IsDay(s.Times[i], s.UTCOffsetS) {
			day = 1
		}
		classes[sector][day].add(v, b.Values[i])
	}
	return classes
}

// newShearTable turns sums into exponents, widest class first.
func newShearTable(s *Series, low, high int, classes [][2]shearSums) ShearTable {
	sectors := len(classes) - 1
	t := ShearTable{
		LowM: s.Channels[low].HeightM, HighM: s.Channels[high].HeightM, Low: low, High: high, Sectors: sectors,
		Exponent: make([][2]float64, sectors), Counts: make([][2]int, sectors), Source: make([][2]string, sectors),
	}
	exponent := func(a shearSums) float64 { return ShearExponent(a.low, t.LowM, a.high, t.HighM) }
	var all shearSums
	var byDay [2]shearSums
	for _, c := range classes {
		for day := range c {
			byDay[day].join(c[day])
			all.join(c[day])
		}
	}
	t.N, t.Overall = all.n, exponent(all)
	split := s.StepS <= shearLongestStep
	for day := range byDay {
		t.ByDay[day] = t.Overall
		if split && s.shearEnough(byDay[day].n) {
			t.ByDay[day] = exponent(byDay[day])
		}
	}
	for k, c := range classes[:sectors] {
		sector := c[0]
		sector.join(c[1])
		for day := range c {
			t.Counts[k][day] = c[day].n
			switch {
			case split && s.shearEnough(c[day].n):
				t.Exponent[k][day], t.Source[k][day] = exponent(c[day]), "sector and day"
			case s.shearEnough(sector.n):
				t.Exponent[k][day], t.Source[k][day] = exponent(sector), "sector"
			case split && s.shearEnough(byDay[day].n):
				t.Exponent[k][day], t.Source[k][day] = t.ByDay[day], "day"
			default:
				t.Exponent[k][day], t.Source[k][day] = t.Overall, "all"
			}
		}
	}
	return t
}

// Factor is the wind speed at height toM over that at height fromM, m above ground, with the exponent of a sector by day
// or night: (to/from)^α. A sector that is not one of the table's, such as −1 for no direction, takes the overall exponent.
// NaN unless both heights are above 0.
func (t ShearTable) Factor(sector int, day bool, fromM, toM float64) float64 {
	if !(fromM > 0 && toM > 0) {
		return math.NaN()
	}
	exponent := t.Overall
	if sector >= 0 && sector < len(t.Exponent) {
		exponent = t.Exponent[sector][0]
		if day {
			exponent = t.Exponent[sector][1]
		}
	}
	return math.Pow(toM/fromM, exponent)
}
