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

// ShearTable is the wind shear a record shows between two heights: the exponent of the power law by direction sector, by
// night and day (IsDay) and by month. Exponents refer to heights above ground, so that what displacement there is lies in
// them. Exponent, Counts, Source, ByDay and Overall tell of all months together; At tells of one.
type ShearTable struct {
	LowM, HighM float64      // the two heights, m above ground
	HighestM    float64      // of HighM and the heights in Checks the greatest, m: what the profile is measured up to
	Low, High   int          // the places of their channels in Series.Channels
	Sectors     int          // number of sectors; sector 0 is centred on north
	Exponent    [][2]float64 // of each sector by night (0) and day (1); where a class has too few pairs, of a wider one
	Counts      [][2]int     // pairs of speeds in each class
	Source      [][2]string  // what each exponent rests on: "sector and day", "sector", "day" or "all"
	ByDay       [2]float64   // of all directions together, by night and day
	Overall     float64      // of everything
	N           int          // pairs of speeds in all
	Checks      []ShearCheck // the profile held against the record's other speeds, lowest first

	all     ShearClass
	classes []ShearClass // by sector (the last is unknown), night and day, month (the last is all of them)
}

// MeasuredShear finds the shear between two speed channels of a record, by direction in a number of sectors, by night and
// day and by month. It takes the pair of heights furthest apart, as a ratio, that holds at least 50 hours of speeds both
// usable and above 3 m/s. The exponent of a class is that of the ratio of its two mean speeds.
//
// A class with less than 50 hours takes that of a wider one, the first of these that has them:
//
//	sector, day and month → sector and day → sector → day and month → day → all
//
// The order lets go first of what matters least. The month is the weakest: most of what it does to the profile is a longer
// or shorter night and leaves on the trees. Of the other two the sector goes last: what stands in the wind's way is there at
// every hour, and 50 hours of it beat any number of hours from other directions. Where a record has no direction, or its
// steps are longer than 3 hours, all classes alike take the wider one.
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
		sums := s.sumShear(p[0], p[1], sectors)
		n := sums.total().n
		if s.shearEnough(n) {
			t := newShearTable(s, p[0], p[1], sums)
			t.check(s)
			return t, nil
		}
		most = max(most, n)
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

// Factor is the wind speed at height toM over that at height fromM, m above ground, with the exponent of a sector by day
// or night, all months together: (to/from)^α. A sector that is not one of the table's, such as −1 for no direction, takes
// the exponent of all directions by day or night. NaN unless both heights are above 0.
func (t ShearTable) Factor(sector int, day bool, fromM, toM float64) float64 {
	if !(fromM > 0 && toM > 0) {
		return math.NaN()
	}
	return math.Pow(toM/fromM, t.At(-1, sector, day).Exponent)
}
