package api

import (
	"fmt"
	"math"
	"net/url"
	"strings"
	"testing"

	"mastworth/openapi"
)

// A curve's page has its points with the share of the wind's power they take: 384.85 W of ½·1.225·π·10³ = 1924.2 W in a wind of 10 m/s
// through 2 m across is 0.200 (IEC 61400-12-1's definition, by hand).
func TestCurvePage(t *testing.T) {
	f := newFixture(t)
	lacks(t, "no curves", wellFormed(t, "no curves", f.do("GET", "/curves", nil).want(200)), "No curve is kept yet")
	var c openapi.Curve
	f.post("/v1/curves", []byte(`{"name":"Orchard two","rotor_diameter_m":2,"power_curve":{"points":[[3,0],[10,384.85],[20,384.85]]}}`)).want(201).json(&c)
	lacks(t, "the list", wellFormed(t, "the list", f.do("GET", "/curves", nil).want(200)), "/curves/"+c.ID, "Orchard two", "385\u00a0W")
	text := wellFormed(t, "the page", f.do("GET", "/curves/"+c.ID, nil).want(200))
	lacks(t, "the page", text, "<h1>Orchard two</h1>", "<td>385</td><td>0.200</td>", "<td>385</td><td>0.025</td>", "A table, as it was given", "/v1/curves/"+c.ID+"?format=csv",
		"charts/power-curves.svg", "No site uses it")
	for _, end := range []string{"svg", "png", "csv"} {
		f.do("GET", "/curves/"+c.ID+"/charts/power-curves."+end, nil).want(200)
	}
	f.do("GET", "/curves/"+c.ID+"/charts/coverage.svg", nil).problem(missing, "path.file", "")
	f.do("GET", "/curves/nobody", nil).problem(missing, "", "nobody")
	f.sent("/curves/"+c.ID, "").want(422)
	f.sent("/curves/"+c.ID, "delete=yes").want(303)
	f.do("GET", "/curves/"+c.ID, nil).want(404)
}

// A design's page tells what was worked out of it.
func TestDesignPage(t *testing.T) {
	s := &scenario{fixture: newFixture(t)}
	var c openapi.Curve
	s.post("/v1/curves", keptDesign(s)).want(201).json(&c)
	text := wellFormed(t, "the page", s.do("GET", "/curves/"+c.ID, nil).want(200))
	lacks(t, "the page", text, "A design, worked out", "Rotor’s highest power coefficient", fmt.Sprintf("%.3f", *c.Machine.Design.BestCp))
}

func TestCurvePoints(t *testing.T) {
	c := &openapi.Curve{Machine: openapi.Machine{Curve: [][]float64{{0, 0}, {10, 384.85}}}}
	if p := curvePoints(c, 2); p[0].Cp == p[0].Cp || math.Abs(p[1].Cp-0.2) > 1e-5 {
		t.Errorf("%+v", p)
	}
	if p := curvePoints(c, math.NaN()); p[1].Cp == p[1].Cp {
		t.Errorf("%+v", p)
	}
}

// Two blades of 1000 g and 990 g, half a metre out, pull with 10 g · 0.5 m = 5 g·m towards the heavier one; at 300 turns a minute that is
// 0.005 kg·m · (10π/s)² = 4.93 N (by hand).
func TestBalancePage(t *testing.T) {
	f := newFixture(t)
	lacks(t, "the empty form", wellFormed(t, "the empty form", f.do("GET", "/balance", nil).want(200)), `name="masses"`)
	ask := func(v url.Values) string { return "/balance?" + v.Encode() }
	text := wellFormed(t, "the answer", f.do("GET", ask(url.Values{"masses": {"1000; 990"}, "centres": {"0.5, 0.5"}}), nil).want(200))
	lacks(t, "the answer", text, "5.00\u00a0g·m", "4.93\u00a0N", "0\u00a0°", `role="img"`, "never stand in the plane")
	for field, v := range map[string]url.Values{
		"masses":     {"masses": {"1000 heavy"}},
		"centres":    {"masses": {"1000 990 995"}, "centres": {"0.5 0.5"}},
		"rpm":        {"masses": {"1000 990"}, "rpm": {"0"}},
		"tip_radius": {"masses": {"1000 990"}, "tip_radius": {"far"}},
	} {
		text := wellFormed(t, field, f.do("GET", ask(v), nil).want(422))
		at := strings.Index(text, `name="`+field+`"`)
		if end := at + strings.Index(text[at:], ">"); !strings.Contains(text[at:end], `aria-invalid="true"`) {
			t.Errorf("%s is not marked: %s", field, text[at:end])
		}
	}
	for masses, want := range map[string]string{"812,5 809 815": "812.5", "812,5; 809,5": "809.5", "812,5, 809,5, 810": "812.5"} {
		lacks(t, masses, string(f.do("GET", ask(url.Values{"masses": {masses}}), nil).want(200).body), "<td>"+want+"</td>")
	}
	lacks(t, "a list with commas alone", string(f.do("GET", ask(url.Values{"masses": {"1000,990,98.5e1"}}), nil).want(200).body), "<td>985.0</td>")
	for _, masses := range []string{"812,5,809,815", "812,5", "0,5,0,5", "812, 5 809"} {
		lacks(t, masses, string(f.do("GET", ask(url.Values{"masses": {masses}}), nil).want(422).body), "may be read in two ways")
	}
	lacks(t, "thousands or decimals", string(f.do("GET", ask(url.Values{"masses": {"812,500 809"}}), nil).want(422).body), "may be 812500 or 812.500")
	lacks(t, "one blade", string(f.do("GET", "/balance?masses=1000", nil).want(422).body), "from 2 to 12 blades")
	f.do("GET", "/balance?masses="+strings.Repeat("1", 401), nil).problem(invalidParameters, "query.masses", "400")
}
