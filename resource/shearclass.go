package resource

import "math"

// allMonths is the place after the months, for all of them together.
const allMonths = 12

// The words of ShearClass.Source.
const (
	shearSectorDayMonth = "sector, day and month"
	shearSectorDay      = "sector and day"
	shearSector         = "sector"
	shearDayMonth       = "day and month"
	shearDay            = "day"
	shearAll            = "all"
)

// ShearClass is the shear of one class of a ShearTable, or of the wider class it takes.
type ShearClass struct {
	Exponent float64 // of the power law
	// StandardError is that of Exponent, from the scatter of the class's pairs by the delta method. That hours and days of the
	// same weather are alike is counted: pairs are summed over spells of four days (from 7 h of local standard time) or what
	// of them lies in one month, and those sums are taken as independent, not the pairs. Errors of the sensors are not in it:
	// a hundredth between the two adds 0.01/ln(high/low). NaN for less than four such spells.
	StandardError float64
	RoughnessM    float64 // length that gives the two mean speeds by the logarithmic law without displacement, m; NaN where none does
	N             int     // pairs of speeds it rests on
	Source        string  // the class it rests on: "sector, day and month", "sector and day", "sector", "day and month", "day" or "all"
}

// At is the shear of a month (0 is January, −1 all together), a sector (−1 for an unknown direction, as any number that is
// not one of the table's) and of the hours of day or night. What a class with too few pairs takes instead is told at
// MeasuredShear. The zero table gives NaN.
func (t ShearTable) At(month, sector int, day bool) ShearClass {
	if len(t.classes) == 0 {
		return ShearClass{Exponent: math.NaN(), StandardError: math.NaN(), RoughnessM: math.NaN()}
	}
	if month < 0 || month > allMonths {
		month = allMonths
	}
	if sector < 0 || sector > t.Sectors {
		sector = t.Sectors
	}
	return t.classes[shearPlace(sector, day, month)]
}

// OverallClass is the shear of everything: its Exponent is Overall.
func (t ShearTable) OverallClass() ShearClass { return t.all }

// shearPlace is where a class stands in ShearTable.classes.
func shearPlace(sector int, day bool, month int) int {
	place := 2 * sector
	if day {
		place++
	}
	return place*(allMonths+1) + month
}

// newShearTable turns sums into exponents.
func newShearTable(s *Series, low, high int, sums *shearSums) ShearTable {
	sectors := sums.sectors
	t := ShearTable{
		LowM: s.Channels[low].HeightM, HighM: s.Channels[high].HeightM, Low: low, High: high, Sectors: sectors,
		Exponent: make([][2]float64, sectors), Counts: make([][2]int, sectors), Source: make([][2]string, sectors),
		classes: make([]ShearClass, 2*(sectors+1)*(allMonths+1)),
	}
	t.HighestM = t.HighM
	t.all = sums.class(sums.total(), shearAll)
	t.N, t.Overall = t.all.N, t.all.Exponent
	for k := range sectors + 1 {
		for when := range 2 {
			for month := range allMonths + 1 {
				t.classes[shearPlace(k, when == 1, month)] = t.widen(s, sums, k, when, month)
			}
		}
	}
	for when := range 2 {
		t.ByDay[when] = t.At(-1, -1, when == 1).Exponent
		for k := range sectors {
			c := t.At(-1, k, when == 1)
			t.Exponent[k][when], t.Source[k][when] = c.Exponent, c.Source
			t.Counts[k][when] = sums.bySectorDay[k][when][allMonths].n
		}
	}
	return t
}

// widen is the first class, from the narrowest on, with enough pairs.
func (t *ShearTable) widen(s *Series, sums *shearSums, sector, when, month int) ShearClass {
	split, directed, monthly := s.StepS <= shearLongestStep, sector < t.Sectors, month < allMonths
	enough := func(a *shearSum) bool { return s.shearEnough(a.n) }
	if directed {
		if c := &sums.bySectorDay[sector][when][month]; split && monthly && enough(c) {
			return sums.class(c, shearSectorDayMonth)
		}
		if c := &sums.bySectorDay[sector][when][allMonths]; split && enough(c) {
			return sums.class(c, shearSectorDay)
		}
		if c := &sums.bySector[sector]; enough(c) {
			return sums.class(c, shearSector)
		}
	}
	if c := &sums.byDay[when][month]; split && monthly && enough(c) {
		return sums.class(c, shearDayMonth)
	}
	if c := &sums.byDay[when][allMonths]; split && enough(c) {
		return sums.class(c, shearDay)
	}
	return t.all
}
