package api

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"net/http"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/parquet-go/parquet-go"

	"mastworth/openapi"
)

// step is one exchange of a scenario. In target, {record} and {site} stand for what earlier steps made.
type step struct {
	name    string
	method  string
	target  string
	headers []header
	body    func(s *scenario) []byte
	status  int
	check   func(s *scenario, a *answered)
}

// scenario walks through the whole service once.
type scenario struct {
	*fixture
	record  openapi.Record
	siteID  string
	curveID string
	etag    string
}

var (
	asJSON = []header{{"Content-Type", "application/json"}}
	asYAML = []header{{"Content-Type", "application/yaml"}}
	asCSV  = []header{{"Content-Type", "text/csv"}}
)

func example(name string) func(*scenario) []byte {
	return func(s *scenario) []byte { return exampleJSON(s.t, name) }
}

// withRecord is an example whose wind is the scenario's record.
func withRecord(s *scenario) []byte {
	return change(s.t, exampleJSON(s.t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": s.record.ID}})
}

var scenarios = []step{
	{name: "index", target: "/", status: 200, check: shows("Is this backyard worth a mast", "/openapi.yaml", `href="/curves"`, `href="/balance"`)},
	{name: "problems", target: "/problems", status: 200, check: shows("/problems/invalid-request")},
	{name: "method", target: "/method", status: 200, check: shows("<math", "Stevens &amp; Smulders 1979", "/v1/methods")},
	{name: "methods", target: "/v1/methods", status: 200, check: func(s *scenario, a *answered) { s.etag = a.header.Get("ETag") }},
	{name: "methods again", target: "/v1/methods", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "contract as a page", target: "/contract", status: 200, check: func(s *scenario, a *answered) {
		shows("/v1/estimates", "EstimateRequest", "/openapi.yaml")(s, a)
		s.etag = a.header.Get("ETag")
	}},
	{name: "the page again", target: "/contract", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "problem", target: "/problems/too-large", status: 200, check: shows("too large")},
	{name: "no such problem", target: "/problems/no-such", status: 404, check: problemAt(missing, "path.slug")},
	{name: "contract", target: "/openapi.yaml", status: 200, check: func(s *scenario, a *answered) {
		if !bytes.Equal(a.body, openapi.Spec()) {
			s.t.Error("it is not the contract")
		}
		s.etag = a.header.Get("ETag")
	}},
	{name: "contract again", target: "/openapi.yaml", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "alive", target: "/livez", status: 200},
	{name: "ready", target: "/readyz", status: 200},

	{name: "estimate", method: "POST", target: "/v1/estimates", headers: asJSON, body: example("FittedWind"), status: 200, check: orchardEstimate},
	{name: "estimate from YAML", method: "POST", target: "/v1/estimates", headers: asYAML, status: 200, check: orchardEstimate,
		body: func(s *scenario) []byte {
			text, err := yaml.JSONToYAML(exampleJSON(s.t, "FittedWind"))
			if err != nil {
				s.t.Fatal(err)
			}
			return text
		}},
	{name: "estimate of a mean", method: "POST", target: "/v1/estimates", headers: asJSON, body: example("MeanWind"), status: 200, check: meanEstimate},
	{name: "estimate of a table", method: "POST", target: "/v1/estimates", headers: asJSON, body: example("FrequencyTable"), status: 200},

	{name: "no records yet", target: "/v1/records", status: 200, check: func(s *scenario, a *answered) {
		if strings.TrimSpace(string(a.body)) != `{"records":[],"next":null}` {
			s.t.Errorf("%s", a.body)
		}
	}},
	{name: "upload", method: "POST", target: "/v1/records?name=winter.csv&utc_offset=%2B01:00", headers: asCSV, status: 201,
		body: func(*scenario) []byte { return hourlyCSV(4000) }, check: uploaded},
	{name: "read record", target: "/v1/records/{record}", status: 200, check: func(s *scenario, a *answered) {
		var rec openapi.Record
		a.json(&rec)
		if !reflect.DeepEqual(rec, s.record) {
			s.t.Errorf("read\n%+v\nuploaded\n%+v", rec, s.record)
		}
		s.etag = a.header.Get("ETag")
	}},
	{name: "read record again", target: "/v1/records/{record}", headers: []header{{"If-None-Match", `"x", {etag}`}}, status: 304, check: empty},
	{name: "screening", target: "/v1/records/{record}/screening", status: 200, check: screeningRules},
	{name: "screening again", target: "/v1/records/{record}/screening", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "screening by other rules", target: "/v1/records/{record}/screening?leave_out=icing&leave_out=spike&limit=range.speed_max_m_s=10", status: 200,
		check: stricterScreening},
	{name: "screening by a rule there is not", target: "/v1/records/{record}/screening?leave_out=luck", status: 400, check: problemAt(invalidParameters, "query.leave_out")},
	{name: "screening by a limit that is none", target: "/v1/records/{record}/screening?limit=range", status: 400,
		check: problemAt(invalidParameters, "query.limit")},
	{name: "climate", target: "/v1/records/{record}/climate", status: 200, check: climateSectors(12)},
	{name: "climate again", target: "/v1/records/{record}/climate", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "climate in 36 sectors", target: "/v1/records/{record}/climate?sectors=36", status: 200, check: climateSectors(36)},
	{name: "climate in 7 sectors", target: "/v1/records/{record}/climate?sectors=7", status: 400, check: problemAt(invalidParameters, "query.sectors")},
	{name: "climate of no channel", target: "/v1/records/{record}/climate?channel=luck", status: 400, check: problemAt(invalidParameters, "query.channel")},
	{name: "coverage", target: "/v1/records/{record}/coverage", status: 200, check: func(s *scenario, a *answered) { s.etag = a.header.Get("ETag") }},
	{name: "coverage again", target: "/v1/records/{record}/coverage", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "coverage of no channel", target: "/v1/records/{record}/coverage?channel=luck", status: 400, check: problemAt(invalidParameters, "query.channel")},
	{name: "shear of one height", target: "/v1/records/{record}/shear", status: 422, check: problemAt(invalidRequest, "path.id")},
	{name: "kinds of problem", target: "/v1/problems", status: 200},
	{name: "samples", target: "/v1/records/{record}/samples", status: 200, check: sampleRows},
	{name: "samples again", target: "/v1/records/{record}/samples", headers: []header{{"If-None-Match", `{etag}`}}, status: 304, check: empty},
	{name: "samples as CSV by header", target: "/v1/records/{record}/samples", headers: []header{{"Accept", "text/csv, */*;q=0.1"}}, status: 200, check: sampleRows},
	{name: "samples as Parquet", target: "/v1/records/{record}/samples?format=parquet", status: 200, check: sampleParquet},
	{name: "samples as Parquet by header", target: "/v1/records/{record}/samples", headers: []header{{"Accept", parquetType}}, status: 200, check: sampleParquet},
	{name: "samples as a picture", target: "/v1/records/{record}/samples", headers: []header{{"Accept", "image/png"}}, status: 406, check: problemAt(notAcceptable, "header.Accept")},
	{name: "estimate of a record", method: "POST", target: "/v1/estimates", headers: asJSON, body: withRecord, status: 200, check: func(s *scenario, a *answered) {
		var e openapi.Estimate
		a.json(&e)
		if e.Heights[0].Energy.Basis != openapi.EnergyBasisSeries || len(e.Heights[0].Wind.Sectors) != 12 || e.Request.Wind.Record == nil {
			s.t.Errorf("%s", a.body)
		}
	}},

	{name: "no curves yet", target: "/v1/curves", status: 200},
	{name: "keep a design", method: "POST", target: "/v1/curves", headers: asJSON, status: 201, body: keptDesign, check: keptCurve},
	{name: "read the curve", target: "/v1/curves/{curve}", status: 200},
	{name: "read the curve again", target: "/v1/curves/{curve}", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "the curve for a spreadsheet", target: "/v1/curves/{curve}?format=csv", status: 200, check: func(s *scenario, a *answered) {
		if !bytes.HasPrefix(a.body, []byte("wind_speed_m_s,power_w\n0.5,0\n")) {
			s.t.Errorf("%.60s", a.body)
		}
	}},
	{name: "the curve as a picture", target: "/v1/curves/{curve}", headers: []header{{"Accept", "image/png"}}, status: 406, check: problemAt(notAcceptable, "header.Accept")},
	{name: "list curves", target: "/v1/curves?limit=1", status: 200},
	{name: "estimate with the kept curve", method: "POST", target: "/v1/estimates", headers: asJSON, status: 200, body: withCurve, check: designedEstimate},
	{name: "a site with the kept curve", method: "POST", target: "/v1/sites", headers: asJSON, status: 201, body: withCurve, check: func(s *scenario, a *answered) {
		var site openapi.Site
		a.json(&site)
		s.siteID = site.ID
		if site.CurveID == nil || *site.CurveID != s.curveID {
			s.t.Errorf("%s", a.body)
		}
	}},
	{name: "its estimate", target: "/v1/sites/{site}/estimate", status: 200, check: designedEstimate},
	{name: "the curve is in use", method: "DELETE", target: "/v1/curves/{curve}", status: 409, check: problemAt(curveInUse, "path.id")},
	{name: "delete the site with the curve", method: "DELETE", target: "/v1/sites/{site}", status: 204, check: empty},
	{name: "delete the curve", method: "DELETE", target: "/v1/curves/{curve}", status: 204, check: empty},
	{name: "read a curve that is gone", target: "/v1/curves/{curve}", status: 404, check: problemAt(missing, "")},
	{name: "estimate with a curve that is gone", method: "POST", target: "/v1/estimates", headers: asJSON, status: 422, body: withCurve,
		check: problemAt(invalidRequest, "body.turbine.curve.id")},
	{name: "keep a curve of half a turbine", method: "POST", target: "/v1/curves", headers: asJSON, status: 422,
		body: func(*scenario) []byte { return []byte(`{"name":"half","rotor_diameter_m":2}`) }, check: problemAt(invalidRequest, "body")},
	{name: "balance six boards", method: "POST", target: "/v1/rotors/balance", headers: asYAML, status: 200,
		body: func(*scenario) []byte { return []byte("masses_g: [201, 199, 204, 196, 202, 198]\ntip_radius_m: 1.1\n") }, check: balanced},
	{name: "balance one board", method: "POST", target: "/v1/rotors/balance", headers: asJSON, status: 422,
		body: func(*scenario) []byte { return []byte(`{"masses_g":[201]}`) }, check: problemAt(invalidRequest, "body.masses_g")},

	{name: "no sites yet", target: "/v1/sites", status: 200},
	{name: "save a site", method: "POST", target: "/v1/sites", headers: asJSON, body: withRecord, status: 201, check: func(s *scenario, a *answered) {
		var site openapi.Site
		a.json(&site)
		s.siteID, s.etag = site.ID, a.header.Get("ETag")
		if site.Version != 1 || s.etag != `"1"` || a.header.Get("Location") != "/v1/sites/"+site.ID || site.Name != "Orchard End" ||
			site.RecordID == nil || *site.RecordID != s.record.ID {
			s.t.Errorf("%s", a.body)
		}
	}},
	{name: "the record is in use", method: "DELETE", target: "/v1/records/{record}", status: 409, check: problemAt(recordInUse, "")},
	{name: "list sites", target: "/v1/sites?limit=1", status: 200, check: func(s *scenario, a *answered) {
		var list openapi.SiteList
		if a.json(&list); len(list.Sites) != 1 || list.Next != nil || list.Sites[0].ID != s.siteID {
			s.t.Errorf("%s", a.body)
		}
	}},
	{name: "read site", target: "/v1/sites/{site}", status: 200},
	{name: "read site again", target: "/v1/sites/{site}", headers: []header{{"If-None-Match", `{etag}`}}, status: 304, check: empty},
	{name: "site's estimate", target: "/v1/sites/{site}/estimate", status: 200, check: func(s *scenario, a *answered) { s.etag = a.header.Get("ETag") }},
	{name: "site's estimate, kept", target: "/v1/sites/{site}/estimate", status: 200, check: func(s *scenario, a *answered) {
		if a.header.Get("ETag") != s.etag {
			s.t.Error("the same estimate has another ETag")
		}
	}},
	{name: "site's estimate, unchanged", target: "/v1/sites/{site}/estimate", headers: []header{{"If-None-Match", `{etag}`}}, status: 304, check: empty},
	{name: "replace with a stale version", method: "PUT", target: "/v1/sites/{site}", headers: append([]header{{"If-Match", `"7"`}}, asJSON...),
		body: example("MeanWind"), status: 412, check: problemAt(changedMeanwhile, "header.If-Match")},
	{name: "replace", method: "PUT", target: "/v1/sites/{site}", headers: append([]header{{"If-Match", `"1"`}}, asJSON...),
		body: example("MeanWind"), status: 200, check: func(s *scenario, a *answered) {
			var site openapi.Site
			if a.json(&site); site.Version != 2 || a.header.Get("ETag") != `"2"` || site.RecordID != nil || !site.UpdatedAt.After(site.CreatedAt) {
				s.t.Errorf("%s", a.body)
			}
		}},
	{name: "replace whatever it is", method: "PUT", target: "/v1/sites/{site}", headers: asJSON, body: example("FrequencyTable"), status: 200},
	{name: "the changed site's estimate", target: "/v1/sites/{site}/estimate", headers: []header{{"If-None-Match", `{etag}`}}, status: 200},
	{name: "delete a stale version", method: "DELETE", target: "/v1/sites/{site}", headers: []header{{"If-Match", `"1"`}}, status: 412},
	{name: "delete site", method: "DELETE", target: "/v1/sites/{site}", headers: []header{{"If-Match", `"3"`}}, status: 204, check: empty},
	{name: "read what is gone", target: "/v1/sites/{site}", status: 404, check: problemAt(missing, "")},
	{name: "estimate what is gone", target: "/v1/sites/{site}/estimate", status: 404, check: problemAt(missing, "")},
	{name: "replace what is gone", method: "PUT", target: "/v1/sites/{site}", headers: asJSON, body: example("MeanWind"), status: 404},
	{name: "delete what is gone", method: "DELETE", target: "/v1/sites/{site}", status: 404},

	{name: "delete record", method: "DELETE", target: "/v1/records/{record}", status: 204, check: empty},
	{name: "read a record that is gone", target: "/v1/records/{record}", status: 404, check: problemAt(missing, "")},
	{name: "samples of one that is gone", target: "/v1/records/{record}/samples", status: 404},
	{name: "delete one that is gone", method: "DELETE", target: "/v1/records/{record}", status: 404},
	{name: "estimate of one that is gone", method: "POST", target: "/v1/estimates", headers: asJSON, body: withRecord, status: 422,
		check: problemAt(invalidRequest, "body.wind.record.id")},
	{name: "site of one that is gone", method: "POST", target: "/v1/sites", headers: asJSON, body: withRecord, status: 422,
		check: problemAt(invalidRequest, "body.wind.record.id")},

	{name: "no such address", target: "/v2/estimates", status: 404, check: problemAt(missing, "")},
	{name: "no such method", method: "PATCH", target: "/v1/sites", status: 405, check: func(s *scenario, a *answered) {
		a.problem(methodNotAllowed, "", "PATCH")
		if allow := a.header.Get("Allow"); !strings.Contains(allow, "GET") || !strings.Contains(allow, "POST") {
			s.t.Errorf("Allow: %q", allow)
		}
	}},
}

func TestScenarios(t *testing.T) {
	oneAtATime(t)
	s := &scenario{fixture: newFixture(t)}
	seen := map[string]bool{}
	for _, st := range slices.Concat(scenarios, clubScenarios, harvestScenarios) {
		ok := t.Run(st.name, func(t *testing.T) {
			s.t = t
			stand := strings.NewReplacer("{record}", s.record.ID, "{site}", s.siteID, "{curve}", s.curveID, "{etag}", s.etag)
			headers := slices.Clone(st.headers)
			for i := range headers {
				headers[i].value = stand.Replace(headers[i].value)
			}
			var body []byte
			if st.body != nil {
				body = st.body(s)
			}
			method := st.method
			if method == "" {
				method = http.MethodGet
			}
			a := s.do(method, stand.Replace(st.target), body, headers...).want(st.status)
			if st.check != nil {
				st.check(s, a)
			}
			if a.status < 400 {
				seen[a.operation] = true
			}
			secure(t, a)
		})
		if !ok {
			t.FailNow() // the rest leans on it
		}
	}
	seen["fetchRecord"], seen["listSources"] = true, true // TestFetch has a service that fetches
	seen["readShear"] = true                              // TestCoverageAndShearAreTheCharts has a record with two heights
	seen["readAsset"] = true                              // shows follows a page to its style
	for _, op := range []string{"readMetrics", "readNew", "createFromPage", "listSitePages", "readResult", "removeSite", "readRequestYAML", "readReport", "readResultChart", "listKeys", "createKey", "deleteKey", "readSignIn", "signIn", "signOut", "chooseUnits"} {
		seen[op] = true // metrics_test.go, pagesites_test.go, units_test.go and access_test.go have them
	}
	for _, op := range []string{"readRecordsPage", "addRecord", "readRecordPage", "removeRecord", "readRecordChart", "readCurvesPage", "readCurvePage", "removeCurve",
		"readCurveChart", "readBalancePage"} {
		seen[op] = true // pagerecords_test.go and pagecurves_test.go have them
	}
	for _, op := range []string{"readGuide", "sendGuide", "readEdit", "sendEdit"} {
		seen[op] = true // pageform_test.go has them
	}
	seen["readPublicSiteFrame"] = true // TestEmbedding has it, as other websites may frame it
	for path, item := range s.spec.Paths.Map() {
		for method, op := range item.Operations() {
			if !seen[op.OperationID] {
				t.Errorf("no scenario for %s (%s %s)", op.OperationID, method, path)
			}
		}
	}
}

// secure holds every answer against the headers it must have.
func secure(t *testing.T, a *answered) {
	t.Helper()
	if a.status == http.StatusNotModified { // TestNothingNewHasNoPolicy says why
		return
	}
	for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "no-referrer",
		"Content-Security-Policy": "frame-ancestors 'none'"} {
		if got := a.header.Get(name); !strings.Contains(got, want) {
			t.Errorf("%s: %q", name, got)
		}
	}
}

func shows(words ...string) func(*scenario, *answered) {
	return func(s *scenario, a *answered) {
		for _, w := range words {
			if !strings.Contains(string(a.body), w) {
				s.t.Errorf("the page lacks %q", w)
			}
		}
		if policy := a.header.Get("Content-Security-Policy"); !strings.Contains(policy, "style-src 'self'") {
			s.t.Errorf("the policy %q does not let the page's style through", policy)
		}
		for _, inline := range []string{"<style", " style=", "<script>", " onclick="} {
			if strings.Contains(string(a.body), inline) {
				s.t.Errorf("the page has %s in it, which its policy forbids", inline)
			}
		}
		_, rest, _ := strings.Cut(string(a.body), `rel="stylesheet" href="`)
		style, _, _ := strings.Cut(rest, `"`)
		if got := s.fixture.do("GET", style, nil); got.status != 200 || got.header.Get("Content-Type") != "text/css; charset=utf-8" {
			s.t.Errorf("the page's style %q answers %d", style, got.status)
		}
	}
}

func problemAt(k *kind, location string) func(*scenario, *answered) {
	return func(_ *scenario, a *answered) { a.problem(k, location, "") }
}

func empty(s *scenario, a *answered) {
	if len(a.body) > 0 {
		s.t.Errorf("a body: %s", a.body)
	}
}

func orchardEstimate(s *scenario, a *answered) {
	var e openapi.Estimate
	a.json(&e)
	if len(e.Heights) != 4 || e.BestHubHeightM == nil || e.Version != "test" || e.Heights[0].Energy.Basis != openapi.EnergyBasisWeibull {
		s.t.Errorf("%s", a.body)
	}
	if h := e.Heights[0]; h.Wind.Weibull.ShapeSE != nil || h.Wind.Sectors != nil || h.Energy.MonthlyKWh != nil || h.Solar.AzimuthDeg == nil {
		s.t.Errorf("what there is not must be null, and the rest a number: %s", a.body)
	}
	// The answer's request is a request: the same one, so it has the same answer.
	again, err := json.Marshal(e.Request)
	if err != nil {
		s.t.Fatal(err)
	}
	if b := s.post("/v1/estimates", again).want(200); !bytes.Equal(heights(s.t, a.body), heights(s.t, b.body)) {
		s.t.Errorf("the echoed request is answered\n%s\nits original\n%s", b.body, a.body)
	}
}

// heights is the part of an estimate that does not depend on what was given and what was assumed.
func heights(t testing.TB, estimate []byte) json.RawMessage {
	t.Helper()
	var e struct{ Heights json.RawMessage }
	if err := json.Unmarshal(estimate, &e); err != nil {
		t.Fatal(err)
	}
	return e.Heights
}

// meanEstimate has every default echoed, and warnings for what is weak or missing.
func meanEstimate(s *scenario, a *answered) {
	var e openapi.Estimate
	a.json(&e)
	r := e.Request
	if r.Losses == nil || r.Losses.Wiring == nil || r.Solar == nil || r.Solar.CostPerKW == nil || r.Money.LifeYears == nil || r.Shear == nil ||
		r.Turbine.RatedPowerW == nil || r.Wind.Mean.Shape == nil || *r.Turbine.Regulation != "none" {
		s.t.Errorf("a default is not echoed: %s", a.body)
	}
	if e.Heights[0].Cost.NPV != nil || !hasWarning(e.Warnings, "price_missing") || !hasWarning(e.Warnings, "shape_assumed") {
		s.t.Errorf("warnings: %+v", e.Warnings)
	}
}

func hasWarning(all openapi.Warnings, code string) bool {
	return slices.ContainsFunc(all, func(w openapi.Warning) bool { return w.Code == code })
}

func uploaded(s *scenario, a *answered) {
	a.json(&s.record)
	rec := s.record
	if a.header.Get("Location") != "/v1/records/"+rec.ID || rec.Name != "winter.csv" || rec.Rows != 4000 || rec.Format != "logger_csv" ||
		rec.StepS != 3600 || rec.UTCOffsetS != 3600 {
		s.t.Errorf("%s", a.body)
	}
	if len(rec.Channels) != 3 || rec.Channels[0].Quantity != "speed" || rec.Channels[0].HeightM == nil || *rec.Channels[0].HeightM != 10 ||
		rec.Channels[0].Unit != "m/s" {
		s.t.Errorf("channels: %+v", rec.Channels)
	}
	if rec.Import.Rows != 4000 || rec.Import.Kept != 4000 || len(rec.Import.Columns) != 4 || rec.Import.ProblemCount != 0 {
		s.t.Errorf("report: %+v", rec.Import)
	}
	if st := rec.Statistics.Channels; len(st) != 1 || st[0].N != 4000 || st[0].Weibull == nil || len(st[0].Sectors) != 12 {
		s.t.Errorf("statistics: %+v", st)
	}
}

func sampleRows(s *scenario, a *answered) {
	rows, err := csv.NewReader(bytes.NewReader(a.body)).ReadAll()
	if err != nil || len(rows) != 4001 || rows[0][0] != "time" || rows[1][0] != "2024-03-01T00:00:00Z" || rows[1][1] != "1" {
		s.t.Fatalf("%v: %d rows: %q", err, len(rows), rows[:min(2, len(rows))])
	}
	if a.header.Get("Content-Type") != csvType || !strings.Contains(a.header.Get("Content-Disposition"), s.record.ID+".csv") {
		s.t.Errorf("headers: %v", a.header)
	}
	s.etag = a.header.Get("ETag")
}

func sampleParquet(s *scenario, a *answered) {
	file, err := parquet.OpenFile(bytes.NewReader(a.body), int64(len(a.body)))
	if err != nil || file.NumRows() != 4000 {
		s.t.Fatal(err)
	}
	if a.header.Get("Content-Type") != parquetType {
		s.t.Errorf("headers: %v", a.header)
	}
}
