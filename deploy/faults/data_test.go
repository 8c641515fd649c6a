package faults

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

const recordDays = 2000

// table is a made-up logger file, hourly, the same each time.
var table = func() []byte {
	var b bytes.Buffer
	b.WriteString("time (UTC),wind speed 10 m (m/s),wind speed 6 m (m/s),wind direction 10 m (deg),temperature (C)\n")
	at := time.Date(2018, time.January, 1, 0, 0, 0, 0, time.UTC)
	for h := range 24 * recordDays {
		v := 4.5 + 2.5*math.Sin(float64(h)/17) + 1.5*math.Sin(float64(h*7919%1013))
		fmt.Fprintf(&b, "%s,%.1f,%.1f,%d,%.1f\n", at.Add(time.Duration(h)*time.Hour).Format("2006-01-02 15:04"), v, 0.87*v, h*13%360, 9+5*math.Sin(float64(h)/1400))
	}
	return b.Bytes()
}()

// garden is an invented request document. record is where its wind comes from; empty, it comes from a mean.
func garden(name, record string) []byte {
	wind := map[string]any{"mean": map[string]any{"speed_m_s": 4.8, "height_m": 10}, "measured_over": map[string]any{"cover": "open"}}
	if record != "" {
		wind = map[string]any{"record": map[string]any{"id": record}}
	}
	b, err := json.Marshal(map[string]any{
		"site": map[string]any{"name": name, "latitude": 52.5, "longitude": -1.5, "elevation_m": 80, "ground": map[string]any{"cover": "open"}},
		"wind": wind,
		"turbine": map[string]any{"name": "invented", "rotor_diameter_m": 2.4, "regulation": "furling", "power_curve": map[string]any{
			"points": [][]float64{{3, 0}, {5, 90}, {8, 420}, {11, 800}, {20, 500}}}},
		"towers": []any{map[string]any{"hub_height_m": 12, "cost": 800}, map[string]any{"hub_height_m": 18, "cost": 1500}},
		"money": map[string]any{"currency": "EUR", "turbine_cost": 1800, "other_cost": 300, "yearly_cost": 60, "life_years": 20, "discount_rate": 0.04,
			"price_per_kwh": 0.3},
	})
	if err != nil {
		panic(err)
	}
	return b
}

// readings are some of a meter's, which no other batch has.
func readings(batch int) []byte {
	var b bytes.Buffer
	b.WriteString(`{"readings":[`)
	from := time.Date(2001, time.January, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(batch*readingsAtOnce) * time.Hour)
	for i := range readingsAtOnce {
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, `{"from":%q,"time":%q,"energy_kwh":%d}`, from.Add(time.Duration(i)*time.Hour).Format(time.RFC3339),
			from.Add(time.Duration(i+1)*time.Hour).Format(time.RFC3339), 1+i%9)
	}
	b.WriteString("]}")
	return b.Bytes()
}

const readingsAtOnce = 1000

// mirror stands in for a public archive: an invented year of hourly wind for any place, in its format.
func mirror(t *testing.T) string {
	t.Helper()
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		start := r.URL.Query().Get("start")
		year, err := time.Parse("2006", start[:min(4, len(start))])
		if err != nil || !strings.Contains(r.URL.Path, "nasa_power") {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Type", "text/csv")
		fmt.Fprintf(w, "-BEGIN HEADER-\nNASA/POWER Source Native Resolution Hourly Data \nDates (month/day/year): 01/01/%d through 12/31/%d in UTC\n"+ //nolint:errcheck // the client may be killed
			"Location: latitude  %s   longitude %s \nelevation from MERRA-2: Average for 0.5 x 0.625 degree lat/lon region = 120.5 meters\n"+
			"The value for missing source data that cannot be computed or is outside of the sources availability range: -999 \nParameter(s): \n"+
			"WS10M     MERRA-2 Wind Speed at 10 Meters (m/s) \n-END HEADER-\nYEAR,MO,DY,HR,WS10M\n", year.Year(), year.Year(),
			r.URL.Query().Get("latitude"), r.URL.Query().Get("longitude"))
		for at, h := year, 0; at.Year() == year.Year(); at, h = at.Add(time.Hour), h+1 {
			fmt.Fprintf(w, "%d,%d,%d,%d,%.2f\n", at.Year(), at.Month(), at.Day(), at.Hour(), 2+float64(h*7919%83)/10) //nolint:errcheck // as above
		}
	}))
	t.Cleanup(s.Close)
	return s.URL
}
