package fetch

import (
	"errors"
	"fmt"
	"math"
	"net/http"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestPlaces(t *testing.T) {
	s := newStub(t, func(w http.ResponseWriter, r *http.Request) {
		var lat, lon float64
		_, _ = fmt.Sscan(r.URL.Query().Get("latitude"), &lat)
		_, _ = fmt.Sscan(r.URL.Query().Get("longitude"), &lon)
		_, _ = w.Write(inventedPower(2024, lat, lon, alternating))
	})
	c, _ := newClient(t, s.URL)
	tooHigh := 1e5
	for _, k := range []struct {
		place  Place
		says   string // empty: allowed
		offset int64  // h
	}{
		{Place{Lat: 90}, "", 0},
		{Place{Lat: -90, Lon: 45}, "", 3},
		{Place{Lat: 10, Lon: 180}, "", 12},
		{Place{Lat: 10, Lon: -180}, "", -12},
		{Place{Lat: -0.0001, Lon: -0.0001}, "", 0},
		{Place{Lat: 0, Lon: -30}, "", -2}, // the middle of the ocean
		{Place{Lat: 90.01}, "90.01 is no latitude", 0},
		{Place{Lat: math.NaN()}, "NaN is no latitude", 0},
		{Place{Lon: math.Inf(1)}, "+Inf is no longitude", 0},
		{Place{Lon: 190}, "write -170", 0},
		{Place{Lon: -180.5}, "-180.5 is no longitude", 0},
		{Place{ElevationM: &tooHigh}, "100000 m is no elevation", 0},
	} {
		series, _, _, err := c.Fetch(t.Context(), k.place, Years{2024, 2024}, Source{Archive: NASAPower})
		switch {
		case k.says != "":
			if !errors.Is(err, ErrPlace) || !strings.Contains(err.Error(), k.says) {
				t.Errorf("%+v: %v; want %q", k.place, err, k.says)
			}
		case err != nil || series.UTCOffsetS != k.offset*3600:
			t.Errorf("%+v: %v", k.place, err)
		}
	}
	for _, asked := range s.asked {
		if strings.Contains(asked, "=-0&") {
			t.Errorf("a negative zero was asked for: %s", asked)
		}
	}
}

func TestYears(t *testing.T) {
	s := newStub(t, say(500, "", nil))
	for _, k := range []struct {
		now    time.Time
		years  Years
		source Archive
		says   string
	}{
		{today, Years{2026, 2026}, NASAPower, "2026 is in the future; the archive has 2001 to 2025"},
		{today, Years{2000, 2010}, NASAPower, "2000 is before the archive begins; it has 2001 to 2025"},
		{today, Years{1939, 1940}, OpenMeteo, "it has 1940 to 2025"},
		{today, Years{2012, 2010}, OpenMeteo, "the years run from 2012 back to 2010"},
		{today, Years{0, 0}, OpenMeteo, "before the archive begins"},
		{newYear(2026).Add(time.Hour), Years{2026, 2026}, NASAPower, "only just begun"},
	} {
		c, _ := newClient(t, s.URL, func(o *Options) { o.Now = func() time.Time { return k.now } })
		_, _, _, err := c.Fetch(t.Context(), inland, k.years, Source{Archive: k.source})
		if !errors.Is(err, ErrYears) || !strings.Contains(err.Error(), k.says) {
			t.Errorf("%v of %s: %v; want %q", k.years, k.source, err, k.says)
		}
	}
	if s.count() != 0 {
		t.Errorf("the service was asked all the same: %v", s.asked)
	}
}

// A running year is asked for as far as it has come, kept in one place, and asked for again a day later.
func TestRunningYear(t *testing.T) {
	s := newStub(t, func(w http.ResponseWriter, r *http.Request) { _, _ = w.Write(inventedPower(2025, 50, 8, alternating)) })
	c, clock := newClient(t, s.URL, withDisk(t))
	for i, after := range []time.Duration{0, time.Hour, 25 * time.Hour, 200 * 24 * time.Hour, 30 * 24 * time.Hour} {
		clock.now = clock.now.Add(after)
		if _, _, _, err := c.Fetch(t.Context(), inland, Years{2025, 2025}, Source{Archive: NASAPower}); err != nil {
			t.Fatal(err)
		}
		// Asked at first, not an hour later, but a day later, half a year later to have the final data, and then no more.
		if want := []int{1, 1, 2, 3, 3}[i]; s.count() != want {
			t.Errorf("step %d: asked %d times, want %d", i, s.count(), want)
		}
	}
	if !strings.Contains(s.asked[0], "end=20251113") || !strings.Contains(s.asked[2], "end=20251231") {
		t.Errorf("asked %v", s.asked)
	}
	s.Close()
	clock.now = today.Add(26 * time.Hour) // as if the first answer were a day old again
	c.cache.(*DiskCache).age(t, clock.now.Add(-48*time.Hour))
	_, _, fetched, err := c.Fetch(t.Context(), inland, Years{2025, 2025}, Source{Archive: NASAPower})
	if err != nil || fetched.Warnings[0].Code != "fetched_stale" {
		t.Errorf("an old answer is better than none: %v, %v", err, fetched.Warnings)
	}
}

// Whatever is sent to a service is within a kilometre of the place, and never finer than two decimals.
func TestRounding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Place{Lat: rapid.Float64Range(-90, 90).Draw(t, "lat"), Lon: rapid.Float64Range(-180, 180).Draw(t, "lon")}
		lat, lon := p.rounded()
		if math.Abs(lat-p.Lat) > 0.005+1e-12 || math.Abs(lon-p.Lon) > 0.005+1e-12 || (Place{Lat: lat, Lon: lon}).check() != nil {
			t.Fatalf("%v, %v", lat, lon)
		}
		for _, s := range []string{degrees(lat), degrees(lon)} {
			if _, decimals, _ := strings.Cut(s, "."); len(decimals) > 2 || strings.ContainsAny(s, "eE") || s == "-0" {
				t.Fatal(s)
			}
		}
		if o := p.solarOffsetS(); math.Abs(float64(o)/240-p.Lon) > 7.5+1e-9 { // four minutes a degree
			t.Fatalf("%d s at %g°", o, p.Lon)
		}
	})
}
