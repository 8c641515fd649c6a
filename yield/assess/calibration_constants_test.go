//go:build !race

package assess

import (
	"math"
	"math/bits"
	"testing"

	"gonum.org/v1/gonum/stat"

	"mastworth/resource"
	"mastworth/resource/ingest"
	"mastworth/yield"
)

// The constants of standsFor are found anew here, on one half of the places, and held on the other, every way to part them.

// z90 is the standard normal deviate that nine in ten exceed the negative of.
const z90 = 1.281552

// Slow change: by how much the years' speeds of a record must be multiplied, less 1, to make the energy of the years it did not
// see, is the error that a doubt of the wind must hold.
func TestCalibrationOfSlowChange(t *testing.T) {
	kWh := irishTruth(t)
	lengths := []int{1, 2, 4, 6, 9}
	year := DefaultUncertainty.YearToYear
	misses := make([][][]float64, len(lengths)) // length, station
	for k, n := range lengths {
		misses[k] = make([][]float64, len(irishStations))
		for i, code := range irishStations {
			s := irishStation(t, code)
			for y := 0; y+n <= irishYears; y++ {
				truth := stat.Mean(outside(kWh[i], 12*y, 12*(y+n)), nil)
				misses[k][i] = append(misses[k][i], missOf(between(s, monthStart(s, 12*y), monthStart(s, 12*(y+n))), truth))
			}
		}
	}
	standard := func(k int, change float64) float64 {
		n := float64(lengths[k])
		return math.Sqrt(year*year/n + change*change + year*year/(irishYears-n))
	}
	held := func(mask uint, change float64) float64 { // by P90, each length alike
		sum := 0.0
		for k := range lengths {
			in, all := 0.0, 0.0
			for i, each := range misses[k] {
				if mask>>i&1 == 0 {
					continue
				}
				for _, miss := range each {
					all++
					if miss >= -z90*standard(k, change) {
						in++
					}
				}
			}
			sum += in / all / float64(len(lengths))
		}
		return sum
	}
	byP90, byRMS, others, worst, asStated := halves(len(irishStations), func(mask uint) float64 {
		return leastWith(func(d float64) bool { return held(mask, d) >= 0.9 })
	}, func(mask uint) float64 {
		return leastSquares(func(d float64) float64 {
			sum := 0.0
			for k := range lengths {
				squares, n := 0.0, 0.0
				for i, each := range misses[k] {
					if mask>>i&1 == 1 {
						squares += stat.MomentAbout(2, each, 0, nil) * float64(len(each))
						n += float64(len(each))
					}
				}
				sum += math.Pow(math.Log(squares/n/math.Pow(standard(k, d), 2)), 2)
			}
			return sum
		})
	}, held, slowChange)
	t.Logf("slow change by P90 of three stations %.4f, by root mean square %.4f; the other three then hold P90 %.1f %% of the time, %.1f %% at worst, and as stated %.1f %%",
		byP90, byRMS, 100*others, 100*worst, 100*asStated)
	near(t, "by P90", byP90, 0.055, 0.01)
	near(t, "by root mean square", byRMS, 0.067, 0.01)
	if slowChange < byP90 || slowChange > byRMS {
		t.Errorf("%g is stated", slowChange)
	}
	near(t, "of the stations not asked", others, 0.9, 0.04)
	near(t, "as stated", asStated, 0.9, 0.02)
}

// halves finds a constant with each half of n places and holds it on the others. It returns the means over all ways: of the
// constant by two rules, of what the others hold by the first, with the least of it, and of what they hold with the constant as stated.
func halves(n int, first, second func(mask uint) float64, held func(mask uint, constant float64) float64, stated float64) (one, two, others, worst, asStated float64) {
	ways := 0.0
	worst = 1
	for mask := uint(0); mask < 1<<n; mask++ {
		if bits.OnesCount(mask) != n/2 {
			continue
		}
		rest := 1<<n - 1 - mask
		found := first(mask)
		one += found
		two += second(mask)
		share := held(rest, found)
		others += share
		worst = min(worst, share)
		asStated += held(rest, stated)
		ways++
	}
	return one / ways, two / ways, others / ways, worst, asStated / ways
}

func leastWith(enough func(v float64) bool) float64 {
	v := 0.0
	for !enough(v) && v < 1 {
		v += 0.001
	}
	return v
}

func leastSquares(of func(v float64) float64) float64 {
	at, least := 0.0, math.Inf(1)
	for v := 0.0; v < 0.5; v += 0.001 {
		if s := of(v); s < least {
			at, least = v, s
		}
	}
	return at
}

// missOf is by how much, as a share, the speeds of a record must be raised to make a year's energy.
func missOf(s *resource.Series, kWh float64) float64 {
	machine, c := smallMachine(), &s.Channels[0]
	speeds := make([]float64, s.Len())
	low, high := 0.2, 5.0
	for range 30 {
		middle := math.Sqrt(low * high)
		for i, v := range c.Values {
			speeds[i] = middle * v
		}
		if yield.AnnualKWh(machine.MeanPowerSpeeds(speeds)) < kWh {
			low = middle
		} else {
			high = middle
		}
	}
	return low - 1
}

// region is a place's mean speeds by month, year by year; stations of one country count as one region.
type region struct {
	name   string
	slow   bool // whether its sensors and surroundings may change slowly
	places [][][12]float64
}

// regions are the open records that hold a whole year (their sources are told where they lie).
func regions(t *testing.T) []region {
	one := func(name string, parts ...string) region {
		s := reading(t, parts[1], ingest.Options{}, parts...)
		return region{name, true, [][][12]float64{monthlyMeans(s, s.SpeedChannels()[0])}}
	}
	ireland := region{name: "Ireland", slow: true}
	for _, code := range irishStations {
		ireland.places = append(ireland.places, monthlyMeans(irishStation(t, code), 0))
	}
	sea := tenYears(t)
	colorado := one("Colorado", "tmy3", "724666TYA.CSV")
	colorado.places = append(colorado.places, one("", "nrel_m2", "m2_80m_10min_2012.csv").places...)
	return []region{ireland, {"monsoon sea", false, [][][12]float64{monthlyMeans(sea, sea.Find(resource.Speed, 10))}}, colorado,
		one("Illinois", "epw", "USA_IL_Chicago-OHare.Intl.AP.725300_TMY3.epw"),
		one("New York", "epw", "USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw"),
		one("Washington", "epw", "USA_WA_Port.Angeles-William.R.Fairchild.Intl.AP.727885_TMY3.epw"),
		one("Norway", "isd_lite", "011080-99999-2015"),
	}
}

// monthlyMeans are those of a channel; years that are not whole are left out. A typical year is one year, whatever its months say.
func monthlyMeans(s *resource.Series, channel int) (out [][12]float64) {
	c := &s.Channels[channel]
	var sum, n [12]float64
	flush := func() {
		for m := range sum {
			if n[m]*float64(s.StepS) < fewestDaysAMonth*86400 {
				sum, n = [12]float64{}, [12]float64{}
				return
			}
			sum[m] /= n[m]
		}
		out = append(out, sum)
		sum, n = [12]float64{}, [12]float64{}
	}
	last := -1
	for i, v := range c.Values {
		m := resource.MonthOf(s.Times[i], s.UTCOffsetS)
		if m < last && s.Kind != resource.TypicalYear {
			flush()
		}
		last = m
		if c.Usable(i) {
			sum[m] += v
			n[m]++
		}
	}
	flush()
	return out
}

// heldBy is how often records of so many months in a row hold P90 of the mean speed of the years they do not touch (of the same
// year, where there is one only), each place of a region alike.
func (r *region) heldBy(months int, season float64) float64 {
	year := DefaultUncertainty.YearToYear
	m := float64(months)
	x := math.Pi * m / 12
	sum := 0.0
	for _, years := range r.places {
		u := monthScatter*monthScatter*(1/m-1.0/12) + math.Pow(season*math.Sin(x)/x, 2)
		alone := len(years) == 1
		if !alone {
			u += year*year + year*year/float64(len(years)-1)
		}
		if !alone && r.slow {
			u += slowChange * slowChange
		}
		in, n := 0.0, 0.0
		for from := 0; from+months <= 12*len(years) || alone && from < 12; from++ {
			record, truth := partAndRest(years, from, months)
			if truth/record-1 >= -z90*math.Sqrt(u) {
				in++
			}
			n++
		}
		sum += in / n / float64(len(r.places))
	}
	return sum
}

// partAndRest are the mean of months in a row and that of the years they do not touch; of one year, the months go round and the rest
// is the year.
func partAndRest(years [][12]float64, from, months int) (part, rest float64) {
	n := 0.0
	for k := from; k < from+months; k++ {
		part += years[k/12%len(years)][k%12] / float64(months)
	}
	for y, of := range years {
		if len(years) > 1 && 12*y < from+months && 12*y+12 > from {
			continue
		}
		for _, v := range of {
			rest += v
			n++
		}
	}
	return part, rest / n
}

// The season that a record of parts of a year must do without.
func TestCalibrationOfSeason(t *testing.T) {
	all := regions(t)
	lengths := []int{1, 3, 6, 9}
	held := func(mask uint, season float64) float64 {
		sum, n := 0.0, 0.0
		for i := range all {
			if mask>>i&1 == 1 {
				for _, months := range lengths {
					sum += all[i].heldBy(months, season)
					n++
				}
			}
		}
		return sum / n
	}
	find := func(mask uint) float64 { return leastWith(func(s float64) bool { return held(mask, s) >= 0.9 }) }
	byP90, _, others, worst, asStated := halves(len(all), find, func(uint) float64 { return 0 }, held, seasonScatter)
	together := find(1<<len(all) - 1)
	t.Logf("season by P90 of three regions %.4f on the mean, of all together %.4f; the others then hold P90 %.1f %% of the time, %.1f %% at worst, and as stated %.1f %%",
		byP90, together, 100*others, 100*worst, 100*asStated)
	for i := range all {
		t.Logf("%s: P90 of the mean speed holds %.1f, %.1f, %.1f, %.1f %% of the time by 1, 3, 6, 9 months", all[i].name, 100*all[i].heldBy(1, seasonScatter),
			100*all[i].heldBy(3, seasonScatter), 100*all[i].heldBy(6, seasonScatter), 100*all[i].heldBy(9, seasonScatter))
	}
	near(t, "of all regions together", together, seasonScatter, 0.1)
	near(t, "of the regions not asked", others, 0.9, 0.05)
	near(t, "as stated", asStated, 0.9, 0.03)
}
