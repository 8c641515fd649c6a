package fetch

import (
	"fmt"
	"math"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"mastworth/resource"
)

// Whatever the years are like, the joined record is one: stamps rise, every value is at its stamp, nothing is lost but
// what a later year has too.
func TestJoin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const hour = 3600
		var parts []part
		begin := int64(0)
		want := map[int64]float64{} // of the speed at 10 m
		for year := range rapid.IntRange(1, 5).Draw(t, "years") {
			s := &resource.Series{StepS: hour, UTCOffsetS: 7}
			at := begin + rapid.Int64Range(-3, 3).Draw(t, "overlap")*hour
			for at < 0 {
				at += hour
			}
			speed := resource.Channel{Name: "WS10M", Quantity: resource.Speed, HeightM: 10}
			other := resource.Channel{Name: "T2M", Quantity: resource.Temperature, HeightM: math.NaN()}
			for range rapid.IntRange(4, 30).Draw(t, "hours") {
				s.Times = append(s.Times, at)
				speed.Values = append(speed.Values, float64(year)+float64(at)/1e9)
				other.Values = append(other.Values, 1)
				at += hour * rapid.Int64Range(1, 3).Draw(t, "apart")
			}
			for when := range want {
				if when >= s.Times[0] {
					delete(want, when)
				}
			}
			for i, when := range s.Times {
				want[when] = speed.Values[i]
			}
			s.Channels = []resource.Channel{speed}
			if rapid.Bool().Draw(t, "temperature") {
				s.Channels = append(s.Channels, other)
			}
			if rapid.Bool().Draw(t, "flags") {
				s.Channels[0].Flags = make([]resource.Flag, s.Len())
				s.Channels[0].Flags[0] = resource.FlagSource
			}
			begin = at
			parts = append(parts, part{year: year, series: s})
		}
		flagged := parts[len(parts)-1].series.Channels[0].Flags != nil
		first := parts[len(parts)-1].series.Times[0]
		out, _ := join(parts, 3600)
		if out.UTCOffsetS != 3600 || out.StepS != hour || out.Len() != len(want) {
			t.Fatalf("%d stamps, want %d", out.Len(), len(want))
		}
		var speed *resource.Channel
		for i := range out.Channels {
			if c := &out.Channels[i]; c.Quantity == resource.Speed {
				speed = c
			}
			if n := len(out.Channels[i].Values); n != out.Len() {
				t.Fatalf("%d values to %d stamps", n, out.Len())
			}
		}
		for i, when := range out.Times {
			if i > 0 && when <= out.Times[i-1] {
				t.Fatal("the stamps do not rise")
			}
			if speed.Values[i] != want[when] {
				t.Fatalf("at %d: %g, want %g", when, speed.Values[i], want[when])
			}
			if flagged && when == first && speed.Flags[i] != resource.FlagSource {
				t.Fatal("a flag is lost")
			}
		}
		report := joinReports(parts, out)
		span := (out.Times[out.Len()-1]-out.Times[0])/hour + 1
		if report.MissingStamps != span-int64(out.Len()) || int64(out.Len()) != report.Kept {
			t.Fatalf("%d missing of %d, %d kept", report.MissingStamps, span, report.Kept)
		}
	})
}

// The irradiance of an archive that tells it for the hour before is whole across New Year: a year is asked for with the
// day after it.
func TestSeamOfIrradiance(t *testing.T) {
	s := newStub(t, func(w http.ResponseWriter, r *http.Request) {
		q := r.URL.Query()
		from, _ := time.Parse(time.DateOnly, q.Get("start_date"))
		to, _ := time.Parse(time.DateOnly, q.Get("end_date"))
		var stamps, wind, sun []string
		for at := from; at.Before(to.AddDate(0, 0, 1)); at = at.Add(time.Hour) {
			stamps = append(stamps, at.Format(`"2006-01-02T15:04"`))
			wind = append(wind, alternating(int(at.Unix()/3600%1000)))
			sun = append(sun, fmt.Sprint(at.Unix()/3600%1000))
		}
		_, _ = fmt.Fprintf(w, `{"latitude":50,"longitude":8,"elevation":300,"utc_offset_seconds":0,"hourly_units":{"wind_speed_100m":"m/s","shortwave_radiation":"W/m²"},`+
			`"hourly":{"time":[%s],"wind_speed_100m":[%s],"shortwave_radiation":[%s]}}`, strings.Join(stamps, ","), strings.Join(wind, ","), strings.Join(sun, ","))
	})
	c, _ := newClient(t, s.URL)
	site := 700.0
	series, _, fetched, err := c.Fetch(t.Context(), Place{50, 8, &site}, Years{2022, 2023}, Source{Archive: OpenMeteo})
	if err != nil {
		t.Fatal(err)
	}
	check(t, series)
	if series.Len() != 2*365*24 || fetched.Coverage != 1 {
		t.Errorf("%d hours, coverage %g", series.Len(), fetched.Coverage)
	}
	sun := channel(t, series, resource.GlobalHorizontal, 0)
	for i, v := range sun.Values {
		if want := float64((series.Times[i]/3600 + 1) % 1000); v != want {
			t.Fatalf("hour %d: %g W/m², want %g, which is told an hour later", i, v, want)
		}
	}
	if got := codes(fetched.Warnings); !slices.Equal(got, []string{"reanalysis_cell", "cell_elevation"}) {
		t.Errorf("warnings %v", fetched.Warnings)
	}
}

// A record whose step changes from one year to the next says so.
func TestStepChanges(t *testing.T) {
	daily := func(year int) *resource.Series {
		return &resource.Series{StepS: 10800, Times: []int64{newYear(year).Unix()}}
	}
	hourly := &resource.Series{StepS: 3600, Times: []int64{newYear(2001).Unix(), newYear(2001).Unix() + 3600}}
	out, notes := join([]part{{year: 2000, series: daily(2000)}, {year: 2001, series: hourly}}, 0)
	if out.StepS != 3600 || len(notes) != 1 || notes[0].Code != "step_changes" || !strings.Contains(notes[0].Detail, "In 2000") {
		t.Errorf("step %d, %v", out.StepS, notes)
	}
}
