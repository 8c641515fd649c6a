package api

import (
	"bytes"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"testing"
	"time"

	"mastworth/openapi"
)

// seasonal is a record of three years by the hour, at UTC, with a vane: 7 and 9 m/s in turn from October to March, half of that in summer,
// from the west by day and from the east by night. What months are left out have no stamps.
func seasonal(leftOut ...time.Month) []byte {
	var b bytes.Buffer
	b.WriteString("time (UTC),wind speed 10 m (m/s),wind direction 10 m (deg)\n")
	for at := time.Date(2022, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() < 2025; at = at.Add(time.Hour) {
		v, from := 7+2*float64(at.Hour()%2), 270
		if at.Month() > time.March && at.Month() < time.October {
			v /= 2
		}
		if at.Hour() < 12 {
			from = 90
		}
		out := false
		for _, m := range leftOut {
			out = out || at.Month() == m
		}
		if !out {
			fmt.Fprintf(&b, "%s,%.1f,%d\n", at.Format("2006-01-02 15:04"), v, from)
		}
	}
	return b.Bytes()
}

// A machine that makes just what its curve makes of the wind of the time keeps its promise, in winter as in summer, whether the estimate
// knows seasons or not, and whether the record that tells of the time has all months or not.
func TestNoSeasonCountsTwice(t *testing.T) {
	f := newFixture(t)
	asked := url.Values{"utc_offset": {"Z"}}
	whole, lacking := f.upload(seasonal(), asked), f.upload(seasonal(time.December), asked)
	base := change(t, exampleJSON(t, "MeanWind"), "turbine", map[string]any{"rotor_diameter_m": 5, "power_curve": map[string]any{"points": [][]float64{{0, 0}, {50, 5000}}}})
	base = change(t, change(t, base, "site.longitude", 0), "site.ground", map[string]any{"cover": "open"})
	flat := f.savedSite(string(change(t, base, "wind", map[string]any{"mean": map[string]any{"speed_m_s": 6, "height_m": 10}})))
	monthly := f.savedSite(string(change(t, base, "wind", map[string]any{"record": map[string]any{"id": whole.ID}})))
	for _, c := range []struct {
		name, site, record string
		off                float64
	}{
		{"neither knows seasons by month", flat, whole.ID, 1e-6},
		{"both do", monthly, whole.ID, 1e-6},
		{"the record lacks December", monthly, lacking.ID, 1e-6},
		{"the record lacks December and the estimate knows no months", flat, lacking.ID, 0.06},
	} {
		for season, months := range map[string][]time.Month{"winter": {time.January, time.February, time.March}, "summer": {time.June, time.July, time.August}} {
			var e openapi.Estimate
			f.do("GET", "/v1/sites/"+c.site+"/estimate", nil).want(http.StatusOK).json(&e)
			h := &e.Heights[0]
			// With a curve in proportion to the wind the energy of a month is to the year's mean as its mean speed is.
			summer := 0.0
			for m := time.January; m <= time.December; m++ {
				n := time.Date(2023, m+1, 0, 0, 0, 0, 0, time.UTC).Day()
				if m > time.March && m < time.October {
					summer += float64(n)
				}
			}
			mean := 8 * (1 - summer/365/2)
			table := "from,to,energy_kwh\n"
			for _, m := range months {
				last := time.Date(2023, m+1, 0, 0, 0, 0, 0, time.UTC)
				v := 8.0
				if season == "summer" {
					v = 4
				}
				table += fmt.Sprintf("%s,%s,%g\n", last.AddDate(0, 0, 1-last.Day()).Format(time.DateOnly), last.Format(time.DateOnly), *h.Energy.NetKWh/365*float64(last.Day())*v/mean)
			}
			f.do("POST", "/v1/sites/"+c.site+"/readings", []byte(table), asCSV...).want(http.StatusOK)
			var got openapi.Harvest
			f.do("GET", fmt.Sprintf("/v1/sites/%s/harvest?hub_height_m=%g&record=%s", c.site, h.HubHeightM, c.record), nil).want(http.StatusOK).json(&got)
			if r := got.Corrected.Ratio; r == nil || math.Abs(*r-1) > c.off || got.Answer != openapi.HarvestAnswerWithin || !got.ByWind {
				t.Errorf("%s, %s: corrected %v, %s, by wind %v", c.name, season, *got.Corrected.Ratio, got.Answer, got.ByWind)
			}
			var list openapi.ReadingList
			f.do("GET", "/v1/sites/"+c.site+"/readings", nil).want(http.StatusOK).json(&list)
			for _, r := range list.Readings {
				f.do("DELETE", "/v1/sites/"+c.site+"/readings/"+r.ID, nil).want(http.StatusNoContent)
			}
		}
	}
}

// Behind a wood in the west the machine makes little by day, when the wind comes from there. The record that the estimate is made of is moved
// to the hub as the estimate moves it, direction by direction: by day less windy, by night more.
func TestTheOwnRecordIsMovedByDirection(t *testing.T) {
	f := newFixture(t)
	rec := f.upload(seasonal(), url.Values{"utc_offset": {"Z"}})
	body := change(t, exampleJSON(t, "MeanWind"), "wind", map[string]any{"record": map[string]any{"id": rec.ID}, "measured_over": map[string]any{"cover": "open"}})
	body = change(t, change(t, body, "site.longitude", 0), "site.obstacles", []map[string]any{{"bearing_deg": 270, "distance_m": 60, "height_m": 12, "width_m": 300, "porosity": 0.3}})
	id := f.savedSite(string(body))
	rows := "from,to,energy_kwh\n"
	for day := 1; day <= 28; day++ {
		rows += fmt.Sprintf("2024-02-%02d 00:00,2024-02-%02d 12:00,1\n2024-02-%02d 12:00,2024-02-%02d 00:00,1\n", day, day, day, day+1)
	}
	f.do("POST", "/v1/sites/"+id+"/readings", []byte(rows), asCSV...).want(http.StatusOK)
	var got openapi.Harvest
	f.do("GET", "/v1/sites/"+id+"/harvest", nil).want(http.StatusOK).json(&got)
	if len(got.Periods) != 56 {
		t.Fatalf("%d periods: %+v", len(got.Periods), got.Warnings)
	}
	night, day := *got.Periods[0].Windiness, *got.Periods[1].Windiness
	if !(day < 0.9 && night > 1.1) || math.Abs((day+night)/2-1) > 1e-6 {
		t.Errorf("by day %g and by night %g of the long run", day, night)
	}
}

// More readings are those of the same comparison, and so is what a form leads back to.
func TestTheComparisonIsKept(t *testing.T) {
	f := newFixture(t)
	id := f.savedSite(string(exampleJSON(t, "FittedWind")))
	rows := "time,energy_kwh\n"
	for i := range readingsOnPage + 3 {
		rows += fmt.Sprintf("%s,1\n", time.Date(2024, 1, 1+i, 0, 0, 0, 0, time.UTC).Format(time.DateOnly))
	}
	f.do("POST", "/v1/sites/"+id+"/readings", []byte(rows), asCSV...).want(http.StatusOK)
	text := string(f.do("GET", "/sites/"+id+"/harvest?hub_height_m=15&units=feet", nil).want(http.StatusOK).body)
	lacks(t, "the page", text, "hub_height_m=15&units=feet#readings", `action="/sites/`+id+`/harvest?hub_height_m=15"`)
	a := f.do("POST", "/sites/"+id+"/harvest?hub_height_m=15", []byte("kind=energy&kwh=5&date=2024-05-01"), asForm...).want(http.StatusSeeOther)
	if to := a.header.Get("Location"); to != "/sites/"+id+"/harvest?hub_height_m=15" {
		t.Errorf("it leads to %s", to)
	}
}

// A record of a few of the days that were read is not called one of that time.
func TestARecordOfFewDaysIsNotOfTheTime(t *testing.T) {
	f := newFixture(t)
	rec := f.upload(hourlyCSV(28*24), url.Values{"utc_offset": {"Z"}}) // March 2024
	id := f.savedSite(string(change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": rec.ID}})))
	told := func(table string) bool {
		f.do("POST", "/v1/sites/"+id+"/readings", []byte(table), asCSV...).want(http.StatusOK)
		var got openapi.Harvest
		f.do("GET", "/v1/sites/"+id+"/harvest", nil).want(http.StatusOK).json(&got)
		for _, w := range got.Warnings {
			if w.Code == "record_of_the_time" {
				return true
			}
		}
		return false
	}
	if !told("from,to,energy_kwh\n2024-03-01,2024-03-28,50\n") {
		t.Error("all that was read is of the record's time")
	}
	if told("from,to,energy_kwh\n2023-08-01,2024-02-20,300\n") {
		t.Error("a seventh of what was read is of the record's time")
	}
}
