package assess

import (
	"errors"
	"math"
	"testing"

	"mastworth/resource"
)

// says reports whether an estimate warns by a code, for the whole or at any height.
func says(e *Estimate, code string) bool {
	all := append([]Warning(nil), e.Warnings...)
	for _, h := range e.Heights {
		all = append(all, h.Warnings...)
	}
	for _, w := range all {
		if w.Code == code {
			return true
		}
	}
	return false
}

// The measuring mast's ground counts where the wind was measured, the site's at the hub, for the power law too.
func TestPowerLawOverOtherGround(t *testing.T) {
	r := garden()
	r.Wind = Wind{Mean: &Mean{SpeedMS: 4.9, HeightM: 10, Shape: 2}, MeasuredOver: &Ground{RoughnessM: 0.03, DisplacementM: 0}}
	r.Site.Ground = Ground{RoughnessM: 0.5, DisplacementM: 11}
	r.Shear = Shear{Method: ShearPower, Exponent: 0.3}
	r.Towers = []Tower{{HubHeightM: 18, Cost: 1}}
	e := mustRun(t, r)
	near(t, "factor", e.Heights[0].Wind.HeightFactor, math.Pow(7.0/10, 0.3), 1e-12)
	if !says(&e, "exposure_ignored") {
		t.Error("nothing is said of the ground that is not used")
	}
}

// A few windy days at the height of the hub do not outweigh a year lower down.
func TestShortUpperSensor(t *testing.T) {
	s := invented(11, 366*24)
	upper := resource.Channel{Name: "upper", Quantity: resource.Speed, HeightM: 18, Values: make([]float64, s.Len())}
	for i := range upper.Values {
		upper.Values[i] = nan
		if i < 240 {
			upper.Values[i] = 12 + s.Channels[0].Values[i]/10
		}
	}
	s.Channels = append(s.Channels, upper)
	r := at10m(s)
	r.Shear.Method = ShearLog
	if v := mustRun(t, r).Heights[1].Wind.MeanSpeedMS; v > 6 {
		t.Errorf("ten days made the year's mean %g m/s", v)
	}
}

// Of two sensors at one height the dead one does not stand in the way.
func TestDeadTwin(t *testing.T) {
	s := invented(12, 366*24)
	dead := resource.Channel{Name: "dead", Quantity: resource.Speed, HeightM: 10, Values: make([]float64, s.Len())}
	s.Channels = append([]resource.Channel{dead}, s.Channels...)
	r := at10m(s)
	r.Shear.Method = ShearLog
	near(t, "mean", mustRun(t, r).Heights[0].Wind.MeanSpeedMS, 5*math.Gamma(1.5), 0.02)
}

// A month that is missing is taken to be like the others, each month counting once however often it was measured; and that
// is said.
func TestMissingMonth(t *testing.T) {
	s := invented(13, 2*366*24)
	for i := range s.Times {
		month := resource.MonthOf(s.Times[i], 0)
		v := 8.0
		if month >= 3 && month < 9 {
			v = 4
			if i > 366*24 || month == 5 { // summer once, and without its June
				v = nan
			}
		}
		s.Channels[0].Values[i] *= v / 5
	}
	e := mustRun(t, at10m(s))
	near(t, "mean", e.Heights[0].Wind.MeanSpeedMS, (182*8+153*4)/335.0*math.Gamma(1.5), 0.02)
	if !says(&e, "months_missing") || e.Heights[0].Energy.MonthlyKWh != nil {
		t.Error("the missing month is not told of")
	}
}

// A sensor in knots read as metres a second makes a shear that no air has.
func TestUnbelievableShear(t *testing.T) {
	s := invented(14, 366*24)
	upper := resource.Channel{Name: "upper", Quantity: resource.Speed, HeightM: 20}
	for _, v := range s.Channels[0].Values {
		upper.Values = append(upper.Values, v*math.Pow(2, 0.2)*1.944)
	}
	s.Channels = append(s.Channels, upper)
	e := mustRun(t, at10m(s))
	if !says(&e, "shear_unused") {
		t.Error("auto followed it without a word")
	}
	r := at10m(s)
	r.Shear.Method = ShearMeasured
	var inv *InvalidError
	if _, err := Run(r); !errors.As(err, &inv) || inv.Fields[0].Location != "shear.method" {
		t.Errorf("measured: %v", err)
	}
}

// A record without a vane still has its nights and days apart.
func TestShearWithoutVane(t *testing.T) {
	with := invented(15, 366*24)
	upper := resource.Channel{Name: "upper", Quantity: resource.Speed, HeightM: 20}
	for i, v := range with.Channels[0].Values {
		exponent := 0.4
		if resource.IsDay(with.Times[i], 0) {
			exponent = 0.1
		}
		upper.Values = append(upper.Values, v*math.Pow(2, exponent))
	}
	with.Channels = append(with.Channels, upper)
	without := *with
	without.Channels = []resource.Channel{with.Channels[0], upper}
	a, b := mustRun(t, at10m(with)).Heights[1], mustRun(t, at10m(&without)).Heights[1]
	near(t, "energy", b.Energy.GrossKWh, a.Energy.GrossKWh, 0.01)
}

// Without odds a comparison goes by the margin, with them by the odds; the words tell both costs apart as they are.
func TestComparisons(t *testing.T) {
	thresholds := DefaultUncertainty.Verdict
	for _, c := range []struct {
		wind, other, odds float64
		code, words       string
	}{
		{1.16, 1, nan, "cheaper", "wind's kWh costs 16 % more"}, {1.14, 1, nan, "close", "wind's kWh costs 14 % more"},
		{1.02, 1, nan, "close", "about the same as wind's"}, {3.21, 1, nan, "cheaper", "wind's kWh costs 3.2 times that"},
		{0.86, 1, nan, "close", "wind's kWh costs 14 % less"}, {0.84, 1, nan, "dearer", "wind's kWh costs 16 % less"},
		{1, 0, nan, "cheaper", "nothing can be cheaper"},
		{1.3, 1, 0.4, "close", "wind's kWh costs 30 % more, and the chance that it comes out cheaper is 40 %"},
		{1.3, 1, 0.001, "cheaper", "wind's kWh costs 30 % more, and the chance that it comes out cheaper is less than 1 %"},
		{0.97, 1, 0.75, "dearer", "about the same as wind's, and the chance that it comes out cheaper is 75 %"},
	} {
		h := Height{Cost: Cost{PerKWh: c.wind}}
		if c.odds == c.odds {
			h.Odds = new(HeightOdds)
		}
		got := thresholds.compare(&h, c.other, func(*HeightOdds) float64 { return c.odds })
		if got.code() != c.code || got.words() != c.words {
			t.Errorf("%g against %g: %s, %q", c.wind, c.other, got.code(), got.words())
		}
	}
}

// Thirty days say nothing of a year, however little they make.
func TestWeakComesBeforeNoEnergy(t *testing.T) {
	r := at10m(invented(16, 30*24))
	for i := range r.Turbine.CurvePoints {
		r.Turbine.CurvePoints[i].SpeedMS += 60
	}
	if a := mustRun(t, r).Verdict.Answer; a != CannotSay {
		t.Errorf("the verdict is %s", a)
	}
}

// Wind of a station taken for the site's own rough ground comes out too strong; that must be said, and the mend with it.
func TestMeasuringGroundIsAskedFor(t *testing.T) {
	s := invented(17, 366*24)
	s.SourceFormat = "epw"
	r := at10m(s)
	r.Site.Ground = Ground{RoughnessM: 1, DisplacementM: 0}
	e := mustRun(t, r)
	if !says(&e, "measuring_ground_assumed") {
		t.Error("a station's wind passed for the garden's without a word")
	}
	r.Wind.MeasuredOver = &Ground{Cover: "open", RoughnessM: nan, DisplacementM: nan}
	told := mustRun(t, r)
	if says(&told, "measuring_ground_assumed") || told.Heights[1].Wind.MeanSpeedMS != e.Heights[1].Wind.MeanSpeedMS {
		t.Error("a station is not taken to stand on open ground")
	}
	r.Wind.MeasuredOver = &Ground{RoughnessM: 1, DisplacementM: 0}
	if own := mustRun(t, r); own.Heights[1].Wind.MeanSpeedMS <= told.Heights[1].Wind.MeanSpeedMS {
		t.Error("open ground at the station did not bring the wind down")
	}
	s.SourceFormat = "nasa_power_csv"
	if e := mustRun(t, r); !says(&e, "reanalysis_cell") {
		t.Error("a reanalysis passed for a measurement")
	}
	s.SourceFormat = "logger_csv"
	r.Wind.MeasuredOver = nil
	if e := mustRun(t, r); says(&e, "measuring_ground_assumed") {
		t.Error("the builder's own logger is doubted")
	}
}

func TestPowersInOtherUnits(t *testing.T) {
	for place, change := range map[string]func(*Request){
		"turbine.power_curve.points": func(r *Request) {
			for i := range r.Turbine.CurvePoints {
				r.Turbine.CurvePoints[i].PowerW /= 1000
			}
		},
		"turbine.rated_power_w": func(r *Request) { r.Turbine.RatedPowerW = 0.9 },
	} {
		r := garden()
		change(&r)
		var inv *InvalidError
		if _, err := Run(r); !errors.As(err, &inv) || inv.Fields[0].Location != place {
			t.Errorf("%s: %v", place, err)
		}
	}
}

// faultAt reports whether an error names a fault at a place.
func faultAt(err error, at string) bool {
	var invalid *InvalidError
	if !errors.As(err, &invalid) {
		return false
	}
	for _, f := range invalid.Fields {
		if f.Location == at {
			return true
		}
	}
	return false
}
