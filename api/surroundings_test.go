package api

import (
	"bytes"
	"fmt"
	"math"
	"net/url"
	"testing"
	"time"

	"mastworth/openapi"
)

func screeningRules(s *scenario, a *answered) {
	var out openapi.Screening
	a.json(&out)
	s.etag = a.header.Get("ETag")
	if len(out.Rules) < 8 || !out.Rules[0].Used || len(out.Rules[0].Limits) == 0 {
		s.t.Errorf("%.300s", a.body)
	}
}

// The record's speeds go up to 10.6 m/s, so a limit of 10 finds some; the record itself stays as it was.
func stricterScreening(s *scenario, a *answered) {
	var out openapi.Screening
	a.json(&out)
	found := 0
	for _, f := range out.Findings {
		if f.Rule == "range" && f.Action == "flagged" {
			found++
		}
	}
	used := map[string]bool{}
	for _, r := range out.Rules {
		used[r.Name] = r.Used
	}
	if found == 0 || used["icing"] || used["spike"] || !used["range"] {
		s.t.Errorf("%d values out of range; used: %v", found, used)
	}
	var after openapi.Record
	s.do("GET", "/v1/records/"+s.record.ID, nil).json(&after)
	if after.Statistics.Channels[0].Flagged != s.record.Statistics.Channels[0].Flagged {
		s.t.Error("screening changed the record")
	}
}

func climateSectors(n int) func(*scenario, *answered) {
	return func(s *scenario, a *answered) {
		var out openapi.Climate
		a.json(&out)
		s.etag = a.header.Get("ETag")
		if len(out.Sectors) != n || len(out.Fits) != 4 || len(out.MonthHours) != 12 || len(out.MonthHours[0]) != 24 || out.TurbulenceMissing == "" {
			s.t.Errorf("%.300s", a.body)
		}
		sum := 0.0
		for _, sec := range out.Sectors {
			sum += *sec.EnergyShare
		}
		if math.Abs(sum-1) > 1e-9 {
			s.t.Errorf("the energy of all directions is %g", sum)
		}
	}
}

// A map says what obstacles and sectors would: the answer echoes them, and the echo gives the same answer.
func TestMap(t *testing.T) {
	f := newFixture(t)
	features := `[
		{"type":"Feature","geometry":{"type":"LineString","coordinates":[[-1.4412,52.2091],[-1.4388,52.2091]]},
			"properties":{"name":"hedge","height_m":5,"porosity":0.4}},
		{"type":"Feature","geometry":{"type":"Polygon","coordinates":[[[-1.4430,52.2097],[-1.4428,52.2097],[-1.4428,52.2099],[-1.4430,52.2099],[-1.4430,52.2097]]]},
			"properties":{"height_m":7,"colour":"red"}},
		{"type":"Feature","geometry":{"type":"Polygon","coordinates":[[[-1.46,52.20],[-1.442,52.20],[-1.442,52.22],[-1.46,52.22],[-1.46,52.20]]]},
			"properties":{"cover":"closed","displacement_m":8}}]`
	base := change(t, exampleJSON(t, "FittedWind"), "wind.measured_over", map[string]any{"cover": "open"})
	body := bytes.Replace(base, []byte(`"site":{`), []byte(`"site":{"map":{"type":"FeatureCollection","features":`+features+`},`), 1)
	var first openapi.Estimate
	f.post("/v1/estimates", body).want(200).json(&first)
	site := first.Request.Site
	if site.Map != nil || site.Obstacles == nil || len(*site.Obstacles) < 3 || len(site.Ground.Sectors) == 0 {
		t.Fatalf("the echo of the map is %+v", site)
	}
	for _, s := range site.Ground.Sectors {
		if mid := math.Mod((s.FromDeg+s.ToDeg)/2, 360); s.FromDeg < s.ToDeg && (mid < 180 || mid > 359) {
			t.Errorf("the wood in the west is seen at %g to %g degrees", s.FromDeg, s.ToDeg)
		}
	}
	h := first.Heights[0]
	if h.Surroundings == nil || *h.Surroundings.ObstacleLossShare <= 0 || len(h.Siting) == 0 {
		t.Errorf("%+v", h.Surroundings)
	}
	echoed := change(t, base, "site", site)
	var second openapi.Estimate
	f.post("/v1/estimates", echoed).want(200).json(&second)
	if *second.Heights[0].Energy.NetKWh != *h.Energy.NetKWh {
		t.Errorf("the echo gives %g kWh, the map %g", *second.Heights[0].Energy.NetKWh, *h.Energy.NetKWh)
	}
}

// What is wrong with a map is told at its feature.
func TestBadMap(t *testing.T) {
	f := newFixture(t)
	point := `{"type":"Point","coordinates":[-1.441,52.2105]}`
	for at, feature := range map[string]string{
		"body.site.map.features[0].properties.porosity":    `{"type":"Feature","geometry":` + point + `,"properties":{"height_m":5,"porosity":1.2}}`,
		"body.site.map.features[0].properties.height_m":    `{"type":"Feature","geometry":` + point + `,"properties":{"height_m":"tall"}}`,
		"body.site.map.features[0].properties.heigth_m":    `{"type":"Feature","geometry":` + point + `,"properties":{"heigth_m":5}}`,
		"body.site.map.features[0].properties":             `{"type":"Feature","geometry":` + point + `,"properties":{}}`,
		"body.site.map.features[0].properties.cover":       `{"type":"Feature","geometry":` + point + `,"properties":{"cover":"jungle"}}`,
		"body.site.map.features[0].geometry":               `{"type":"Feature","geometry":{"type":"Point","coordinates":[52.2,-181]},"properties":{"height_m":5}}`,
		"body.site.map.features[0]":                        `{"type":"Cow"}`,
		"body.site.map.features[1].geometry":               `{"type":"Feature","geometry":` + point + `,"properties":{"height_m":5}},{"type":"Feature","geometry":{"type":"Polygon","coordinates":[[[-1.44,52.21],[-1.43,52.22],[-1.43,52.21],[-1.44,52.22],[-1.44,52.21]]]},"properties":{"height_m":5}}`,
		"body.site.map.features[0].properties.width_m":     `{"type":"Feature","geometry":` + point + `,"properties":{"height_m":5,"width_m":-2}}`,
		"body.site.map.features[0].properties.roughness_m": `{"type":"Feature","geometry":` + point + `,"properties":{"roughness_m":50}}`,
	} {
		body := bytes.Replace(exampleJSON(t, "FittedWind"), []byte(`"site":{`), []byte(`"site":{"map":{"type":"FeatureCollection","features":[`+feature+`]},`), 1)
		checkNamed(t, f.post("/v1/estimates", body), at, at)
	}
}

// yearsCSV is hourly wind with a season, over whole years; factor scales the speed.
func yearsCSV(from, years int, factor float64) []byte {
	var b bytes.Buffer
	b.WriteString("time (UTC),wind speed 10 m (m/s),wind direction 10 m (deg)\n")
	start := time.Date(from, time.January, 1, 0, 0, 0, 0, time.UTC)
	end := start.AddDate(years, 0, 0)
	for h := 0; ; h++ {
		at := start.Add(time.Duration(h) * time.Hour)
		if !at.Before(end) {
			return b.Bytes()
		}
		key := at.Unix() / 3600
		v := 5 + 1.5*math.Cos(2*math.Pi*float64(at.YearDay())/365) + 3*math.Sin(float64(key)*0.71) + 1.2*math.Sin(float64(key)*0.0137)
		fmt.Fprintf(&b, "%s,%.2f,%d\n", at.Format("2006-01-02 15:04"), math.Max(0.1, factor*v), (key*37)%360)
	}
}

// A short record is stretched by a stored one, which is then in use by the site.
func TestLongTermOverStoredRecords(t *testing.T) {
	f := newFixture(t)
	short := f.upload(yearsCSV(2023, 1, 0.8), nil)
	long := f.upload(yearsCSV(2019, 6, 1), url.Values{"name": {"airport"}})
	body := change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": short.ID},
		"long_term": map[string]any{"reference": map[string]any{"id": long.ID}}})
	var e openapi.Estimate
	f.post("/v1/estimates", body).want(200).json(&e)
	l := e.LongTerm
	if l == nil || *l.R < 0.99 || l.Reference != long.ID || l.Pairs < 8000 || *l.PredictedMeanMS < 3 {
		t.Fatalf("%+v", l)
	}
	var site openapi.Site
	f.post("/v1/sites", body).want(201).json(&site)
	if site.ReferenceID == nil || *site.ReferenceID != long.ID {
		t.Errorf("%+v", site)
	}
	f.do("DELETE", "/v1/records/"+long.ID, nil).want(409)
	f.do("GET", "/v1/sites/"+site.ID+"/estimate", nil).want(200)
	f.do("DELETE", "/v1/sites/"+site.ID, nil).want(204)
	f.do("DELETE", "/v1/records/"+long.ID, nil).want(204)
	checkNamed(t, f.post("/v1/estimates", body), "body.wind.long_term.reference.id", "a reference that is gone")
	checkNamed(t, f.post("/v1/sites", body), "body.wind.long_term.reference.id", "a reference that is gone")
	// The two never overlap.
	other := f.upload(yearsCSV(2010, 2, 1), nil)
	checkNamed(t, f.post("/v1/estimates", change(t, body, "wind.long_term.reference.id", other.ID)), "body.wind.long_term", "no overlap")
}

// An estimate over a stored record follows the screening it asks for, and the next one the usual one again.
func TestScreeningOfARequest(t *testing.T) {
	f := newFixture(t)
	rec := f.upload(hourlyCSV(9000), nil)
	mean := func(record map[string]any) float64 {
		var e openapi.Estimate
		f.post("/v1/estimates", change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": record})).want(200).json(&e)
		return *e.Heights[0].Wind.MeanSpeedMS
	}
	usual := mean(map[string]any{"id": rec.ID})
	strict := mean(map[string]any{"id": rec.ID, "screening": map[string]any{"limits": []any{map[string]any{"name": "range.speed_max_m_s", "value": 8.0}}}})
	if strict >= usual {
		t.Errorf("%g m/s without what is above 8 m/s, %g m/s with it", strict, usual)
	}
	if again := mean(map[string]any{"id": rec.ID}); again != usual {
		t.Errorf("%g m/s after, %g m/s before", again, usual)
	}
}
