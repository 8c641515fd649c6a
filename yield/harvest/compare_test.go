package harvest

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"mastworth/yield"
)

var nan = math.NaN()

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.10g, want %.10g", what, got, want)
	}
}

// hourly is a year and more of hours from 1 January 2025 with a power each.
func hourly(hours int, power func(i int) float64) Modelled {
	m := Modelled{StepS: 3600}
	for i := range hours {
		m.Times = append(m.Times, t0+int64(i)*3600)
		m.PowerW = append(m.PowerW, power(i))
	}
	return m
}

func windiness(t testing.TB, m Modelled) *Windiness {
	t.Helper()
	w, err := NewWindiness(m)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// By hand: months of 31, 28 and 31 days with 62, 56 and 93 kWh have 2, 2 and 3 kWh a day; the year of 3650 kWh has 10 kWh a day.
func TestPromiseByHand(t *testing.T) {
	months := make([]float64, 12)
	months[0], months[1], months[2] = 62, 56, 93
	p := Promise{YearKWh: 3650, MonthKWh: months}
	for _, c := range []struct{ from, to, want float64 }{
		{0, 31, 62}, {31, 59, 56}, {30, 32, 4}, {45.5, 46, 1}, {58, 61, 2 + 3*2}, {0, 90, 62 + 56 + 93},
	} {
		near(t, "by month", p.Over(t0+int64(c.from*day), t0+int64(c.to*day)), c.want, 1e-9)
	}
	// 29 February 2024 gets what the other days of its month get.
	leap := time.Date(2024, 2, 1, 0, 0, 0, 0, time.UTC).Unix()
	near(t, "a leap February", p.Over(leap, leap+29*day), 58, 1e-9)
	// At UTC+2 the month ends two hours earlier: two hours at 2 kWh a day, then 22 hours at 3.
	p.UTCOffsetS = 7200
	end := time.Date(2025, 2, 28, 20, 0, 0, 0, time.UTC).Unix()
	near(t, "over the end of a month by a local clock", p.Over(end, end+day), 2.0/12+22.0/24*3, 1e-9)
	p.MonthKWh = nil
	near(t, "by year", p.Over(t0, t0+36*day+day/2), 365, 1e-9)
}

// The closed form of constant wind: every time is as windy as any other, corrected and plain promise agree, and a machine that makes a
// tenth less than promised keeps 90 % of it.
func TestConstantWind(t *testing.T) {
	const watts = 250.0
	year := watts * yield.HoursPerYear / 1000
	o := Options{Promise: Promise{YearKWh: year}, Wind: windiness(t, hourly(9000, func(int) float64 { return watts })), MaxW: 1000}
	c := Compare([]Reading{meter(0, 100), meter(20, 100+0.9*watts*24*20/1000), meter(100, 100+0.9*watts*24*100/1000)}, o)
	near(t, "plain", c.Promised.Ratio, 0.9, 1e-12)
	near(t, "corrected", c.Corrected.Ratio, 0.9, 1e-12)
	near(t, "windiness", c.Periods[1].Windiness, 1, 1e-12)
	near(t, "cover", c.Periods[1].CoveredShare, 1, 0)
	if !c.ByWind || c.Answer != Below {
		t.Errorf("%s by wind %v: without any doubt a tenth less is less", c.Answer, c.ByWind)
	}
}

// By hand: a machine makes 300 W in the first half of each day of the year's first 100 days and 100 W in the rest of the year. In the long run
// of the same record by months, January has (300+100)/2 = 200 W.
func TestWindinessByHand(t *testing.T) {
	m := hourly(365*24, func(i int) float64 {
		if i < 100*24 && i%24 < 12 {
			return 300
		}
		return 100
	})
	m.SeasonsW = flat(1) // the record knows its own
	w := windiness(t, m)
	for _, c := range []struct{ from, to, ratio, covered float64 }{
		{0, 31, 1, 1},                 // a whole month is its own long run
		{0, 0.5, 1.5, 1},              // 300 over 200
		{0.5, 1, 0.5, 1},              // 100 over 200
		{0.25, 0.75, 1, 1},            // half and half
		{0.25, 0.25 + 1.0/48, 1.5, 1}, // half a step
		{200, 230, 1, 1},
		{-1, 1, 1, 0.5}, // the record knows the second day alone
		{364.5, 366.5, 1, 0.25},
	} {
		ratio, covered := w.Over(t0+int64(c.from*day), t0+int64(c.to*day))
		near(t, "ratio", ratio, c.ratio, 1e-12)
		near(t, "cover", covered, c.covered, 1e-12)
	}
	if ratio, covered := w.Over(t0-10*day, t0-9*day); ratio == ratio || covered != 0 {
		t.Errorf("outside the record: %g, %g", ratio, covered)
	}
	// Held against the year's mean, (200·100 + 100·265)/365 = 127.40 W, for a promise without seasons: January is windy as a whole.
	m.SeasonsW = nil
	ratio, _ := windiness(t, m).Over(t0, t0+31*day)
	near(t, "against the year", ratio, 200/(46500.0/365), 1e-12)
	// Given a long run of 400 W the same times are half as windy.
	m.LongRunW = flat(400)
	ratio, _ = windiness(t, m).Over(t0, t0+31*day)
	near(t, "against another long run", ratio, 0.5, 1e-12)
}

// Hours that are not known count neither way, and too many of them leave a period uncorrected.
func TestGapsInTheRecord(t *testing.T) {
	m := hourly(365*24, func(i int) float64 {
		if d := i / 24; d >= 10 && d < 13 {
			return nan
		}
		return 200
	})
	o := Options{Promise: Promise{YearKWh: 1752}, Wind: windiness(t, m)}
	c := Compare([]Reading{energy(0, 20, 96), energy(20, 30, 40), energy(9, 13, 1)}, o)
	if len(c.Periods) != 2 {
		t.Fatalf("%+v", c.Periods)
	}
	p := c.Periods[0] // days 9 to 13, of which a quarter is known
	near(t, "cover", p.CoveredShare, 0.25, 1e-12)
	if p.CorrectedKWh == p.CorrectedKWh {
		t.Error("a period of which a quarter is known was corrected")
	}
	near(t, "what is corrected", c.Corrected.Days, 10, 1e-12)
}

func TestTooShortARecord(t *testing.T) {
	for name, m := range map[string]Modelled{
		"300 days": hourly(300*24, func(int) float64 { return 5 }),
		"calm":     hourly(365*24, func(int) float64 { return 0 }),
		"nothing":  hourly(0, nil),
	} {
		if _, err := NewWindiness(m); !errors.Is(err, ErrTooShort) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if n := windiness(t, hourly(335*24, func(int) float64 { return 5 })).Lacking(); n != 1 {
		t.Errorf("a record without December lacks %d months", n)
	}
}

// Scaling the modelled powers, as a curve that is wrong by a factor does, changes no windiness; scaling the readings scales the ratio.
func TestScaling(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		factor := rapid.Float64Range(0.1, 10).Draw(rt, "factor")
		seed := rapid.IntRange(1, 1000).Draw(rt, "seed")
		power := func(i int) float64 { return float64((i*i*seed)%977) + 1 }
		to := rapid.Float64Range(1, 364).Draw(rt, "to")
		a, err := NewWindiness(hourly(365*24, power))
		if err != nil {
			rt.Fatal(err)
		}
		b, err := NewWindiness(hourly(365*24, func(i int) float64 { return factor * power(i) }))
		if err != nil {
			rt.Fatal(err)
		}
		ra, ca := a.Over(t0, t0+int64(to*day))
		rb, cb := b.Over(t0, t0+int64(to*day))
		if math.Abs(ra-rb) > 1e-9 || math.Abs(ca-cb) > 1e-12 {
			rt.Fatalf("%g, %g against %g, %g", ra, ca, rb, cb)
		}
		o := Options{Promise: Promise{YearKWh: 1000}, Wind: a}
		one := Compare([]Reading{energy(0, to, 10)}, o)
		more := Compare([]Reading{energy(0, to, 10*factor)}, o)
		if math.Abs(more.Corrected.Ratio/one.Corrected.Ratio-factor) > 1e-9*factor {
			rt.Fatalf("%g and %g", one.Corrected.Ratio, more.Corrected.Ratio)
		}
	})
}

// JCGM 100:2008: independent standard uncertainties add as squares (5.1.2), here by hand. Against the plain promise of 100 days:
// √(0.10² + 0.05² + 0.06² + (0.12·√3.6525)² + 0.0115²).
func TestDoubtsByHand(t *testing.T) {
	d := Doubts{Estimate: 0.10, LongTerm: 0.05, PowerCurve: 0.06, YearToYear: 0.12, Meter: UsualMeter}
	o := Options{Promise: Promise{YearKWh: 3650, MonthKWh: make([]float64, 12)}, Doubts: d}
	for i := range o.Promise.MonthKWh {
		o.Promise.MonthKWh[i] = 10 * float64(yield.DaysInMonth[i])
	}
	c := Compare([]Reading{meter(0, 0), meter(100, 900)}, o)
	near(t, "standard uncertainty", c.Promised.Standard, 0.26235, 5e-6)
	near(t, "ratio", c.Promised.Ratio, 0.9, 1e-12)
	if c.Answer != Within || !c.Vague() {
		t.Errorf("%s, vague %v", c.Answer, c.Vague())
	}
	// With months unknown a third of a year says little of it: 0.3 more.
	o.Promise.MonthKWh = nil
	c = Compare([]Reading{meter(0, 0), meter(100, 900)}, o)
	near(t, "without months", c.Promised.Standard, math.Hypot(0.26235, 0.3), 5e-6)
	// By the very record the estimate is made of, measured at the mast, the long run falls out and a fifth of the weather is left:
	// √(0.10² + 0.06² + (0.2·0.12·√3.6525)² + 0.0115²).
	o.Wind = windiness(t, hourly(365*24, func(int) float64 { return 5 }))
	o.Doubts.OwnRecord, o.Measured = true, true
	c = Compare([]Reading{meter(0, 0), meter(100, 600)}, o)
	near(t, "by the own record", c.Corrected.Standard, 0.12585, 5e-6)
	if c.Answer != Below {
		t.Errorf("60 %% of the promise, with 12.6 %% standard uncertainty, is %s", c.Answer)
	}
	// The curve by both: the estimate says 1 ± 0.06, the meter 0.6 ± √(0.12585² − 0.06²) = 0.1106. Weights 0.06⁻² and 0.1106⁻².
	near(t, "curve factor", c.CurveFactor, 1-0.4*0.2271, 5e-4)
	near(t, "its uncertainty", c.CurveStandard, 0.06*math.Sqrt(1-0.2271), 5e-5)
}

// Two months that a record covers say less than three years that none does, and the answer goes by what says more.
func TestTheBetterEvidenceDecides(t *testing.T) {
	d := Doubts{Estimate: 0.05, PowerCurve: 0.06, YearToYear: 0.12, Meter: UsualMeter}
	m := hourly(365*24, func(int) float64 { return 100 })
	m.SeasonsW = flat(1)
	o := Options{Promise: Promise{YearKWh: 876, MonthKWh: flat(73)}, Doubts: d, Wind: windiness(t, m)}
	long := Compare([]Reading{energy(0, 61, 146*0.9), energy(365, 1465, 2640*0.7)}, o)
	if long.ByWind || long.Corrected.Days != 61 || !(long.Promised.Standard < long.Corrected.Standard) || long.Answer != Below {
		t.Errorf("by wind %v, %s: %+v against %+v", long.ByWind, long.Answer, long.Promised, long.Corrected)
	}
	if short := Compare([]Reading{energy(0, 61, 146*0.9)}, o); !short.ByWind {
		t.Error("of the same days the corrected promise says more")
	}
}

// A reading that no machine could make is left out and told, not spread over the rest.
func TestMoreThanPossible(t *testing.T) {
	o := Options{Promise: Promise{YearKWh: 3650}, MaxW: 1000}
	c := Compare([]Reading{energy(0, 30, 300), energy(30, 60, 300000), energy(60, 100, 400)}, o)
	near(t, "days that count", c.Promised.Days, 70, 1e-12)
	if c.Periods[1].LeftOut != "more_than_possible" || len(c.Warnings) != 1 || len(c.Months) != 2 {
		t.Errorf("%+v\n%+v", c.Periods[1], c.Warnings)
	}
}

func TestAnswers(t *testing.T) {
	o := Options{Promise: Promise{YearKWh: 3650}, Doubts: Doubts{PowerCurve: 0.05}}
	for _, c := range []struct {
		days, kwh float64
		want      Answer
		words     string
	}{
		{59, 590, TooEarly, "59 days"}, {400, 4000, Within, "Nothing speaks against"}, {400, 3500, Below, "less than that"}, {400, 4500, Above, "more than that"},
		{400, 0, Below, "0 %"},
	} {
		got := Compare([]Reading{meter(0, 0), meter(c.days, c.kwh)}, o)
		if got.Answer != c.want || !strings.Contains(got.Words(), c.words) {
			t.Errorf("%g kWh in %g days: %s, %s", c.kwh, c.days, got.Answer, got.Words())
		}
	}
	none := Compare([]Reading{meter(0, 0), meter(100, 5)}, Options{})
	if none.Answer != TooEarly || !strings.Contains(none.Words(), "promises nothing") {
		t.Errorf("%s, %s", none.Answer, none.Words())
	}
}

func BenchmarkCompareYearByTheHour(b *testing.B) {
	m := hourly(10*8760, func(i int) float64 { return float64(i % 977) })
	w := windiness(b, m)
	var all []Reading
	for i := range 8760 {
		all = append(all, Reading{AtUnix: t0 + int64(i)*3600, Meter: true, KWh: float64(i)})
	}
	o := Options{Promise: Promise{YearKWh: 3650, MonthKWh: make([]float64, 12)}, Wind: w, MaxW: 5000}
	b.ReportAllocs()
	for b.Loop() {
		Compare(all, o)
	}
}

func BenchmarkWindinessTenYears(b *testing.B) {
	m := hourly(10*8760, func(i int) float64 { return float64(i % 977) })
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NewWindiness(m); err != nil {
			b.Fatal(err)
		}
	}
}

// What season there is of months that nobody knows is in doubt by how many they are: half a year of them hides it whole. A promise by month
// knows the seasons, whatever the record has.
func TestSeasonsNobodyKnows(t *testing.T) {
	for lacking, want := range map[int]float64{0: 0, 1: 0.05, 3: 0.15, 6: 0.3, 8: 0.3} {
		m := hourly(3*365*24, func(i int) float64 {
			if month := i / 24 % 365 * 12 / 365; month >= 12-lacking {
				return nan
			}
			return 100
		})
		w := windiness(t, m)
		season := func(months []float64) float64 {
			c := Compare([]Reading{energy(0, 30, 70)}, Options{Promise: Promise{YearKWh: 876, MonthKWh: months}, Wind: w})
			for _, p := range c.Corrected.Parts {
				if p.Name == "season" {
					return p.Standard
				}
			}
			return 0
		}
		if w.Lacking() != lacking {
			t.Errorf("%d months lacking, not %d", w.Lacking(), lacking)
		}
		near(t, "season", season(nil), want, 1e-12)
		near(t, "season of a promise by month", season(flat(73)), 0, 0)
	}
}
