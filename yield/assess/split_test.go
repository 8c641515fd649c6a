package assess

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"mastworth/resource"
	"mastworth/yield/household"
)

// The ends of a split are the two answers of the estimate itself: all to wind buys the best tower, all to the sun the equal-cost array,
// each with its own energy and cost per kWh. Between them no money is lost and no energy made of nothing.
func TestEndsOfTheSplit(t *testing.T) {
	stateless := priced()
	stateless.Losses.Other = 0.07
	// The lowest tower is never bought, so that the towers on offer are not all that there are.
	dear := aRealYear(t, household.Battery{})
	dear.Towers = []Tower{{HubHeightM: 10, Cost: 2500}, {HubHeightM: 14, Cost: 700}, {HubHeightM: 24, Cost: 2300}}
	months := garden()
	months.Solar.MonthlyIrradiationKWhM2 = []float64{20, 35, 75, 115, 150, 160, 155, 130, 90, 55, 25, 15}
	for name, r := range map[string]Request{
		"a distribution": stateless, "monthly irradiation": months,
		"a dear low tower": dear, "a real year": aRealYear(t, household.Battery{CapacityKWh: 2, PowerKW: nan, Efficiency: nan}),
	} {
		r.Money.OutputDecline, r.Solar.OutputDecline = 0.01, 0.004
		e := mustRun(t, r)
		h, s := &e.Heights[best(e.Heights)], e.Decision.Split
		near(t, name+", budget", s.BudgetPerYear, h.Cost.YearlyEquivalent, 0)
		for kind, table := range map[string]*household.SplitTable{"whole": &s.SplitTable, "any size": &s.AnySize} {
			what := name + ", " + kind
			sun, wind := &table.Rows[0], &table.Rows[len(table.Rows)-1]
			if sun.Wind != -1 || wind.Wind < 0 || s.Towers[wind.Wind] != e.BestHubHeightM || sun.WindShare != 0 || wind.WindShare != 1 {
				t.Fatalf("%s: the ends are %+v and %+v", what, sun, wind)
			}
			near(t, what+", machines", wind.Machines, 1, 1e-12)
			near(t, what+", wind", wind.WindKWh, h.Energy.NetKWh, 1e-12)
			near(t, what+", wind's cost", wind.WindCost, h.Cost.YearlyEquivalent, 1e-12)
			near(t, what+", wind a kWh", wind.CostPerKWh, h.Cost.PerKWh, 1e-9)
			near(t, what+", sun beside wind", wind.SolarKWh, 0, 1e-6)
			near(t, what+", array", sun.SolarUnits, h.Solar.ArrayKW, 1e-12)
			near(t, what+", sun", sun.SolarKWh, h.Solar.AnnualKWh, 1e-9)
			near(t, what+", sun's cost", sun.SolarCost, s.BudgetPerYear, 1e-12)
			near(t, what+", sun a kWh", sun.CostPerKWh, h.Solar.PerKWh, 1e-9)
			for i := range table.Rows {
				row := &table.Rows[i]
				near(t, what+", money", row.WindCost+row.SolarCost, s.BudgetPerYear, 1e-9)
				if row.Wind >= 0 {
					near(t, what+", the tower's", row.WindKWh, row.Machines*e.Heights[row.Wind].Energy.NetKWh, 1e-9)
				}
				near(t, what+", sun by the money", row.SolarKWh, row.SolarCost/s.BudgetPerYear*h.Solar.AnnualKWh, 1e-9)
			}
			cheapest := table.Rows[table.Cheapest].CostPerKWh
			near(t, what+", cheapest", min(h.Cost.PerKWh, h.Solar.PerKWh), cheapest, 1e-9) // no mixture of two prices is below both
		}
		// By the fraction the cost per kWh is the harmonic mixture of the two ends.
		for i := range s.AnySize.Rows {
			row := &s.AnySize.Rows[i]
			near(t, name+", mixture", 1/row.CostPerKWh, row.WindShare/h.Cost.PerKWh+(1-row.WindShare)/h.Solar.PerKWh, 1e-9)
		}
	}
}

// A split of machines and array that live through the hours is the home simulated; the rows tell what the home tells, the months are
// those of the parts, and their evenness and their correlation the textbook's (population deviation over mean; Pearson).
func TestSplitOfARealYear(t *testing.T) {
	r := aRealYear(t, household.Battery{CapacityKWh: 2, PowerKW: nan, Efficiency: nan})
	r.Towers = []Tower{{HubHeightM: 8, Cost: 300}, {HubHeightM: 10, Cost: 900}, {HubHeightM: 18, Cost: 1400}}
	e := mustRun(t, r)
	h, s := &e.Heights[best(e.Heights)], e.Decision.Split
	rows, home := s.Rows, s.Home
	sun, wind := &rows[0], &rows[len(rows)-1]
	for what, pair := range map[string]struct {
		row  *household.SplitRow
		home *household.Result
	}{"sun": {sun, &home.Solar}, "wind": {wind, &home.Wind}, "mixed": {&rows[home.MixedRow], home.Mixed}} {
		near(t, what+", unmet", pair.row.UnmetShare, pair.home.UnmetShare(), 1e-9)
		near(t, what+", spilled", pair.row.SpilledShare, pair.home.SpilledShare(), 1e-9)
		near(t, what+", used", pair.row.SelfUsedShare, pair.home.SelfUsedShare(), 1e-9)
		used := pair.row.SelfUsedShare * pair.row.EvenKWh
		near(t, what+", a used kWh", pair.row.CostPerUsedKWh, (s.BudgetPerYear+home.BatteryPerYear)/used, 1e-9)
		for m := range pair.home.Months {
			made := pair.row.SolarUnits / h.Solar.ArrayKW * h.Solar.MonthlyKWh[m]
			if w := pair.row.Wind; w >= 0 {
				made += pair.row.Machines * e.Heights[w].Energy.MonthlyKWh[m]
			}
			near(t, fmt.Sprint(what, ", month ", m+1), made, pair.home.Months[m].WindKWh+pair.home.Months[m].SolarKWh, 1e-9)
		}
	}
	var sumW, sumS, ww, ss, ws float64
	for m, w := range h.Energy.MonthlyKWh {
		v := h.Solar.MonthlyKWh[m]
		sumW, sumS, ww, ss, ws = sumW+w, sumS+v, ww+w*w, ss+v*v, ws+w*v
	}
	near(t, "evenness of wind", wind.Evenness, math.Sqrt(ww/12-sumW*sumW/144)/(sumW/12), 1e-6)
	near(t, "evenness of sun", sun.Evenness, math.Sqrt(ss/12-sumS*sumS/144)/(sumS/12), 1e-6)
	near(t, "correlation", s.Complement.Correlation, (12*ws-sumW*sumS)/math.Sqrt((12*ww-sumW*sumW)*(12*ss-sumS*sumS)), 1e-9)
	if s.Complement.Correlation > 0 { // an Atlantic winter is windy and dark
		t.Errorf("wind and sun go together by %g", s.Complement.Correlation)
	}
	for _, index := range []int{s.Cheapest, s.MostEven, s.LeastUnmet} {
		if index < 0 {
			t.Error("a best row of a year whose months and hours are known is not known")
		}
	}
	for i := range rows {
		if rows[i].Evenness < rows[s.MostEven].Evenness || rows[i].UnmetShare < rows[s.LeastUnmet].UnmetShare {
			t.Errorf("row %d is better than the best", i)
		}
		if rows[i].Wind >= 0 && rows[i].SolarUnits > 0.01 && rows[i].CostPerUsedKWh < rows[home.MixedRow].CostPerUsedKWh {
			t.Errorf("of the mixtures row %d has the cheaper used kWh than row %d", i, home.MixedRow)
		}
	}
}

// Where months are not known nothing is said of them, and the remedy is told.
func TestSplitWithoutMonths(t *testing.T) {
	for name, c := range map[string]struct {
		change         func(r *Request)
		sun, wind, all bool // whether the end's months, and the mixture's, are known
	}{
		"neither": {func(r *Request) { r.Solar.YieldKWhPerKW = 900 }, false, false, false},
		"the sun's": {func(r *Request) {
			r.Solar.MonthlyIrradiationKWhM2 = []float64{20, 35, 75, 115, 150, 160, 155, 130, 90, 55, 25, 15}
		}, true, false, false},
		"the wind's":   {func(r *Request) { *r = at10m(invented(3, 366*24)); r.Solar.YieldKWhPerKW = 900 }, false, true, false},
		"both of them": {func(r *Request) { *r = at10m(invented(3, 366*24)) }, true, true, true},
	} {
		r := garden()
		c.change(&r)
		e := mustRun(t, r)
		s := e.Decision.Split
		sun, wind := &s.AnySize.Rows[0], &s.AnySize.Rows[len(s.AnySize.Rows)-1]
		if (sun.Evenness == sun.Evenness) != c.sun {
			t.Errorf("%s: the sun's evenness is %g", name, sun.Evenness)
		}
		if wind.SolarUnits != 0 || (wind.Evenness == wind.Evenness) != c.wind {
			t.Errorf("%s: the wind's evenness is %g", name, wind.Evenness)
		}
		if (s.MostEven >= 0) != c.all || (s.Complement != nil) != c.all {
			t.Errorf("%s: most even row %d, complement %v", name, s.MostEven, s.Complement)
		}
		if c.all {
			continue
		}
		detail := warningOf(t, s.Warnings, "months_unknown")
		if detail == "" || s.Home != nil {
			t.Errorf("%s: %q, home %v", name, detail, s.Home)
		}
	}
}

// A share used at home that is far from what the household comes to is told, with both.
func TestShareThatDiffersFromTheHome(t *testing.T) {
	for share, told := range map[float64]bool{1: true, 0.5: true, 0.6: false, 0.7: false} { // 435/675 = 0.644
		r := atHome(rounds(2023, 365, 3600), household.Battery{})
		r.Money.SelfUsedShare = share
		e := mustRun(t, r)
		if says(&e, "self_used_share_differs") != told {
			t.Errorf("a share of %g beside one of 0.644: %v", share, e.Warnings)
		}
		if told {
			if d := warningOf(t, e.Warnings, "self_used_share_differs"); !strings.Contains(d, fmt.Sprintf("%.0f %%", 100*share)) || !strings.Contains(d, "64 %") {
				t.Errorf("%q does not tell both shares", d)
			}
		}
	}
}

// Of towers that cost and make the same, the one that is called the best stays on offer.
func TestTheBestIsAlwaysOnOffer(t *testing.T) {
	offer := household.Offer{YearlyCost: 100, MonthlyKWh: monthsOf(nil, 365)}
	s := splitting{best: 2, offered: []int{0, 1, 2}, wind: []household.Offer{offer, offer, offer}}
	s.wind[2].PowerW = []float64{7}
	s.keep([]household.SplitRow{{Wind: -1}, {Wind: 1}})
	if !slices.Equal(s.offered, []int{1, 2}) || len(s.wind) != 2 || s.powerOf(2)[0] != 7 {
		t.Errorf("kept %v", s.offered)
	}
}

// stamps is a series of nothing but stamps, in hours from a beginning.
func stamps(from time.Time, stepS int64, n int) *resource.Series {
	s := &resource.Series{StepS: stepS, Times: make([]int64, n)}
	for i := range s.Times {
		s.Times[i] = from.Unix() + int64(i)*stepS
	}
	return s
}

// Ten-minute steps from 23:40 on, before the epoch and after: two of the first hour, six of the second, four of the third, of which one
// value is not known; a mean is of what is known.
func TestFrameTakesHoursTogether(t *testing.T) {
	for _, year := range []int{1969, 1970, 2023} {
		s := stamps(time.Date(year, 12, 31, 23, 40, 0, 0, time.UTC), 600, 12)
		f := newFrame(s, 10)
		if !slices.Equal(f.spans, []span{{0, 2}, {2, 8}, {8, 12}}) || f.stepS != 3600 || !f.averaged || f.years != 1 {
			t.Fatalf("%d: %+v", year, f)
		}
		if times := f.times(s); !slices.Equal(times, []int64{s.Times[0], s.Times[2], s.Times[8]}) {
			t.Errorf("%d: begins %v", year, times)
		}
		mean := f.mean([]float64{1, 2, 1, 2, 3, 4, 5, 6, 10, nan, 20, 30})
		if !slices.Equal(mean, []float64{1.5, 3.5, 20}) {
			t.Errorf("%d: means %v", year, mean)
		}
		if unknown := f.mean(slices.Repeat([]float64{nan}, 12)); unknown[1] == unknown[1] {
			t.Error("a mean of nothing is known")
		}
		whole := newFrame(s, 12)
		if len(whole.spans) != 12 || whole.averaged || whole.stepS != 600 {
			t.Errorf("%d: %+v of what fits", year, whole)
		}
	}
}

// Whole years are left out, first one kept, until there are no more steps than may be. 2.7 years of hours where 1.4 may stay: of every
// two years, the first and what there is of the third would be 1.7; so it is one in three.
func TestFrameLeavesOutWholeYears(t *testing.T) {
	s := stamps(time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC), 3600, 23_668)
	f := newFrame(s, 12_000)
	if f.years != 3 || len(f.spans) != 8766 || f.spans[8765].to != 8766 || f.averaged {
		t.Errorf("one in %d years, %d steps", f.years, len(f.spans))
	}
	four := newFrame(stamps(time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC), 3600, 4*8766), 20_000)
	if four.years != 2 || len(four.spans) != 2*8766 || four.spans[8766].from != 2*8766 {
		t.Errorf("one in %d years, %d steps", four.years, len(four.spans))
	}
	rapid.Check(t, func(t *rapid.T) {
		// Days stand for the steps, to be quick; some years have gaps.
		r := stamps(time.Date(1950, 1, 1, 0, 0, 0, 0, time.UTC), 86_400, rapid.IntRange(400, 20_000).Draw(t, "days"))
		every := rapid.Int64Range(1, 5).Draw(t, "every")
		r.Times = slices.DeleteFunc(r.Times, func(at int64) bool {
			n := (at - r.Times[0]) / (366 * 86_400)
			return n > 0 && n%every == 0
		})
		most := rapid.IntRange(366, 2000).Draw(t, "most")
		f := newFrame(r, most)
		if len(f.spans) > most || len(f.spans) == 0 || f.spans[0].from != 0 {
			t.Fatalf("%d of %d steps where %d may be", len(f.spans), len(r.Times), most)
		}
		if len(r.Times) <= most && (f.years != 1 || len(f.spans) != len(r.Times)) {
			t.Fatalf("%d of %d steps, all of which may be", len(f.spans), len(r.Times))
		}
	})
}

// A day whose light is mostly unknown loses its darkness too; one with a gap keeps it.
func TestBrokenDays(t *testing.T) {
	s := stamps(time.Date(2023, 5, 1, 22, 0, 0, 0, time.UTC), 3600, 48)
	s.UTCOffsetS = 2 * 3600 // so that the days begin with the rows
	sun := make([]float64, 48)
	for h := 6; h < 18; h++ {
		sun[h], sun[24+h] = 100, 100
	}
	for h := 6; h < 13; h++ { // seven of twelve hours of light
		sun[h] = nan
	}
	for h := 6; h < 12; h++ { // six
		sun[24+h] = nan
	}
	hideBrokenDays(s, sun)
	for h := range sun {
		if want := h < 24 || h >= 30 && h < 36; (sun[h] != sun[h]) != want {
			t.Errorf("hour %d is %g", h, sun[h])
		}
	}
}

// fourHeights is a request with a record at four heights.
func fourHeights(s *resource.Series, home bool) Request {
	r := atHome(s, household.Battery{CapacityKWh: 3, PowerKW: 1.5, Efficiency: 0.9})
	r.Towers = []Tower{{12, 650}, {18, 1400}, {24, 2300}, {30, 3500}}
	r.Money.SelfUsedShare = 0.6
	if !home {
		r.Household = nil
	}
	return r
}

// What a household costs in time, along a year of hours and along ten.
func BenchmarkHousehold(b *testing.B) {
	for _, years := range []int{1, 10} {
		s := rounds(2014, 365*years, 3600)
		for _, home := range []bool{false, true} {
			b.Run(fmt.Sprintf("years=%d/home=%t", years, home), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := Run(fourHeights(s, home)); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
