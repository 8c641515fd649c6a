package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"mastworth/openapi"
)

func keptDesign(s *scenario) []byte {
	design := designFields()
	delete(design, "sweep")
	text, err := json.Marshal(map[string]any{"name": "six boards", "design": design})
	if err != nil {
		s.t.Fatal(err)
	}
	return text
}

func keptCurve(s *scenario, a *answered) {
	var c openapi.Curve
	a.json(&c)
	s.curveID, s.etag = c.ID, a.header.Get("ETag")
	d := c.Machine.Design
	if d == nil {
		s.t.Fatalf("%.400s", a.body)
		return // for the linter, which does not know Fatalf through a field
	}
	if len(c.Machine.Curve) < 20 || a.header.Get("Location") != "/v1/curves/"+c.ID || c.Turbine.Design == nil {
		s.t.Fatalf("%.400s", a.body)
	}
	if *d.GeneratorPerRotor != 2 || d.GearReading == "" || len(d.Points) < 40 || len(d.TorqueMap.Rows) == 0 || *d.BestCp <= 0.05 || *d.BestCp >= 16.0/27 {
		s.t.Errorf("%+v", d)
	}
	for _, p := range d.Points { // every watt is accounted for
		sum := *p.GearLossW + *p.IronLossW + *p.CopperLossW + *p.DiodeLossW + *p.WireLossW + *p.LoadLossW + *p.DeliveredW
		if math.Abs(sum-*p.AeroW) > 1e-6*math.Max(1, *p.AeroW) {
			s.t.Errorf("at %g m/s the rotor takes %g W and %g W are told of", p.WindMS, *p.AeroW, sum)
		}
	}
	if !(*d.Runaway.TipSpeedMS > *d.OnLoad.TipSpeedMS) {
		s.t.Error("without load and furling the rotor turns no faster")
	}
}

func withCurve(s *scenario) []byte {
	return change(s.t, exampleJSON(s.t, "FittedWind"), "turbine", map[string]any{"curve": map[string]any{"id": s.curveID}})
}

func designedEstimate(s *scenario, a *answered) {
	var e openapi.Estimate
	a.json(&e)
	if e.Machine == nil || e.Machine.Design == nil || *e.Heights[0].Energy.NetKWh <= 0 {
		s.t.Errorf("%.400s", a.body)
	}
	if t := e.Request.Turbine; t.Curve == nil || t.Curve.ID != s.curveID || t.Design != nil || t.PowerCurve != nil { // fit to be sent again
		s.t.Errorf("%+v", t)
	}
	if w := e.Request.Losses.Wiring; w == nil {
		s.t.Error("the wiring loss is not echoed")
	}
}

func balanced(s *scenario, a *answered) {
	var b openapi.Balance
	a.json(&b)
	if len(b.Order) != 6 || b.Order[0] != 1 || *b.ImbalanceGm > *b.AsGivenGm || b.CentreKnown {
		s.t.Errorf("%s", a.body)
	}
}

// A sweep in a request tries the gears in the site's wind.
func TestSweep(t *testing.T) {
	f := newFixture(t)
	var e openapi.Estimate
	f.post("/v1/estimates", change(t, exampleJSON(t, "FittedWind"), "turbine", map[string]any{"design": designFields()})).want(200).json(&e)
	m := e.Machine.Matching
	if len(m) != 8 {
		t.Fatalf("%d combinations", len(m))
	}
	for i := range m {
		if m[i].Why == "" || i > 0 && *m[i].WithinRatingKWh > *m[i-1].WithinRatingKWh {
			t.Errorf("%d: %+v", i, m[i])
		}
	}
}

// A braked design makes nothing, which is an answer: no rating, no capacity factor, not worth it.
func TestBrakedDesign(t *testing.T) {
	f := newFixture(t)
	design := designFields()
	delete(design, "sweep")
	design["load"] = map[string]any{"short_circuit": true}
	var e openapi.Estimate
	f.post("/v1/estimates", change(t, exampleJSON(t, "FittedWind"), "turbine", map[string]any{"design": design})).want(200).json(&e)
	if e.Heights[0].Energy.CapacityFactor != nil || e.Request.Turbine.RatedPowerW != nil || e.Verdict.Answer != "not_worth_it" ||
		!slices.Contains(codes(e.Warnings), "brake") {
		t.Errorf("%+v %+v %v", e.Heights[0].Energy, e.Verdict, codes(e.Warnings))
	}
}

// A gear that can be read two ways is refused with both readings.
func TestGearInWords(t *testing.T) {
	f := newFixture(t)
	design := designFields()
	design["gear"] = map[string]any{"ratio": "2/1"}
	a := f.post("/v1/estimates", change(t, exampleJSON(t, "FittedWind"), "turbine", map[string]any{"design": design}))
	checkNamed(t, a, "body.turbine.design.gear.ratio", "2/1")
	if !bytes.Contains(a.body, []byte("2:1")) || !bytes.Contains(a.body, []byte("1:2")) {
		t.Errorf("%s", a.body)
	}
}

// powerLog is an invented log of a machine at work: a cubic curve with noise, a value a minute.
func powerLog(hours int) []byte {
	rng := rand.New(rand.NewPCG(3, 3))
	var b bytes.Buffer
	b.WriteString("time (UTC),wind speed 10 m (m/s),power (W),temperature (C)\n")
	start := time.Date(2024, time.March, 1, 0, 0, 0, 0, time.UTC)
	v := 6.0
	for m := range hours * 60 {
		v = math.Max(0.3, v+0.02*(6.5-v)+0.35*rng.NormFloat64())
		p := math.Min(800, 1.6*math.Max(0, math.Pow(v, 3)-20)) * (1 + 0.05*rng.NormFloat64())
		fmt.Fprintf(&b, "%s,%.2f,%.1f,%.1f\n", start.Add(time.Duration(m)*time.Minute).Format("2006-01-02 15:04"), v, math.Max(0, p), 9.5)
	}
	return b.Bytes()
}

// A log of wind and power, uploaded like any record, gives a curve by the method of bins, to keep and to estimate with.
func TestCurveOfALog(t *testing.T) {
	f := newFixture(t)
	rec := f.upload(powerLog(200), nil)
	turbine := map[string]any{"name": "logged", "rotor_diameter_m": 2.6, "test_log": map[string]any{"record": map[string]any{"id": rec.ID}}}
	text, err := json.Marshal(turbine)
	if err != nil {
		t.Fatal(err)
	}
	var c openapi.Curve
	f.post("/v1/curves", text).want(201).json(&c)
	m := c.Machine.Measured
	if m == nil || len(m.Bins) < 15 || *m.TotalHours < 190 || len(m.AEP) != 8 || c.Turbine.PowerCurve == nil || c.Turbine.TestLog != nil {
		t.Fatalf("%+v", c)
	}
	for _, bin := range m.Bins {
		if bin.Complete && bin.CentreMS == 6 {
			if want := 1.6 * (216 - 20); math.Abs(*bin.PowerW/want-1) > 0.04 {
				t.Errorf("at 6 m/s %g W, %g W were put in", *bin.PowerW, want)
			}
		}
	}
	var e openapi.Estimate
	f.post("/v1/estimates", change(t, exampleJSON(t, "FittedWind"), "turbine", turbine)).want(200).json(&e)
	if e.Machine == nil || e.Machine.Measured == nil || e.Request.Turbine.TestLog == nil {
		t.Errorf("%+v", e.Machine)
	}
	var site openapi.Site
	f.post("/v1/sites", change(t, exampleJSON(t, "FittedWind"), "turbine", turbine)).want(201).json(&site)
	f.do("DELETE", "/v1/records/"+rec.ID, nil).want(409)
	f.do("GET", "/v1/sites/"+site.ID+"/estimate", nil).want(200)
	wind := f.upload(hourlyCSV(300), nil)
	turbine["test_log"] = map[string]any{"record": map[string]any{"id": wind.ID}}
	a := f.post("/v1/estimates", change(t, exampleJSON(t, "FittedWind"), "turbine", turbine))
	checkNamed(t, a, "body.turbine.test_log.record", "a log without power")
}
