package assess

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/paulmach/orb"

	"mastworth/resource"
)

// years is invented hourly wind over some years at a place, at some heights, with noise of its own; the weather in it is
// everybody's.
func years(from, n int, scale, noise float64, seed uint64, heights ...float64) *resource.Series {
	rng := rand.New(rand.NewPCG(seed, 9))
	s := &resource.Series{StepS: 3600, Place: &resource.Place{Point: orb.Point{-73.8, 40.65}, ElevationM: 5}, SourceFormat: "test"}
	start, end := time.Date(from, 1, 1, 0, 0, 0, 0, time.UTC).Unix()/3600, time.Date(from+n, 1, 1, 0, 0, 0, 0, time.UTC).Unix()/3600
	for range heights {
		s.Channels = append(s.Channels, resource.Channel{Name: "v", Quantity: resource.Speed})
	}
	vane := resource.Channel{Name: "d", Quantity: resource.Direction, HeightM: 10}
	for h := start; h < end; h++ {
		s.Times = append(s.Times, h*3600)
		weather := rand.New(rand.NewPCG(uint64(h/6), 1)) // changes every six hours
		v := 5 * math.Sqrt(-math.Log(1-weather.Float64())) * (1 + 0.2*math.Cos(2*math.Pi*float64(h)/8766))
		vane.Values = append(vane.Values, math.Mod(200+90*weather.NormFloat64()+720, 360))
		for i, z := range heights {
			own := scale * v * math.Pow(z/10, 0.2) * math.Exp(noise*rng.NormFloat64())
			s.Channels[i].HeightM = z
			s.Channels[i].Values = append(s.Channels[i].Values, own)
		}
	}
	s.Channels = append(s.Channels, vane)
	return s
}

func stretchedBy(s, reference *resource.Series) Request {
	r := at10m(s)
	r.Wind.LongTerm = &LongTerm{Reference: &Record{Ref: "reference", Series: reference, HeightM: nan}, MaxShiftS: nan}
	return r
}

// A sensor too short to carry an estimate does not carry a stretched one, nor stand in its way; and what is told of the long
// run is told of the sensor that was used.
func TestShortSensorInTheLongRun(t *testing.T) {
	s := years(2019, 1, 0.9, 0.15, 1, 10, 20, 30)
	for i := range s.Channels[2].Values {
		s.Channels[2].Values[i] *= 1.15
		if i > 40*24 {
			s.Channels[2].Values[i] = nan
		}
	}
	r := stretchedBy(s, years(2015, 6, 1, 0.1, 2, 10))
	r.Towers = []Tower{{HubHeightM: 30, Cost: 1}}
	h := mustRun(t, r)
	if got := h.Heights[0].Wind.MeasuredAtM; got != 20 {
		t.Errorf("taken from %g m", got)
	}
	if h.LongTerm == nil || h.LongTerm.ConcurrentN < 8000 || h.LongTerm.R2 < 0.5 {
		t.Errorf("%+v", h.LongTerm)
	}
	for i := range s.Channels[2].Values {
		if i > 5*24 {
			s.Channels[2].Values[i] = nan
		}
	}
	mustRun(t, r)
}

// A few weeks stretched to years are still a few weeks.
func TestLongRunOfAFewWeeks(t *testing.T) {
	s := years(2019, 1, 0.9, 0.15, 3, 10)
	n := 40 * 24
	s.Times = s.Times[:n]
	for i := range s.Channels {
		s.Channels[i].Values = s.Channels[i].Values[:n]
	}
	r := stretchedBy(s, years(2015, 6, 1, 0.1, 4, 10))
	if e := mustRun(t, r); e.Verdict.Answer != CannotSay {
		t.Errorf("%+v", e.Verdict)
	}
	r.Wind.LongTerm.Reference.Ref = "test"
	if _, err := Run(r); !faultAt(err, "wind.long_term.reference") {
		t.Errorf("a record stretched by itself: %v", err)
	}
}

// A reference of daily means tells neither night nor day: its speeds are moved by both.
func TestDailyReference(t *testing.T) {
	s := years(2019, 1, 0.9, 0.1, 5, 10, 20)
	for i, at := range s.Times { // steep by night, flat by day
		exponent := 0.45
		if resource.IsDay(at, 0) {
			exponent = 0.05
		}
		s.Channels[1].Values[i] = s.Channels[0].Values[i] * math.Pow(2, exponent)
	}
	hourly := years(2015, 6, 1, 0.05, 6, 10)
	daily := &resource.Series{StepS: 86400, Kind: resource.Daily, Place: hourly.Place, SourceFormat: "test",
		Channels: []resource.Channel{{Name: "v", Quantity: resource.Speed, HeightM: 10}}}
	for i := 0; i+24 <= hourly.Len(); i += 24 {
		sum := 0.0
		for _, v := range hourly.Channels[0].Values[i : i+24] {
			sum += v
		}
		daily.Times = append(daily.Times, hourly.Times[i])
		daily.Channels[0].Values = append(daily.Channels[0].Values, sum/24)
	}
	mean := func(reference *resource.Series) float64 {
		r := stretchedBy(s, reference)
		r.Towers = []Tower{{HubHeightM: 60, Cost: 1}}
		return mustRun(t, r).Heights[0].Wind.MeanSpeedMS
	}
	near(t, "mean by the daily reference", mean(daily), mean(hourly), 0.04)
}

// The strongest wind is the record's, whatever stretches it, and a hill's gain is in it.
func TestStrongestWindOfAStretchedRecord(t *testing.T) {
	s := years(2008, 9, 0.9, 0.1, 7, 10)
	plain := mustRun(t, at10m(s)).ExtremeWind
	if plain == nil {
		t.Fatal("nine years give no extreme wind")
	}
	r := stretchedBy(s, years(2006, 14, 1, 0.1, 8, 10))
	r.Wind.LongTerm.Method = "least_squares"
	if got := mustRun(t, r).ExtremeWind; got == nil || math.Abs(got.Gust50MS/plain.Gust50MS-1) > 1e-9 {
		t.Errorf("stretched %+v, as measured %+v", got, plain)
	}
	short := mustRun(t, at10m(years(2019, 1, 0.9, 0.1, 9, 10)))
	if short.ExtremeWind != nil || short.NoExtremeWind == "" {
		t.Error("one year gives an extreme wind, or no word of why not")
	}
}
