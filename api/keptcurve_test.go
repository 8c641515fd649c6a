package api

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"mastworth/openapi"
)

func codes(list openapi.Warnings) []string {
	var out []string
	for _, w := range list {
		out = append(out, w.Code)
	}
	return out
}

// A kept curve keeps what was said of it: its log, where it is from, its warnings, and that it is a sketch; its record may go.
func TestKeptCurveOfALog(t *testing.T) {
	f := newFixture(t)
	for _, x := range []struct {
		hours   int
		warning string
	}{{200, "pressure_assumed"}, {20, "curve_incomplete"}} {
		rec := f.upload(powerLog(x.hours), nil)
		text, err := json.Marshal(map[string]any{"name": "logged", "rotor_diameter_m": 2.6, "test_log": map[string]any{
			"record": map[string]any{"id": rec.ID}, "averaging_s": 60, "elevation_m": 700}})
		if err != nil {
			t.Fatal(err)
		}
		var made, read openapi.Curve
		f.post("/v1/curves", text).want(201).json(&made)
		f.do("DELETE", "/v1/records/"+rec.ID, nil).want(204)
		f.do("GET", "/v1/curves/"+made.ID, nil).want(200).json(&read)
		for _, c := range []openapi.Curve{made, read} {
			if l := c.TestLog; l == nil || l.Record.ID == nil || *l.Record.ID != rec.ID || l.ElevationM == nil || *l.ElevationM != 700 || c.Turbine.PowerCurve == nil {
				t.Errorf("%+v", c.TestLog)
			}
		}
		var e openapi.Estimate
		f.post("/v1/estimates", change(t, exampleJSON(t, "FittedWind"), "turbine", map[string]any{"curve": map[string]any{"id": made.ID}})).want(200).json(&e)
		if !slices.Contains(codes(e.Warnings), x.warning) || !slices.Contains(codes(made.Warnings), x.warning) {
			t.Errorf("%d hours: %v", x.hours, codes(e.Warnings))
		}
		if c := e.Request.Turbine.Curve; c == nil || c.ID != made.ID || e.Request.Turbine.PowerCurve != nil {
			t.Errorf("%+v", e.Request.Turbine)
		}
		var told []string
		for _, p := range e.Provenance {
			if strings.HasPrefix(p.What, "turbine.") {
				told = append(told, p.What+" "+p.Method)
			}
		}
		if all := strings.Join(told, "\n"); !strings.Contains(all, "turbine.curve kept curve "+made.ID) || !strings.Contains(all, "method of bins, 60 s averages") ||
			!strings.Contains(all, "700 m, the elevation of test_log.elevation_m") {
			t.Error(all)
		}
	}
}

// A design to be kept waits for its turn like any heavy work.
func TestCurveWaitsForItsTurn(t *testing.T) {
	f := newFixture(t, func(o *Options) { o.HeavyJobs, o.HeavyWait = 1, 10*time.Millisecond })
	design := designFields()
	delete(design, "sweep")
	text, err := json.Marshal(map[string]any{"name": "six boards", "design": design})
	if err != nil {
		t.Fatal(err)
	}
	f.service.heavy <- struct{}{}
	f.post("/v1/curves", text).want(503)
	<-f.service.heavy
	f.post("/v1/curves", text).want(201)
	if len(f.service.heavy) != 0 {
		t.Error("the turn was not given back")
	}
}
