package assess

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"sync/atomic"
	"testing"

	"mastworth/resource"
	"mastworth/resource/terrain"
	"mastworth/yield"
	"mastworth/yield/bins"
	"mastworth/yield/drive"
	"mastworth/yield/machine"
	"mastworth/yield/rotor"
)

// boards is an invented machine: six bent boards and a geared motor that charges 24 V. Nothing is said of its rating.
func boards(t testing.TB) Request {
	t.Helper()
	section, err := rotor.CurvedPlate(0.06)
	if err != nil {
		t.Fatal(err)
	}
	ro := rotor.Board(2.2, 0.3, 6, 0.14, 0.14, 18)
	ro.Section = section
	r := garden()
	r.Turbine = Turbine{Name: "six boards", RatedPowerW: nan, Regulation: yield.Unregulated, CurveDensity: nan, Design: &Design{Design: machine.Design{
		Rotor: ro, Gear: drive.Gear{GeneratorPerRotor: 8, Efficiency: 0.95, DragNm: 0.2},
		Generator: drive.Generator{ConstantVsPerRad: 0.34, ResistanceOhm: 0.6, IronTorqueNm: 0.06, CoggingNm: 0.1, RatedCurrentA: 20},
		Load:      drive.Battery{VoltsV: 26, DiodeDropV: 1.4},
	}}}
	r.Losses = yield.Losses{Availability: 0.05, Wiring: nan, Conversion: nan, Other: 0.03}
	return r
}

func warningOf(t testing.TB, list []Warning, code string) string {
	t.Helper()
	for _, w := range list {
		if w.Code == code {
			return w.Detail
		}
	}
	t.Fatalf("%s is not among %v", code, list)
	return ""
}

// A design is judged by its own warnings, never by slips of a unit in a rating that nobody gave: one that makes nothing is an answer.
func TestDesignsThatMakeLittleAreAnswered(t *testing.T) {
	for name, x := range map[string]struct {
		change func(*Design)
		code   string
		energy bool
	}{
		"never charges":         {func(d *Design) { d.Load = drive.Battery{VoltsV: 1400} }, "never_charges", false},
		"no load":               {func(d *Design) { d.Load = drive.NoLoad{} }, "delivers_nothing", false},
		"braked":                {func(d *Design) { d.Load = drive.ShortCircuit{} }, "brake", false},
		"above its rating":      {func(d *Design) { d.Generator.RatedCurrentA = 0.01 }, "over_current", true},
		"strangled by its wire": {func(d *Design) { d.Wire = drive.Wire{LengthM: 3000, AreaMM2: 0.1, TemperatureC: 20} }, "wire_loss", true},
	} {
		r := boards(t)
		x.change(r.Turbine.Design)
		e, err := Run(r)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		warningOf(t, e.Warnings, x.code)
		energy := e.Heights[0].Energy
		if x.energy {
			if !(energy.NetKWh > 0) || !(energy.CapacityFactor > 0) {
				t.Errorf("%s: %+v", name, energy)
			}
			continue
		}
		if energy.NetKWh != 0 || !math.IsNaN(energy.CapacityFactor) || !math.IsNaN(e.Request.Turbine.RatedPowerW) {
			t.Errorf("%s: %+v, rated %g", name, energy, e.Request.Turbine.RatedPowerW)
		}
		if e.Verdict.Answer != NotWorthIt || e.Verdict.Reasons[0].Code != "no_energy" {
			t.Errorf("%s: %+v", name, e.Verdict)
		}
	}
	r := boards(t)
	r.Turbine.RatedPowerW, r.Turbine.Design.Rotor = 200, rotor.Board(6, 0.3, 6, 0.14, 0.14, 18)
	r.Turbine.Design.Rotor.Section = rotor.FlatPlate()
	if err := Check(r); err != nil {
		t.Error("a modest rating of a large design, before it is worked out:", err)
	}
	r.Turbine.RatedPowerW = -3
	if err := Check(r); !faultAt(err, "turbine.rated_power_w") {
		t.Error(err)
	}
}

// What only solving a design shows is told at the field it is in.
func TestFaultOfASolvedDesign(t *testing.T) {
	r := boards(t)
	r.Turbine.Design.Furling = drive.Furling{PowerLimitW: 400, FullMS: 5}
	if _, err := Run(r); !faultAt(err, "turbine.design.furling.full_m_s") {
		t.Error(err)
	}
}

// A rating that nobody gave is told as such.
func TestRatingThatNobodyGave(t *testing.T) {
	r := garden()
	r.Turbine.RatedPowerW = nan
	r.Turbine.CurvePoints = []yield.Point{{SpeedMS: 2.5}, {SpeedMS: 5, PowerW: 110}, {SpeedMS: 7, PowerW: 150}, {SpeedMS: 25, PowerW: 150}}
	if words := warningOf(t, mustRun(t, r).Warnings, "capacity_factor_high"); !strings.Contains(words, "no rating is given: 150 W is taken because it is the "+
		"highest power of the curve") {
		t.Error(words)
	}
	r.Turbine.RatedPowerW = 100
	if words := warningOf(t, mustRun(t, r).Warnings, "capacity_factor_high"); strings.Contains(words, "no rating") {
		t.Error(words)
	}
	d := boards(t)
	d.Turbine.Design.Generator.RatedCurrentA = 6
	if words := warningOf(t, mustRun(t, d).Warnings, "curve_above_rated"); !strings.Contains(words, "no rating is given") {
		t.Error(words)
	}
}

// machineLog is an invented log of a machine at work: a cubic curve in a Rayleigh wind, a value a minute; with lulls in which the
// rotor still turns.
func machineLog(hours int, elevationM float64) *resource.Series {
	rng := rand.New(rand.NewPCG(3, 3))
	s := &resource.Series{StepS: 60, SourceFormat: "csv"}
	if elevationM == elevationM {
		s.Place = &resource.Place{ElevationM: elevationM}
	}
	wind, power := resource.Channel{Name: "wind", Quantity: resource.Speed, HeightM: 12}, resource.Channel{Name: "power", Quantity: resource.Power, HeightM: nan}
	v := 6.0
	for m := range hours * 60 {
		v = math.Max(0.3, v+0.02*(6.5-v)+0.35*rng.NormFloat64())
		at, p := v, math.Min(800, 1.6*math.Max(0, v*v*v-20))*(1+0.05*rng.NormFloat64())
		if m%500 == 7 {
			at, p = 0.02, 30
		}
		s.Times = append(s.Times, 1_700_000_040+60*int64(m))
		wind.Values, power.Values = append(wind.Values, at), append(power.Values, math.Max(0, p))
	}
	s.Channels = []resource.Channel{wind, power}
	return s
}

func fewMinutes(s *resource.Series, n int) *resource.Series {
	s.Times = s.Times[:n]
	for i := range s.Channels {
		s.Channels[i].Values = s.Channels[i].Values[:n]
	}
	return s
}

func logged(s *resource.Series) Request {
	r := garden()
	r.Turbine = Turbine{Name: "logged", RotorDiameterM: 2.6, RatedPowerW: nan, Regulation: yield.Unregulated, CurveDensity: nan,
		TestLog: &TestLog{Record: &Record{Ref: "log", Series: s, HeightM: nan}, Options: bins.Options{ElevationM: nan}}}
	return r
}

// In a lull the rotor still turns: the limit of Betz is looked at by the method of bins, from 4 m/s up, and by nobody else.
func TestLullsInALog(t *testing.T) {
	e := mustRun(t, logged(machineLog(200, nan)))
	if p := e.Machine.Curve[0]; !(p.SpeedMS < 1 && p.PowerW > 0.593*0.5*1.225*areaOf(2.6)*math.Pow(p.SpeedMS, 3)) {
		t.Fatalf("the log shows no lull: %+v", p)
	}
	if e.Machine.Weak != nil || says(&e, "curve_is_a_sketch") || says(&e, "power_coefficient_high") || says(&e, "curve_coarse") {
		t.Errorf("%+v %v", e.Machine.Weak, e.Warnings)
	}
	r := garden()
	r.Turbine.CurvePoints[0] = yield.Point{SpeedMS: 0.02, PowerW: 30}
	if _, err := Run(r); !faultAt(err, "turbine.power_curve.points") {
		t.Error("a table beyond Betz is taken", err)
	}
}

// A sketch of minutes is an answer with a reason why no verdict may rest on it; a log without power is one too.
func TestSketchOfACurve(t *testing.T) {
	e := mustRun(t, logged(fewMinutes(machineLog(1, nan), 20)))
	if w := e.Machine.Weak; w == nil || w.Code != "curve_is_a_sketch" {
		t.Errorf("%+v", w)
	}
	if v := e.Verdict; v.Answer != CannotSay || v.Reasons[0].Code != SketchCode {
		t.Errorf("%+v", v)
	}
	warningOf(t, e.Warnings, SketchCode)
	if e = mustRun(t, logged(machineLog(20, nan))); e.Machine.Weak != nil || !says(&e, "curve_incomplete") {
		t.Errorf("twenty hours: %+v %v", e.Machine.Weak, e.Warnings)
	}
	still := machineLog(200, nan)
	for i := range still.Channels[1].Values {
		still.Channels[1].Values[i] = 0
	}
	if e = mustRun(t, logged(still)); e.Heights[0].Energy.NetKWh != 0 || !math.IsNaN(e.Heights[0].Energy.CapacityFactor) {
		t.Errorf("%+v", e.Heights[0].Energy)
	}
}

// The air of a log comes from the elevation it was taken at: its own, that of its place, or that of the site, in this order.
// 0.9570 kg/m³ at 2500 m (U.S. Standard Atmosphere 1976, table I), from memory to four digits.
func TestElevationOfALog(t *testing.T) {
	for _, x := range []struct {
		name               string
		own, place, site   float64
		density, tolerance float64
		words              string
	}{
		{"the log's own", 2500, 0, 0, 0.9570, 1e-4, "test_log.elevation_m"},
		{"of its place", nan, 2500, 0, 0.9570, 1e-4, "the log's own place"},
		{"of the site", nan, nan, 2500, 0.9570, 1e-4, "the site"},
		{"nowhere told", nan, nan, nan, 1.225, 1e-4, ""},
	} {
		r := logged(machineLog(100, x.place))
		r.Turbine.TestLog.Options.ElevationM, r.Site.ElevationM = x.own, x.site
		e := mustRun(t, r)
		near(t, x.name, e.Machine.Measured.MeanDensity, x.density, x.tolerance)
		told := ""
		for _, p := range e.Provenance {
			if p.What == "turbine.test_log" {
				told = p.Method
			}
		}
		if x.words != "" && !strings.Contains(told, x.words) || x.words == "" && strings.Contains(told, "standard atmosphere at") {
			t.Errorf("%s: %q", x.name, told)
		}
	}
}

// At 2500 m a design is worked out in the air there, so that its headline and a sweep of the design itself agree but for the
// coefficients that a sweep shares; and the sweep's own way of weighing is that of the estimate.
func TestDesignInThinAir(t *testing.T) {
	r := boards(t)
	r.Site.ElevationM = 2500
	r.Turbine.Design.Sweep = &drive.Sweep{}
	e := mustRun(t, r)
	near(t, "air of the curve", e.Machine.Design.AirDensityKgM3, e.Heights[0].Wind.AirDensityKgM3, 1e-12)
	near(t, "sweep beside headline", e.Machine.Matching[0].AnnualKWh, e.Heights[max(best(e.Heights), 0)].Energy.GrossKWh, 0.02)
	sea, err := machine.Solve(r.Turbine.Design.Design, DefaultCurveDensity)
	if err != nil {
		t.Fatal(err)
	}
	if own, scaled := e.Machine.Design.Result.CutInMS, sea.Result.CutInMS; !(own > scaled) {
		t.Errorf("in thin air it charges from %g m/s, at sea level from %g", own, scaled)
	}
	if turbine, _, _, err := CurveOf(boards(t).Turbine); err != nil || turbine.CurveDensity != DefaultCurveDensity {
		t.Error("without a site a design stands for sea level", turbine.CurveDensity, err)
	}
}

// Wire and converter are paid once, and what is filled in for them says so.
func TestWireIsPaidOnce(t *testing.T) {
	r := boards(t)
	r.Turbine.Design.Wire = drive.Wire{LengthM: 30, AWG: "8", TemperatureC: 20}
	e := mustRun(t, r)
	told := false
	for _, p := range e.Provenance {
		told = told || p.What == "losses.wiring" && strings.Contains(p.Method, "0: the design's wire has it")
	}
	if e.Request.Losses.Wiring != 0 || !told || says(&e, "wiring_twice") {
		t.Errorf("%g %v", e.Request.Losses.Wiring, e.Provenance)
	}
	r.Losses.Wiring = 0.03
	if e = mustRun(t, r); e.Request.Losses.Wiring != 0.03 {
		t.Error(e.Request.Losses.Wiring)
	}
	warningOf(t, e.Warnings, "wiring_twice")
	r.Turbine.Design.Load, r.Losses.Conversion = drive.Tracking{Efficiency: 0.9}, 0.06
	warningOf(t, mustRun(t, r).Warnings, "conversion_twice")
}

// How much of the headline is made above the winding's rating is told for the site's own wind.
func TestOverRatingShareOfTheSite(t *testing.T) {
	r := boards(t)
	r.Turbine.Design.Generator.RatedCurrentA = 4
	e := mustRun(t, r)
	share := e.Machine.OverRatingShare
	if !(share > 0 && share < 1) {
		t.Fatal(share)
	}
	words := warningOf(t, e.Warnings, "over_current")
	if !strings.Contains(words, fmt.Sprintf("At this site, %g m up, it is %.0f %%", e.BestHubHeightM, 100*share)) {
		t.Error(words)
	}
	r.Wind.Weibull = &Weibull{ScaleMS: 8, Shape: 2, HeightM: 10}
	if more := mustRun(t, r).Machine.OverRatingShare; more <= share {
		t.Errorf("more wind makes %g of it above the rating, less %g", more, share)
	}
}

// minutes is invented wind of a year, a value a minute.
func minutes(n int) *resource.Series {
	rng := rand.New(rand.NewPCG(5, 5))
	s := &resource.Series{StepS: 60, SourceFormat: "csv", Channels: []resource.Channel{{Name: "v", Quantity: resource.Speed, HeightM: 10}}}
	v := 5.0
	for i := range n {
		v = math.Max(0, v+0.01*(5-v)+0.3*rng.NormFloat64())
		s.Times = append(s.Times, 1_700_000_040+60*int64(i))
		s.Channels[0].Values = append(s.Channels[0].Values, v)
	}
	return s
}

func sweepOf200() *drive.Sweep {
	s := &drive.Sweep{BatteryVoltsV: []float64{12.6, 26}}
	for i := range 20 {
		s.GearRatios = append(s.GearRatios, 1+float64(i))
	}
	for i := range 5 {
		s.TurnsRatios = append(s.TurnsRatios, 0.5*float64(i+1))
	}
	return s
}

// A sweep stops where nobody wants its answer any more, and weighs a record's wind as the estimate does.
func TestSweepOverARecord(t *testing.T) {
	r := boards(t)
	r.Wind = Wind{Record: &Record{Ref: "minutes", Series: minutes(40000), HeightM: nan}}
	r.Turbine.Design.Sweep = &drive.Sweep{}
	e := mustRun(t, r)
	near(t, "sweep beside headline", e.Machine.Matching[0].AnnualKWh, e.Heights[max(best(e.Heights), 0)].Energy.GrossKWh, 0.02)
	r.Turbine.Design.Sweep = sweepOf200()
	var asked atomic.Int32
	r.Stop = func() bool { return asked.Add(1) > 10 }
	if _, err := Run(r); !errors.Is(err, ErrStopped) {
		t.Error(err)
	}
}

// 200 combinations over a year of minutes, the rest of the estimate apart: the promise is 0.3 s.
func BenchmarkSweepYearOfMinutes(b *testing.B) {
	r := boards(b)
	r.Wind = Wind{Record: &Record{Ref: "minutes", Series: minutes(525600), HeightM: nan}}
	r.Turbine.Design.Sweep = sweepOf200()
	made, _, err := curveOf(&r, true)
	if err != nil {
		b.Fatal(err)
	}
	complete(&r)
	curve, err := validate(&r)
	if err != nil {
		b.Fatal(err)
	}
	a := assessment{r: r, curve: curve, machine: made, groundGiven: true}
	if err := a.prepare(); err != nil {
		b.Fatal(err)
	}
	heights, err := a.sweep()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		a.hubs[0].power.(*moved).piled = nil
		if err := a.tryOthers(heights); err != nil || len(a.machine.Matching) != 200 {
			b.Fatal(err)
		}
	}
}

// A kept curve brings what was said of it when it was made: its warnings, where it is from, and that it is a sketch.
func TestKeptCurve(t *testing.T) {
	r := garden()
	r.Turbine.CurvePoints[0] = yield.Point{SpeedMS: 0.02, PowerW: 30} // a log's lull
	r.Turbine.Kept = &KeptCurve{ID: "abc", Origin: FromTestLog, Sketch: true, Warnings: []Warning{{Code: "curve_is_a_sketch", Detail: "short"}, {Code: "air_assumed", Detail: "no air"}},
		Provenance: []Provenance{{"turbine.test_log", "method of bins, 60 s averages", "IEC 61400-12-1"}}}
	e := mustRun(t, r)
	if warningOf(t, e.Warnings, "air_assumed") != "no air" || e.Verdict.Answer != CannotSay {
		t.Errorf("%v %+v", e.Warnings, e.Verdict)
	}
	var told []string
	for _, p := range e.Provenance {
		told = append(told, p.What)
	}
	if all := strings.Join(told, " "); !strings.Contains(all, "turbine.curve") || !strings.Contains(all, "turbine.test_log") {
		t.Error(all)
	}
	a := assessment{r: r}
	if w := a.curveTooWeak(); w == nil || w.Code != "curve_is_a_sketch" {
		t.Errorf("%+v", w)
	}
	r.Turbine.Kept.Sketch = false
	if w := (&assessment{r: r}).curveTooWeak(); w != nil {
		t.Errorf("%+v", w)
	}
}

// A hill's gain is in the class and in the warnings of the strongest wind, and a mast's shadow is filled as it is for the estimate.
func TestStrongestWindOnAHill(t *testing.T) {
	s := years(2008, 9, 1.9, 0.1, 7, 10)
	r := at10m(s)
	r.Towers = []Tower{{HubHeightM: 12, Cost: 1}}
	flat := mustRun(t, r).ExtremeWind
	r.Site.Relief = []terrain.Relief{{Shape: terrain.Hill, HeightM: 100, HalfLengthM: 200, FromDeg: nan, ToDeg: nan}}
	r.Wind.MeasuredOver = &Ground{RoughnessM: 0.1, DisplacementM: 0}
	e := mustRun(t, r)
	hill := e.ExtremeWind
	if flat == nil || hill == nil || flat.HillFactor != 1 || !(hill.HillFactor > 1.2) {
		t.Fatalf("%+v %+v", flat, hill)
	}
	near(t, "gust", hill.Gust50MS, flat.Gust50MS*hill.HillFactor, 1e-9)
	near(t, "upper end", hill.Gust50HighMS, flat.Gust50HighMS*hill.HillFactor, 1e-9)
	if hill.Class != "" || !says(&e, "extreme_beyond_classes") {
		t.Errorf("%+v", hill)
	}
	two := years(2008, 9, 1, 0.05, 7, 10, 10)
	storm := 0
	for i, v := range two.Channels[0].Values {
		if v > two.Channels[0].Values[storm] {
			storm = i
		}
	}
	two.Channels[0].Values[storm], two.Channels[1].Values[storm] = 30, 30
	whole := mustRun(t, at10m(two)).ExtremeWind
	two.Channels[0].Flags = make([]resource.Flag, len(two.Times))
	two.Channels[0].Flags[storm] = resource.FlagShadow
	two.Channels[1].Flags = make([]resource.Flag, len(two.Times)) // so that the first stays the fuller one
	for i := range 100 {
		two.Channels[1].Flags[1000+i] = resource.FlagIcing
	}
	if got := mustRun(t, at10m(two)).ExtremeWind; math.Abs(got.Largest.SpeedMS-whole.Largest.SpeedMS) > 0.1 {
		t.Errorf("the storm in the mast's shadow: %g m/s, %g without the shadow", got.Largest.SpeedMS, whole.Largest.SpeedMS)
	}
}
