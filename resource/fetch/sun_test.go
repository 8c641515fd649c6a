package fetch

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
)

func monthlySun(o *Options) { o.MonthlySun = true }

// climatologyAnswer is one in the service's form (the header is that of a real answer), with invented figures in the
// unit its community for renewable energy gets, kWh/m² a day.
func climatologyAnswer(lat, lon float64, january string) []byte {
	return fmt.Appendf(nil, "-BEGIN HEADER-\nNASA/POWER Source Native Resolution Climatology in LST\n"+
		"20-year Meteorological and Solar Monthly & Annual Climatologies (January 2001 - December 2020) \n"+
		"Location: Latitude  %g   Longitude %g \nElevation from MERRA-2: Average for 0.5 x 0.625 degree lat/lon region = 120.5 meters\n"+
		"The value for missing source data that cannot be computed or is outside of the sources availability range: -999 \nParameter(s): \n"+
		"ALLSKY_SFC_SW_DWN     All Sky Surface Shortwave Downward Irradiance (kW-hr/m^2/day) \n-END HEADER-\n"+
		"PARAMETER,JAN,FEB,MAR,APR,MAY,JUN,JUL,AUG,SEP,OCT,NOV,DEC,ANN\nALLSKY_SFC_SW_DWN,%s,2,3,4,5,6,5,4,3,2,1,0.5,3\n", lat, lon, january)
}

// withSun is the answer with irradiance in the hours that lit lets through.
func withSun(answer []byte, lit func(month string) bool) []byte {
	var b bytes.Buffer
	rows := false
	for line := range strings.Lines(string(answer)) {
		line = strings.TrimSuffix(line, "\n")
		switch {
		case strings.HasPrefix(line, "-END"):
			line = "ALLSKY_SFC_SW_DWN  Irradiance (Wh/m^2)\n" + line
		case strings.HasPrefix(line, "YEAR"):
			line, rows = line+",ALLSKY_SFC_SW_DWN", true
		case rows && lit(strings.Split(line, ",")[1]):
			line += ",120"
		case rows:
			line += ",-999"
		}
		b.WriteString(line + "\n")
	}
	return b.Bytes()
}

// A record without irradiance brings the months, once and then from the cache; one with irradiance does not ask for them.
func TestMonthlySun(t *testing.T) {
	for _, k := range []struct {
		name   string
		hours  []byte
		months bool
	}{
		{"wind alone", good(), true},
		{"irradiance", withSun(good(), func(string) bool { return true }), false},
		{"all but one month", withSun(good(), func(m string) bool { return m != "5" }), false},
		{"all but two months", withSun(good(), func(m string) bool { return m != "5" && m != "9" }), true},
		{"irradiance missing throughout", withSun(good(), func(string) bool { return false }), true},
	} {
		t.Run(k.name, func(t *testing.T) {
			s := newStub(t, func(w http.ResponseWriter, r *http.Request) {
				if strings.HasPrefix(r.URL.Path, "/nasa_power_months") {
					_, _ = w.Write(climatologyAnswer(50, 8, "1"))
					return
				}
				_, _ = w.Write(k.hours)
			})
			disk := withDisk(t)
			for i, change := range []func(*Options){func(*Options) {}, offline} {
				c, _ := newClient(t, s.URL, disk, monthlySun, change)
				_, _, fetched, err := c.Fetch(t.Context(), inland, Years{2024, 2024}, Source{Archive: NASAPower})
				if err != nil || fetched.FromCache != (i == 1) {
					t.Fatalf("%v, from the cache %v", err, fetched.FromCache)
				}
				// Twelve months of daily means to sums by hand: 1 × 31, 2 × 28.25, 3 × 31, 4 × 30 … kWh/m².
				const want = "(NASA POWER project, MERRA-2 reanalysis and satellite irradiance, January 2001 - December 2020), as a request takes them: " +
					"solar: {monthly_irradiation_kwh_m2: [31, 56.5, 93, 120, 155, 180, 155, 124, 90, 62, 30, 15.5]}"
				at := slices.Index(codes(fetched.Warnings), "monthly_sun")
				if (at >= 0) != k.months || (fetched.Sun != nil) != k.months || k.months && !strings.Contains(fetched.Warnings[at].Detail, want) {
					t.Errorf("%v", fetched.Warnings)
				}
				if n := len(fetched.Requests); n != s.count() || k.months != (n == 2) {
					t.Errorf("%d requests, asked %d times", n, s.count())
				}
			}
			if k.months && (!strings.Contains(s.asked[1], "parameters=ALLSKY_SFC_SW_DWN") || !strings.Contains(s.asked[1], "latitude=50&longitude=8")) {
				t.Errorf("asked %s", s.asked[1])
			}
			c, _ := newClient(t, s.URL)
			before := s.count()
			_, _, fetched, err := c.Fetch(t.Context(), inland, Years{2024, 2024}, Source{Archive: NASAPower})
			if err != nil || fetched.Sun != nil || s.count() != before+1 {
				t.Errorf("not asked for: %v, asked %d times", err, s.count()-before)
			}
		})
	}
}

// Whatever is wrong with the months, the record is there, the months are asked for once, and what is lacking is said.
func TestMonthlySunFails(t *testing.T) {
	for name, k := range map[string]struct {
		handle http.HandlerFunc
		says   string
	}{
		"error":           {say(500, "text/plain", []byte("oh")), "status 500"},
		"asked too often": {func(w http.ResponseWriter, _ *http.Request) { w.Header().Set("Retry-After", "1"); w.WriteHeader(429) }, "status 429"},
		"web page":        {say(200, "text/html", []byte("<html><title>Log in</title>")), "Log in"},
		"hours":           {say(200, "text/csv", good()), "no climatology"},
		"another place":   {say(200, "text/csv", climatologyAnswer(10, 8, "1")), "km away"},
		"a month missing": {say(200, "text/csv", climatologyAnswer(50, 8, "-999")), "month 1"},
		"too much":        {say(200, "text/csv", climatologyAnswer(50, 8, "14")), "beyond 0 to 400"},
	} {
		t.Run(name, func(t *testing.T) {
			s := newStub(t, func(w http.ResponseWriter, r *http.Request) {
				if strings.HasPrefix(r.URL.Path, "/nasa_power_months") {
					k.handle(w, r)
					return
				}
				_, _ = w.Write(good())
			})
			c, _ := newClient(t, s.URL, monthlySun)
			series, _, fetched, err := c.Fetch(t.Context(), inland, Years{2024, 2024}, Source{Archive: NASAPower})
			if err != nil || series.Len() != 8784 || s.count() != 2 || fetched.Sun != nil {
				t.Fatalf("%v, asked %d times", err, s.count())
			}
			at := slices.Index(codes(fetched.Warnings), "monthly_sun_unknown")
			if at < 0 || !strings.Contains(fetched.Warnings[at].Detail, k.says) || !strings.Contains(fetched.Warnings[at].Detail, "solar.monthly_irradiation_kwh_m2") {
				t.Errorf("%v; want %q", fetched.Warnings, k.says)
			}
		})
	}
}

func TestMonthlySunCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	s := newStub(t, func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, "/nasa_power_months") {
			cancel()
			<-r.Context().Done()
			return
		}
		_, _ = w.Write(good())
	})
	c, _ := newClient(t, s.URL, monthlySun)
	if _, _, _, err := c.Fetch(ctx, inland, Years{2024, 2024}, Source{Archive: NASAPower}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// The sea is a place like any other; that the cell lies on it is said. The header is that of the real ten years off a coast,
// whose elevation is 0.0 m.
func TestOcean(t *testing.T) {
	s := newStub(t, say(200, "text/csv", bytes.Replace(good(), []byte("region = 120.5 meters"), []byte("region = 0.0 meters"), 1)))
	c, _ := newClient(t, s.URL)
	_, _, fetched, err := c.Fetch(t.Context(), inland, Years{2024, 2024}, Source{Archive: NASAPower})
	if err != nil || !slices.Contains(codes(fetched.Warnings), "cell_at_sea_level") {
		t.Errorf("%v, %v", err, fetched.Warnings)
	}
}
