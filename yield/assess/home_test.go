package assess

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/paulmach/orb"

	"mastworth/resource"
	"mastworth/yield"
	"mastworth/yield/household"
)

// flatLoad is a home that draws the same in all hours.
func flatLoad() string {
	var b strings.Builder
	b.WriteString("hour,weight\n")
	for h := range 24 {
		fmt.Fprintf(&b, "%d,1\n", h)
	}
	return b.String()
}

// rounds is a made-up record at 10 m from the beginning of a year on, whose wind goes 8, 6, 4, 2 m/s from hour to hour, round and
// round, under half the sun that there is outside the air (declination by Cooper 1969).
func rounds(year, days int, stepS int64) *resource.Series {
	s := &resource.Series{StepS: stepS, Place: &resource.Place{Point: orb.Point{0, 40}, ElevationM: 0}, SourceFormat: "test"}
	n := days * int(86400/stepS)
	speed := resource.Channel{Name: "speed", Quantity: resource.Speed, HeightM: 10, Values: make([]float64, n)}
	sun := resource.Channel{Name: "sun", Quantity: resource.GlobalHorizontal, HeightM: nan, Values: make([]float64, n)}
	s.Times = make([]int64, n)
	start := time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC).Unix()
	const rad = math.Pi / 180
	for i := range n {
		second := int64(i) * stepS
		s.Times[i] = start + second
		speed.Values[i] = float64(8 - 2*(second/3600%4))
		hour := (float64(second%86400) + float64(stepS)/2) / 3600
		declination := 23.45 * rad * math.Sin(2*math.Pi*(285+float64(second/86400))/365)
		height := math.Sin(40*rad)*math.Sin(declination) + math.Cos(40*rad)*math.Cos(declination)*math.Cos(15*rad*(hour-12))
		sun.Values[i] = max(0, 0.5*1361*height)
	}
	s.Channels = []resource.Channel{speed, sun}
	return s
}

// atHome is the garden where that record was measured, at the sensor's height in the curve's air, with a home that draws 200 W.
func atHome(s *resource.Series, b household.Battery) Request {
	r := garden()
	here := true
	r.Wind = Wind{Record: &Record{Ref: "rounds", Series: s, HeightM: nan}, MeasuredHere: &here}
	r.Shear = Shear{Method: ShearPower, Exponent: 0}
	r.Site.LatitudeDeg, r.Site.LongitudeDeg, r.Site.ElevationM = 40, 0, -10
	r.Site.Ground = Ground{RoughnessM: 0.1, DisplacementM: 0}
	r.Towers = []Tower{{HubHeightM: 10, Cost: 650}}
	r.Money.FeedInPerKWh = 0.08
	r.Household = &Household{YearlyKWh: 1752, LoadCSV: flatLoad(), Battery: b, BatteryCost: nan}
	r.Uncertainty = UnknownUncertainty()
	r.Uncertainty.Draws = NoDraws
	return r
}

// The curve makes 440, 190, 45 and 0 W of 8, 6, 4 and 2 m/s. Beside a steady draw of 200 W, by hand, in W of each round of four hours:
//
//	made     440  190   45    0    675
//	used     200  190   45    0    435
//	over     240    0    0    0    240
//	missing    0   10  155  200    365
//
// A battery that gives back four fifths of the 240 W over has 192 W for the 365 missing; one without loss has 240. A year has 2190
// rounds. The energy balance is the source.
func TestHomeByHand(t *testing.T) {
	const rounded = 2190.0 / 1000 // kWh a year of a W a round
	for name, c := range map[string]struct {
		battery                        household.Battery
		used, unmet, spilled, lost, in float64
	}{
		"no battery": {household.Battery{}, 435, 365, 240, 0, 0},
		"lossy":      {household.Battery{CapacityKWh: 1, PowerKW: 1, Efficiency: 0.8}, 627, 173, 0, 48, 240},
		"lossless":   {household.Battery{CapacityKWh: 1, PowerKW: 1, Efficiency: 1}, 675, 125, 0, 0, 240},
		"too small":  {household.Battery{CapacityKWh: 0.08, PowerKW: 1, Efficiency: 0.8}, 515, 285, 140, 20, 100},
		"too weak":   {household.Battery{CapacityKWh: 1, PowerKW: 0.1, Efficiency: 1}, 535, 265, 140, 0, 100},
	} {
		e := mustRun(t, atHome(rounds(2023, 365, 3600), c.battery))
		h := e.Decision.Split.Home
		if h == nil {
			t.Fatalf("%s: no home; %v", name, e.Warnings)
		}
		w := &h.Wind
		near(t, name+", air", e.Heights[0].Wind.AirDensityKgM3, 1.225, 1e-4)
		thin := e.Heights[0].Wind.AirDensityKgM3 / 1.225 // the table is for the curve's air
		tol := 1e-9 + 10*math.Abs(thin-1)
		near(t, name+", net", e.Heights[0].Energy.NetKWh, 675*rounded, tol)
		near(t, name+", made", w.WindKWh, 675*rounded, tol)
		near(t, name+", load", w.LoadKWh, 800*rounded, 1e-9)
		near(t, name+", used", w.WindUsedKWh, c.used*rounded, tol)
		near(t, name+", unmet", w.UnmetKWh, c.unmet*rounded, tol)
		near(t, name+", spilled", w.SpilledKWh, c.spilled*rounded, tol)
		near(t, name+", lost", w.LossKWh, c.lost*rounded, tol)
		near(t, name+", into the battery", w.ChargedKWh, c.in*rounded, tol)
		near(t, name+", share", e.Request.Money.SelfUsedShare, c.used/675, tol)
		near(t, name+", worth", e.Heights[0].Cost.NPV, (675*rounded*(0.28*c.used+0.08*(675-c.used))/675-80)/0.073582-2950, 1e-4) // (A/P, 4 %, 20), tables
		if h.Steps != 8760 || h.StepS != 3600 {
			t.Errorf("%s: %d steps of %d s", name, h.Steps, h.StepS)
		}
	}
}

// balance fails unless all that is made goes somewhere and all that is drawn comes from somewhere.
func balance(t *testing.T, what string, r *household.Result) {
	t.Helper()
	made := r.WindKWh + r.SolarKWh
	gone := r.WindUsedKWh + r.SolarUsedKWh + r.StartUsedKWh + r.SpilledKWh + r.LossKWh + r.EndKWh - r.StartKWh
	near(t, what+": made and gone", gone, made, 1e-9)
	near(t, what+": the battery", r.ChargedKWh-r.LossKWh-r.DischargedKWh, r.EndKWh-r.StartKWh, 1e-9*(1+r.ChargedKWh))
	near(t, what+": load", r.WindUsedKWh+r.SolarUsedKWh+r.StartUsedKWh+r.UnmetKWh, r.LoadKWh, 1e-9)
	sum := 0.0
	for m := range r.Months {
		sum += r.Months[m].LoadKWh
	}
	near(t, what+": months", sum, r.LoadKWh, 1e-9)
}

// aRealYear is a request with the hourly typical year of an airport (US government open data), measured over the site's own ground at
// the hub's height, so that nothing is moved.
func aRealYear(t testing.TB, b household.Battery) Request {
	r := at10m(openData(t, "epw", "USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw"))
	r.Wind.MeasuredOver = &Ground{RoughnessM: 0.1, DisplacementM: 0}
	r.Household = &Household{YearlyKWh: 3500, Battery: b, BatteryCost: 2400, BatteryLifeYears: 12}
	r.Money.FeedInPerKWh = 0.09
	return r
}

// A real year, hour by hour: energy is conserved whatever lives there, the months are the estimate's, and the share used at home that
// the money counts with is the one found.
func TestHomeOfARealYear(t *testing.T) {
	r := aRealYear(t, household.Battery{CapacityKWh: 4, PowerKW: nan, Efficiency: nan})
	e := mustRun(t, r)
	home := e.Decision.Split.Home
	if home == nil || home.Mixed == nil {
		t.Fatalf("home %v; %v", home, e.Warnings)
	}
	b := best(e.Heights)
	h := &e.Heights[b]
	balance(t, "wind", &home.Wind)
	balance(t, "solar", &home.Solar)
	balance(t, "mixed", home.Mixed)
	for m := range home.Wind.Months {
		near(t, fmt.Sprint("wind of month ", m+1), home.Wind.Months[m].WindKWh, h.Energy.MonthlyKWh[m], 1e-9)
		near(t, fmt.Sprint("sun of month ", m+1), home.Solar.Months[m].SolarKWh, h.Solar.MonthlyKWh[m], 1e-9)
	}
	near(t, "wind", home.Wind.WindKWh, h.Energy.NetKWh, 1e-9)
	near(t, "sun", home.Solar.SolarKWh, h.Solar.AnnualKWh, 1e-9)
	near(t, "load", home.Wind.LoadKWh, 3500, 1e-9)
	share := e.Request.Money.SelfUsedShare
	if !(share > 0 && share < 1) {
		t.Errorf("a share of %g is used at home", share)
	}
	near(t, "share", share, home.Wind.SelfUsedShare(), 1e-12)
	near(t, "npv", e.Decision.Cash.NPV, h.Cost.NPV, 1e-9)
	near(t, "share of the table", e.Decision.Cash.Years[1].SelfUsedKWh, share*h.Energy.NetKWh, 1e-12)
	near(t, "battery a year", home.BatteryPerYear, 2400*0.106552, 2e-5) // (A/P, 4 %, 12), engineering-economics tables
	if says(&e, "self_used_share_differs") {
		t.Error("a share that was found differs from itself")
	}
	if again := mustRun(t, aRealYear(t, r.Household.Battery)); inFull(&e) != inFull(&again) {
		t.Error("the same request gave another answer")
	}
}

// inFull is everything the money says, NaN beside NaN.
func inFull(e *Estimate) string {
	s := e.Decision.Split
	home := *s.Home
	home.Mixed = nil // else its address
	return fmt.Sprintf("%+v\n%+v\n%+v\n%+v\n%+v\n%+v\n%+v\n%+v", s.SplitTable, s.AnySize, *s.Complement, home, *s.Home.Mixed, *e.Decision.Cash,
		e.Request.Money, e.Warnings)
}

// Without a battery each hour stands alone: the home uses the lesser of what is made and what is drawn. Summed here hour by hour over
// the file's own speeds, with the curve and nothing else of the estimate.
func TestHomeWithoutABatteryHourByHour(t *testing.T) {
	r := aRealYear(t, household.Battery{})
	r.Household.LoadCSV, r.Household.YearlyKWh = flatLoad(), 1752
	r.Towers = r.Towers[:1]
	e := mustRun(t, r)
	curve, err := yield.NewCurve(r.Turbine.CurvePoints, r.Turbine.CurveDensity)
	if err != nil {
		t.Fatal(err)
	}
	curve = curve.AtDensity(e.Heights[0].Wind.AirDensityKgM3, r.Turbine.Regulation)
	speed := &r.Wind.Record.Series.Channels[r.Wind.Record.Series.Find(resource.Speed, 10)]
	var made, used, unmet, hours float64
	for i, v := range speed.Values {
		if !speed.Usable(i) {
			continue
		}
		w := curve.Power(v)
		made, used, unmet, hours = made+w, used+min(w, 200), unmet+max(200-w, 0), hours+1
	}
	if hours != 8760 {
		t.Fatalf("%g hours of wind", hours)
	}
	home := &e.Decision.Split.Home.Wind
	near(t, "made", home.WindKWh, made/1000, 1e-9)
	near(t, "used", home.WindUsedKWh, used/1000, 1e-9)
	near(t, "unmet", home.UnmetKWh, unmet/1000, 1e-9)
	near(t, "spilled", home.SpilledKWh, (made-used)/1000, 1e-9)
	near(t, "share", e.Request.Money.SelfUsedShare, used/made, 1e-9)
}

// A record that is longer than is followed: shorter steps become hours, of many years whole ones are left out; the shares by hand stay.
func TestHomeAlongALongRecord(t *testing.T) {
	for name, c := range map[string]struct {
		series *resource.Series
		code   string
		steps  int
		tol    float64
	}{
		"two years of ten minutes": {rounds(2022, 730, 600), "household_averaged", 17_520, 1e-4},
		// Years of 365.25 days break the rounds, by an hour or two.
		"twelve years of hours": {rounds(2011, 4383, 3600), "household_thinned", 6 * 8766, 1e-3},
	} {
		if c.series.Len() <= mostSteps {
			t.Fatalf("%s: %d steps are no long record", name, c.series.Len())
		}
		e := mustRun(t, atHome(c.series, household.Battery{}))
		h := e.Decision.Split.Home
		if h == nil || h.Steps != c.steps || h.StepS != 3600 {
			t.Fatalf("%s: home %+v; %v", name, h, e.Warnings)
		}
		near(t, name+", share", e.Request.Money.SelfUsedShare, 435.0/675, c.tol)
		near(t, name+", unmet", h.Wind.UnmetShare(), 365.0/800, c.tol)
		y := h.Wind.Yearly()
		near(t, name+", made a year", y.WindKWh, 675*2.19, c.tol)
		near(t, name+", load a year", y.LoadKWh, 1752, c.tol)
		warningOf(t, e.Warnings, c.code)
	}
}

// A household that cannot be followed is said so, and is a fault where the tariff was left to it.
func TestHomeThatCannotBeFollowed(t *testing.T) {
	sunless, daily, summer, turns := rounds(2023, 365, 3600), rounds(2023, 365, 3600), rounds(2023, 365, 3600), rounds(2023, 365, 3600)
	for i := range 31 * 24 { // the wind of January's first half, the sun of its second
		turns.Channels[(i/(15*24+12))^1].Values[i] = nan
	}
	sunless.Channels = sunless.Channels[:1]
	daily.Kind, daily.StepS = resource.Daily, 86400
	for i := range daily.Times {
		daily.Times[i] = daily.Times[0] + int64(i)*86400
	}
	for i := range summer.Channels[0].Values {
		if resource.MonthOf(summer.Times[i], 0) == 0 {
			summer.Channels[0].Values[i] = nan
		}
	}
	for name, c := range map[string]struct {
		series *resource.Series // nil for a distribution
		says   string
	}{
		"a distribution": {nil, "as a distribution, not as a record"},
		"daily means":    {daily, "24 hours long"},
		"no sun":         {sunless, "no irradiance"},
		"no January":     {summer, "ten days of every month"},
		"in turns":       {turns, "known together"},
	} {
		ask := func(share float64) (Estimate, error) {
			r := atHome(c.series, household.Battery{})
			r.Money.SelfUsedShare = share
			if c.series == nil {
				r.Wind = garden().Wind
			}
			return Run(r)
		}
		e, err := ask(0.6)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if d := warningOf(t, e.Warnings, "household_needs_hours"); !strings.Contains(d, c.says) {
			t.Errorf("%s: %q does not say %q", name, d, c.says)
		}
		if e.Decision.Split == nil || e.Decision.Split.Home != nil {
			t.Errorf("%s: split %+v", name, e.Decision.Split)
		}
		_, err = ask(nan)
		if !faultAt(err, "money.self_used_share") {
			t.Errorf("%s: with the tariff left to the household: %v", name, err)
		} else if c.series != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %q does not say %q", name, err, c.says)
		}
	}
}

// A home that uses all that is made uses no more than that, however the sums round: some of these shares come to 1 + 2e-15.
func TestHomeThatUsesEverything(t *testing.T) {
	s := rounds(2023, 365, 3600)
	for kWh := 1500.0; kWh < 2500; kWh += 63.7 {
		r := atHome(s, household.Battery{CapacityKWh: 1.5, PowerKW: 1, Efficiency: 1})
		r.Household.YearlyKWh = kWh
		e := mustRun(t, r)
		share := e.Request.Money.SelfUsedShare
		near(t, "share", share, 1, 1e-9)
		if share > 1 {
			t.Errorf("a home of %g kWh uses %v of what is made", kWh, share)
		}
		near(t, "worth", e.Request.Money.worthPerKWh(), 0.28, 1e-9)
	}
}

// followedIn is a request on its way, as far as the household that is followed.
func followedIn(t *testing.T, r Request) (*assessment, []Height, *home) {
	t.Helper()
	complete(&r)
	curve, err := validate(&r)
	if err != nil {
		t.Fatal(err)
	}
	a := assessment{r: r, curve: curve, groundGiven: true}
	if err := a.prepare(); err != nil {
		t.Fatal(err)
	}
	heights, err := a.sweep()
	if err != nil {
		t.Fatal(err)
	}
	h, why := a.followed(heights)
	if h == nil {
		t.Fatal(why)
	}
	return &a, heights, h
}

// What a home is followed with has the months of the estimate, also where the record has gaps, its wind was brought to the long run of a
// reference without sun, or its sun to months that were given.
func TestMonthsOfWhatIsFollowed(t *testing.T) {
	gaps := rounds(2023, 365, 3600)
	for i := 1000; i < 1300; i++ {
		gaps.Channels[0].Values[i], gaps.Channels[1].Values[3*i] = nan, nan
	}
	longTerm := rounds(2013, 10*365+3, 3600)
	longTerm.Channels = longTerm.Channels[:1]
	for i := range longTerm.Channels[0].Values { // windier winters, and a better year now and then
		t := float64(longTerm.Times[i]) / (365.25 * 86_400)
		longTerm.Channels[0].Values[i] *= 1 + 0.1*math.Cos(2*math.Pi*t) + 0.05*math.Sin(t)
	}
	for name, r := range map[string]Request{
		"gaps": atHome(gaps, household.Battery{}), "long run": atHome(rounds(2022, 365, 3600), household.Battery{}),
		"given sun": atHome(rounds(2023, 365, 3600), household.Battery{}), "given year of sun": atHome(rounds(2023, 365, 3600), household.Battery{}),
	} {
		switch name {
		case "long run":
			r.Wind.LongTerm = &LongTerm{Reference: &Record{Ref: "reference", Series: longTerm, HeightM: nan}, MaxShiftS: nan}
		case "given sun":
			r.Solar.MonthlyIrradiationKWhM2 = []float64{60, 75, 110, 150, 190, 200, 210, 185, 140, 100, 65, 50}
		case "given year of sun":
			r.Solar.YieldKWhPerKW = 1100
		}
		r.Towers = []Tower{{10, 650}, {24, 2300}}
		r.Shear.Exponent = 0.2
		a, heights, h := followedIn(t, r)
		for i := range heights {
			for m, kWh := range household.MonthlyKWh(h.windW(a, &heights[i], i), h.months) {
				near(t, fmt.Sprintf("%s, wind of month %d at %g m", name, m+1, heights[i].HubHeightM), kWh, heights[i].Energy.MonthlyKWh[m], 1e-9)
			}
		}
		for k, l := range h.load { // wind alone and sun alone live through the same time
			if sun := h.sunW[k]; sun != sun && l == l {
				t.Fatalf("%s: step %d is lived through without its sun being known", name, k)
			}
		}
		year := 0.0
		for m, kWh := range household.MonthlyKWh(h.sunW, h.months) {
			year += kWh
			if want := a.sun.monthlyPerKW; want != nil && name != "gaps" { // a gap by day is filled by the sun that stands at that height
				near(t, fmt.Sprintf("%s, sun of month %d", name, m+1), kWh, want[m], 1e-9)
			}
		}
		near(t, name+", sun", year, a.sun.yield.KWhPerKW, map[bool]float64{true: 0.03, false: 1e-9}[name == "gaps"])
	}
}
