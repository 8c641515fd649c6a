package assess

import (
	"bytes"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/paulmach/orb"

	"mastworth/resource"
	"mastworth/resource/ingest"
)

// openData reads one of the open files beside the checkout (their sources are told where they lie) through the real
// reader and the real screening.
func openData(t testing.TB, path ...string) *resource.Series {
	t.Helper()
	name := filepath.Join(append([]string{"..", "..", "..", "shared", "data"}, path...)...)
	b, err := os.ReadFile(name)
	if errors.Is(err, os.ErrNotExist) && os.Getenv("CI") == "" {
		t.Skip("the shared data are not beside this checkout")
	}
	if err != nil {
		t.Fatal(err)
	}
	s, _, err := ingest.Read(bytes.NewReader(b), ingest.Options{})
	if err != nil {
		t.Fatal(err)
	}
	resource.Screen(s)
	return s
}

// at10m is a request with a record, moved nowhere: the hub is where the anemometer was.
func at10m(s *resource.Series) Request {
	r := garden()
	r.Wind = Wind{Record: &Record{Ref: "test", Series: s, HeightM: nan}}
	r.Site.LatitudeDeg, r.Site.LongitudeDeg, r.Site.ElevationM = 40.65, -73.8, 5
	r.Towers = []Tower{{HubHeightM: 10, Cost: 650}, {HubHeightM: 18, Cost: 1400}}
	return r
}

// JFK's typical year as EPW and as TMY3 is one wind, row by row (US government open data), and must come out of an
// estimate the same to the last digit. Its mean, 4.906506849 m/s, and its fit without calms, shape 2.350946641 and scale
// 5.775092746 m/s, were solved with SciPy to 1e-14.
func TestTypicalYearInTwoFormats(t *testing.T) {
	here := func(path ...string) Request { // over the site's own ground, so that nothing is moved
		r := at10m(openData(t, path...))
		r.Wind.MeasuredOver = &Ground{RoughnessM: 0.1, DisplacementM: 0}
		return r
	}
	epw := mustRun(t, here("epw", "USA_NY_New.York-J.F.Kennedy.Intl.AP.744860_TMY3.epw"))
	tmy3 := mustRun(t, here("tmy3", "744860TYA.CSV"))
	for i := range epw.Heights {
		a, b := epw.Heights[i], tmy3.Heights[i]
		if a.Wind.MeanSpeedMS != b.Wind.MeanSpeedMS || a.Wind.Weibull != b.Wind.Weibull || a.Wind.CalmShare != b.Wind.CalmShare {
			t.Errorf("at %g m the formats disagree: %+v and %+v", a.HubHeightM, a.Wind, b.Wind)
		}
		for k := range a.Wind.Sectors {
			if a.Wind.Sectors[k].Share != b.Wind.Sectors[k].Share || a.Wind.Sectors[k].MeanSpeedMS != b.Wind.Sectors[k].MeanSpeedMS {
				t.Errorf("sector %d disagrees", k)
			}
		}
		near(t, "gross", a.Energy.GrossKWh, b.Energy.GrossKWh, 1e-3) // the air differs: TMY3 rounds the pressure
	}
	w := epw.Heights[0].Wind
	near(t, "mean", w.MeanSpeedMS, 4.906506849, 1e-9)
	near(t, "shape", w.Weibull.Shape, 2.350946641, 1e-6)
	near(t, "scale", w.Weibull.ScaleMS, 5.775092746, 1e-6)
	near(t, "calms", w.CalmShare, 338.0/8760, 1e-12)
	near(t, "power density", w.PowerDensityWM2, 0.5*w.AirDensityKgM3*217.446963, 1e-8)
	if epw.Heights[0].Solar.Basis != "hourly_irradiance" {
		t.Errorf("solar from %q", epw.Heights[0].Solar.Basis)
	}
	if epw.Heights[0].Energy.MonthlyKWh == nil || epw.Heights[0].Solar.MonthlyKWh == nil {
		t.Error("a whole year gives no months")
	}
}

// The months of a year's energy are the year's energy.
func TestMonthsAddUp(t *testing.T) {
	for _, h := range mustRun(t, at10m(invented(1, 366*24))).Heights {
		sum := 0.0
		for _, m := range h.Energy.MonthlyKWh {
			sum += m
		}
		near(t, "months", sum, h.Energy.NetKWh, 1e-9)
		sum = 0
		for _, s := range h.Wind.Sectors {
			sum += s.Share
		}
		near(t, "sector shares", sum, 1, 1e-9)
	}
}

// invented is a made-up record of hourly wind at 10 m with directions.
func invented(seed uint64, hours int) *resource.Series {
	rng := rand.New(rand.NewPCG(seed, 2))
	s := &resource.Series{StepS: 3600, Place: &resource.Place{Point: orb.Point{-73.8, 40.65}, ElevationM: 5}, SourceFormat: "test"}
	speed := resource.Channel{Name: "speed", Quantity: resource.Speed, HeightM: 10}
	direction := resource.Channel{Name: "direction", Quantity: resource.Direction, HeightM: 10}
	start := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC).Unix()
	for h := range hours {
		s.Times = append(s.Times, start+int64(h)*3600)
		speed.Values = append(speed.Values, 5*math.Pow(-math.Log(1-rng.Float64()), 0.5))
		direction.Values = append(direction.Values, math.Mod(200+80*rng.NormFloat64()+720, 360))
	}
	s.Channels = []resource.Channel{speed, direction}
	return s
}

// Turning every direction by one sector turns the rose and changes nothing else.
func TestTurningTheCompass(t *testing.T) {
	s := invented(2, 366*24)
	before := mustRun(t, at10m(s)).Heights[1]
	for i, d := range s.Channels[1].Values {
		s.Channels[1].Values[i] = math.Mod(d+30, 360)
	}
	after := mustRun(t, at10m(s)).Heights[1]
	if before.Energy.NetKWh != after.Energy.NetKWh || before.Wind.Weibull != after.Wind.Weibull || before.Cost != after.Cost {
		t.Error("turning the compass changed the energy")
	}
	n := len(before.Wind.Sectors)
	for k, sector := range before.Wind.Sectors {
		near(t, "share", after.Wind.Sectors[(k+1)%n].Share, sector.Share, 1e-3) // a value on an edge may round across
	}
}

// The series, its histogram and its Weibull fit agree where the wind is a Weibull wind.
func TestBasesAgree(t *testing.T) {
	h := mustRun(t, at10m(invented(3, 366*24))).Heights[0]
	near(t, "Weibull against series", h.Energy.WeibullGrossKWh, h.Energy.GrossKWh, 0.01)
	if h.Energy.Basis != "series" {
		t.Errorf("basis %q", h.Energy.Basis)
	}
}

// Two heights give a measured profile; over the height of the second sensor it must return that sensor's mean.
func TestMeasuredProfile(t *testing.T) {
	s := invented(4, 366*24)
	upper := resource.Channel{Name: "upper", Quantity: resource.Speed, HeightM: 20}
	for _, v := range s.Channels[0].Values {
		upper.Values = append(upper.Values, v*math.Pow(2, 0.25))
	}
	s.Channels = append(s.Channels, upper)
	r := at10m(s)
	r.Towers = []Tower{{HubHeightM: 14, Cost: 1}, {HubHeightM: 20, Cost: 1}, {HubHeightM: 40, Cost: 1}}
	e := mustRun(t, r)
	base := resource.MeanOf(s.Channels[0].Values)
	near(t, "14 m", e.Heights[0].Wind.MeanSpeedMS/base, math.Pow(1.4, 0.25), 2e-3)
	near(t, "20 m", e.Heights[1].Wind.MeanSpeedMS/base, math.Pow(2, 0.25), 2e-3)
	near(t, "40 m", e.Heights[2].Wind.MeanSpeedMS/base, math.Pow(4, 0.25), 2e-3)
	near(t, "shape", e.Heights[2].Wind.Weibull.Shape, 2, 0.05)

	r.Shear.Method = ShearMeasured
	if _, err := Run(r); err != nil {
		t.Error(err)
	}
	r.Wind.Record.Series = invented(4, 366*24)
	var inv *InvalidError
	if _, err := Run(r); !errors.As(err, &inv) || inv.Fields[0].Location != "shear.method" {
		t.Errorf("a single height with shear measured: %v", err)
	}
}

func TestWeakRecordsGiveNoVerdict(t *testing.T) {
	e := mustRun(t, at10m(invented(5, 30*24)))
	if e.Verdict.Answer != CannotSay {
		t.Errorf("thirty days gave the verdict %s", e.Verdict.Answer)
	}
	if e.Heights[0].Energy.MonthlyKWh != nil {
		t.Error("thirty days gave twelve months")
	}
	daily := invented(6, 400)
	daily.Kind, daily.StepS = resource.Daily, 86400
	for i := range daily.Times {
		daily.Times[i] = daily.Times[0] + int64(i)*86400
	}
	if e := mustRun(t, at10m(daily)); e.Verdict.Answer != CannotSay {
		t.Errorf("daily means gave the verdict %s", e.Verdict.Answer)
	}
}

func TestBadRecords(t *testing.T) {
	constant := invented(7, 2000)
	for i := range constant.Channels[0].Values {
		constant.Channels[0].Values[i] = 4
	}
	noHeight := invented(8, 2000)
	noHeight.Channels[0].HeightM = nan
	noSpeed := invented(9, 2000)
	noSpeed.Channels = noSpeed.Channels[1:]
	for place, s := range map[string]*resource.Series{
		"wind.record": constant, "wind.record.height_m": noHeight, "wind.record ": noSpeed,
	} {
		var inv *InvalidError
		if _, err := Run(at10m(s)); !errors.As(err, &inv) || inv.Fields[0].Location != place && inv.Fields[0].Location+" " != place {
			t.Errorf("%s: %v", place, err)
		}
	}
	r := at10m(noHeight)
	r.Wind.Record.HeightM = 10
	mustRun(t, r)
}

// A year of ten-minute data at four heights.
func BenchmarkRunRecord(b *testing.B) {
	s := invented(1, 52560)
	s.StepS = 600
	for i := range s.Times {
		s.Times[i] = s.Times[0] + int64(i)*600
	}
	r := at10m(s)
	r.Towers = []Tower{{12, 650}, {18, 1400}, {24, 2300}, {30, 3500}}
	for b.Loop() {
		if _, err := Run(r); err != nil {
			b.Fatal(err)
		}
	}
}
