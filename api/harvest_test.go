package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"mime/multipart"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"mastworth/api/page"
	"mastworth/openapi"
)

// harvestScenarios go on where the club's end, with a saved site whose wind is a mean.
var harvestScenarios = []step{
	{name: "no readings yet", target: "/v1/sites/{site}/readings", status: 200, check: func(s *scenario, a *answered) {
		if strings.TrimSpace(string(a.body)) != `{"readings":[],"next":null}` {
			s.t.Errorf("%s", a.body)
		}
	}},
	{name: "nothing to compare", target: "/v1/sites/{site}/harvest", status: 200, check: harvestAnswers(openapi.HarvestAnswerTooEarly, 0)},
	{name: "its page with nothing on it", target: "/sites/{site}/harvest", status: 200, check: func(s *scenario, a *answered) {
		shows("Nothing can be compared yet", `name="kwh"`, `type="file"`)(s, a)
		if strings.Contains(string(a.body), "Where the doubt comes from") {
			s.t.Error("the doubt of no time at all is told")
		}
	}},
	{name: "read the meter twice", method: "POST", target: "/v1/sites/{site}/readings", headers: asJSON, status: 200,
		body:  text(`{"readings":[{"time":"2026-01-01T12:00:00+01:00","meter_kwh":100},{"time":"2026-01-21","meter_kwh":130.5}]}`),
		check: readingsAdded(2, 0)},
	{name: "the same again, as YAML, and one more", method: "POST", target: "/v1/sites/{site}/readings", headers: asYAML, status: 200,
		body:  text("readings:\n- {time: '2026-01-21', meter_kwh: 130.5}\n- {time: '2026-02', energy_kwh: 0}\n"),
		check: readingsAdded(1, 1)},
	{name: "a table", method: "POST", target: "/v1/sites/{site}/readings?utc_offset=%2B02:00", headers: asCSV, status: 200,
		body: text("Date;Meter (kWh)\n01.04.2026;300,5\n15.04.2026;320\n"), check: readingsAdded(2, 0)},
	{name: "a table with faults", method: "POST", target: "/v1/sites/{site}/readings", headers: asCSV, status: 422,
		body: text("time,meter_kwh\n2026-04-20,x\n"), check: func(s *scenario, a *answered) {
			if p := a.problem(invalidRequest, "body", `"meter_kwh"`); p.Errors[0].Line == nil || *p.Errors[0].Line != 2 {
				s.t.Errorf("%s", a.body)
			}
		}},
	{name: "a reading of the future", method: "POST", target: "/v1/sites/{site}/readings", headers: asJSON, status: 422,
		body: text(`{"readings":[{"time":"2031-01-01","meter_kwh":1}]}`), check: problemAt(invalidRequest, "body")},
	{name: "readings as a picture", method: "POST", target: "/v1/sites/{site}/readings", headers: []header{{"Content-Type", "image/png"}}, status: 415,
		body: text("x"), check: problemAt(unsupportedMedia, "header.Content-Type")},
	{name: "readings of nobody's", method: "POST", target: "/v1/sites/none/readings", headers: asCSV, status: 404, body: text("time,meter_kwh\n2026-01-01,1\n")},
	{name: "list the readings", target: "/v1/sites/{site}/readings?limit=2", status: 200, check: func(s *scenario, a *answered) {
		var list openapi.ReadingList
		if a.json(&list); len(list.Readings) != 2 || list.Next == nil || !list.Readings[0].Time.Equal(time.Date(2026, 4, 15, 10, 0, 0, 0, time.UTC)) {
			s.t.Errorf("%s", a.body)
			return
		}
		s.etag = *list.Next
	}},
	{name: "list the others", target: "/v1/sites/{site}/readings?after={etag}", status: 200, check: func(s *scenario, a *answered) {
		var list openapi.ReadingList
		if a.json(&list); len(list.Readings) != 3 || list.Next != nil {
			s.t.Errorf("%s", a.body)
			return
		}
		s.etag = list.Readings[0].ID // the energy of February
	}},
	{name: "delete one", method: "DELETE", target: "/v1/sites/{site}/readings/{etag}", status: 204, check: empty},
	{name: "delete one that is gone", method: "DELETE", target: "/v1/sites/{site}/readings/{etag}", status: 404},
	{name: "delete by no id", method: "DELETE", target: "/v1/sites/{site}/readings/a.b", status: 400, check: problemAt(invalidParameters, "path.reading_id")},
	{name: "compare", target: "/v1/sites/{site}/harvest", status: 200, check: func(s *scenario, a *answered) {
		harvestAnswers(openapi.HarvestAnswerWithin, 3)(s, a)
		keepTag(s, a)
	}},
	{name: "compare again", target: "/v1/sites/{site}/harvest", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "compare with a mast that is not there", target: "/v1/sites/{site}/harvest?hub_height_m=7.5", status: 400, check: problemAt(invalidParameters, "query.hub_height_m")},
	{name: "compare by a record that is not there", target: "/v1/sites/{site}/harvest?record=none", status: 404, check: problemAt(missing, "query.record")},
	{name: "compare what is not there", target: "/v1/sites/none/harvest", status: 404},
	{name: "its page", target: "/sites/{site}/harvest", status: 200, check: shows("as far as can be told", "320</td>", "<svg", `scope="col"`, "A meter hangs on the mains")},
	{name: "its chart", target: "/sites/{site}/harvest/harvest.svg", status: 200, check: keepTag},
	{name: "its chart again", target: "/sites/{site}/harvest/harvest.svg", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "a chart that is not there", target: "/sites/{site}/harvest/moon.svg", status: 404, check: problemAt(missing, "path.file")},
	{name: "the form of one", method: "POST", target: "/sites/{site}/harvest", headers: asForm, status: 303, body: text("kind=meter&kwh=330,5&date=2026-04-25&hour=18:30&from="),
		check: func(s *scenario, a *answered) {
			if at := a.header.Get("Location"); at != "/sites/"+s.siteID+"/harvest" {
				s.t.Errorf("it goes on at %s", at)
			}
		}},
	{name: "the form with faults", method: "POST", target: "/sites/{site}/harvest", headers: asForm, status: 422, body: text("kind=energy&kwh=-1&date=2026-04-25&from=2026-05-01"),
		check: shows(`id="harvest-kwh-fault"`, `value="-1"`, "Must be a date before the other", `aria-invalid="true"`)},
	{name: "the form with a unit", method: "POST", target: "/sites/{site}/harvest", headers: asForm, status: 422, body: text("kwh=12+kWh&date=2026-04-25"),
		check: shows(`id="harvest-kwh-fault"`, "leave the unit or sign out and write 12")},
	{name: "the form with a comma that may part thousands", method: "POST", target: "/sites/{site}/harvest", headers: asForm, status: 422, body: text("kwh=12,345&date=2026-04-25"),
		check: shows("12,345 may be read in two ways", `value="12,345"`)},
	{name: "the form with a day that is none", method: "POST", target: "/sites/{site}/harvest", headers: asForm, status: 422, body: text("kwh=1&date=soon"),
		check: shows(`id="harvest-date-fault"`)},
	{name: "the form of the future", method: "POST", target: "/sites/{site}/harvest", headers: asForm, status: 422, body: text("kwh=1&date=2033-01-01"), check: shows("Lies in the future")},
	{name: "the form of a file", method: "POST", target: "/sites/{site}/harvest", headers: []header{{"Content-Type", "multipart/form-data; boundary=B"}}, status: 303,
		body: text("--B\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.csv\"\r\n\r\ntime,meter_kwh\n2026-04-28,333\n\r\n--B--\r\n")},
	{name: "the form of a file with faults", method: "POST", target: "/sites/{site}/harvest", headers: []header{{"Content-Type", "multipart/form-data; boundary=B"}}, status: 422,
		body:  text("--B\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.csv\"\r\n\r\ntime,meter_kwh\nnever,333\n\r\n--B--\r\n"),
		check: shows("line 2", "is no time")},
	{name: "the form without a file", method: "POST", target: "/sites/{site}/harvest", headers: []header{{"Content-Type", "multipart/form-data; boundary=B"}}, status: 422,
		body: text("--B\r\nContent-Disposition: form-data; name=\"file\"; filename=\"\"\r\n\r\n\r\n--B--\r\n"), check: shows("Choose a file")},
	{name: "the readings are six", target: "/v1/sites/{site}/readings", status: 200, check: func(s *scenario, a *answered) {
		var list openapi.ReadingList
		if a.json(&list); len(list.Readings) != 6 || *list.Readings[0].MeterKWh != 333 {
			s.t.Errorf("%s", a.body)
			return
		}
		s.etag = list.Readings[0].ID
	}},
	{name: "delete from the page", method: "POST", target: "/sites/{site}/harvest", headers: asForm, status: 303, body: func(s *scenario) []byte { return []byte("delete=" + s.etag) }},
}

func readingsAdded(added, there int) func(*scenario, *answered) {
	return func(s *scenario, a *answered) {
		var out openapi.ReadingsAdded
		if a.json(&out); out.Added != added || out.AlreadyThere != there {
			s.t.Errorf("%s", a.body)
		}
	}
}

func harvestAnswers(want openapi.HarvestAnswer, periods int) func(*scenario, *answered) {
	return func(s *scenario, a *answered) {
		var h openapi.Harvest
		if a.json(&h); h.Answer != want || len(h.Periods) != periods {
			s.t.Errorf("%s", a.body)
		}
	}
}

// twoYears is a record of 2023 and 2024 by the hour, at UTC, speeds of 4.5 and 5.5 m/s in turn; in April 2024 twice as much.
func twoYears() []byte {
	var b bytes.Buffer
	b.WriteString("time (UTC),wind speed 10 m (m/s)\n")
	for at := time.Date(2023, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() < 2025; at = at.Add(time.Hour) {
		v := 4.5 + float64(at.Hour()%2)
		if at.Year() == 2024 && at.Month() == time.April {
			v *= 2
		}
		fmt.Fprintf(&b, "%s,%.1f\n", at.Format("2006-01-02 15:04"), v)
	}
	return b.Bytes()
}

// The closed form: in April 2024 the machine makes as much as the curve has at twice the wind, over the mean of that and of April 2023. A machine
// that makes four fifths of that is told so, whatever the plain promise says.
func TestHarvestFollowsTheRecord(t *testing.T) {
	f := newFixture(t)
	rec := f.upload(twoYears(), url.Values{"utc_offset": {"Z"}})
	body := change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": rec.ID}, "measured_here": true})
	body = change(t, body, "turbine", map[string]any{"rotor_diameter_m": 5, "power_curve": map[string]any{"points": [][]float64{{3, 0}, {13, 5000}, {25, 5000}}}})
	body = change(t, body, "site.longitude", 0)
	id := f.savedSite(string(body))
	var e openapi.Estimate
	f.do("GET", "/v1/sites/"+id+"/estimate", nil).want(http.StatusOK).json(&e)
	h := e.Heights[0]
	power := func(v float64) float64 { return math.Min(5000, math.Max(0, 500*(v**h.Wind.HeightFactor-3))) }
	usual, windy := (power(4.5)+power(5.5))/2, (power(9)+power(11))/2
	want := 2 * windy / (usual + windy)
	promised := h.Energy.MonthlyKWh[3]
	readings := fmt.Sprintf("from,to,energy_kwh\n2024-02-01,2024-02-29,%g\n2024-03-01,2024-03-31,%g\n2024-04-01,2024-04-30,%g\n", 0.8*h.Energy.MonthlyKWh[1]*29/28,
		0.8*h.Energy.MonthlyKWh[2], 0.8*promised*want)
	f.do("POST", "/v1/sites/"+id+"/readings", []byte(readings), asCSV...).want(http.StatusOK)

	target := fmt.Sprintf("/v1/sites/%s/harvest?hub_height_m=%g", id, h.HubHeightM)
	var got openapi.Harvest
	f.do("GET", target, nil).want(http.StatusOK).json(&got)
	if len(got.Periods) != 3 || got.Periods[2].Windiness == nil || got.RecordID == nil || *got.RecordID != rec.ID || !got.ByWind {
		t.Fatalf("%+v", got)
	}
	april := got.Periods[2]
	if math.Abs(*april.Windiness-want) > 1e-9 || math.Abs(april.PromisedKWh-promised) > 1e-6 {
		t.Errorf("April's windiness is %g and its promise %g, want %g and %g", *april.Windiness, april.PromisedKWh, want, promised)
	}
	if math.Abs(*got.Corrected.Ratio-0.8) > 1e-6 || *got.Promised.Ratio < 0.95 {
		t.Errorf("corrected %g, plain %g, want 0.8 and about 1 or more", *got.Corrected.Ratio, *got.Promised.Ratio)
	}
	// By another record, of the same wind in other units, April is as windy: its mean is taken to the hub's.
	other := f.upload(twoYears(), url.Values{"utc_offset": {"Z"}, "speed_unit": {"m/s"}, "name": {"again"}})
	f.do("GET", target+"&record="+other.ID, nil).want(http.StatusOK).json(&got)
	if math.Abs(*got.Periods[2].Windiness-want) > 2e-3 || *got.RecordID != other.ID {
		t.Errorf("by another record %g, want %g", *got.Periods[2].Windiness, want)
	}
	// What it is made of decides whether it is new.
	a := f.do("GET", target, nil)
	f.do("GET", target, nil, header{"If-None-Match", a.header.Get("ETag")}).want(http.StatusNotModified)
	f.do("POST", "/v1/sites/"+id+"/readings", []byte("time,energy_kwh\n2024-05,5\n"), asCSV...).want(http.StatusOK)
	f.do("GET", target, nil, header{"If-None-Match", a.header.Get("ETag")}).want(http.StatusOK)
}

// Whoever breaks one constraint of the document is told where.
func TestReadingsConstraints(t *testing.T) {
	f := newFixture(t)
	id := f.savedSite(string(exampleJSON(t, "MeanWind")))
	schema := f.spec.Components.Schemas["ReadingsInput"].Value
	for name, doc := range map[string]string{
		"counter": `{"readings":[{"time":"2026-01-01","meter_kwh":5}]}`, "energy": `{"readings":[{"time":"2026-02-01","from":"2026-01-01","energy_kwh":5}]}`,
	} {
		var sound any
		if err := json.Unmarshal([]byte(doc), &sound); err != nil {
			t.Fatal(err)
		}
		for _, v := range violations(t, schema, sound) {
			body, err := json.Marshal(v.doc)
			if err != nil {
				t.Fatal(err)
			}
			checkNamed(t, f.post("/v1/sites/"+id+"/readings", body), join("body", v.location), name+": "+v.constraint)
		}
	}
	for doc, at := range map[string]string{
		`{"readings":[{"time":"2026-01-01"}]}`:                                                    "body.readings[0]",
		`{"readings":[{"time":"2026-01-01","meter_kwh":1,"energy_kwh":1}]}`:                       "body.readings[0]",
		`{"readings":[{"time":"2026-01-01","from":"2025-01-01","meter_kwh":1}]}`:                  "body.readings[0].from",
		`{"readings":[{"time":"2025-12-30T00:00:00Z","from":"2026-01-01","energy_kwh":1}]}`:       "body.readings[0].from",
		`{"readings":[{"time":"2026-01-01","meter_kwh":1},{"time":"01/02/2026","energy_kwh":1}]}`: "body.readings[1].time",
	} {
		f.post("/v1/sites/"+id+"/readings", []byte(doc)).problem(invalidRequest, at, "")
	}
}

// A site of every kind has a comparison, and a page of it.
func TestHarvestOfEveryKind(t *testing.T) {
	oneAtATime(t)
	f := newFixture(t)
	for kind, id := range shownSites(f) {
		f.do("POST", "/v1/sites/"+id+"/readings", []byte("time,energy_kwh\n2024-03,40\n2024-04,30\n2024-05,20\n"), asCSV...).want(http.StatusOK)
		var h openapi.Harvest
		f.do("GET", "/v1/sites/"+id+"/harvest", nil).want(http.StatusOK).json(&h)
		if len(h.Periods) != 3 || !(h.Promised.ExpectedKWh > 0) || h.Promised.StandardUncertainty == nil || (h.RecordID != nil) != (kind == "record") {
			t.Errorf("%s: %+v", kind, h)
		}
		wellFormed(t, kind, f.do("GET", "/sites/"+id+"/harvest", nil).want(http.StatusOK))
	}
}

// Ten years of readings by the day are compared quickly and shown on a page that is light.
func TestHarvestPageIsLight(t *testing.T) {
	f := newFixture(t)
	id := f.savedSite(string(exampleJSON(t, "FittedWind")))
	var table, form bytes.Buffer
	table.WriteString("time,meter_kwh\n")
	for d := range 3650 {
		fmt.Fprintf(&table, "%s,%d\n", time.Date(2016, 1, 1+d, 8, 0, 0, 0, time.UTC).Format(time.RFC3339), 3*d)
	}
	w := multipart.NewWriter(&form)
	part, err := w.CreateFormFile("file", "meter.csv")
	if err != nil {
		t.Fatal(err)
	}
	part.Write(table.Bytes()) //nolint:errcheck // a buffer takes everything
	w.Close()                 //nolint:errcheck // likewise
	f.do("POST", "/sites/"+id+"/harvest", form.Bytes(), header{"Content-Type", w.FormDataContentType()}).want(http.StatusSeeOther)
	f.do("GET", "/sites/"+id+"/harvest", nil).want(http.StatusOK)
	began := time.Now()
	a := f.do("GET", "/sites/"+id+"/harvest", nil).want(http.StatusOK)
	t.Logf("%d bytes in %s, checks against the contract included", len(a.body), time.Since(began))
	if len(a.body) > 150_000 {
		t.Errorf("the page weighs %d bytes", len(a.body))
	}
	for _, not := range []string{"NaN", "<nil>", "%!", " style=", "<script>", "{{"} {
		if strings.Contains(string(a.body), not) {
			t.Errorf("the page has %q in it", not)
		}
	}
	for _, want := range []string{"What was read, by month", "Earlier readings", "after="} {
		if !strings.Contains(string(a.body), want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

func BenchmarkHarvestPage(b *testing.B) {
	f := newFixture(b)
	rec := f.upload(twoYears(), nil)
	id := f.savedSite(string(change(b, exampleJSON(b, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": rec.ID}})))
	var table bytes.Buffer
	table.WriteString("time,meter_kwh\n")
	for d := range 700 {
		fmt.Fprintf(&table, "%s,%d\n", time.Date(2023, 1, 1+d, 8, 0, 0, 0, time.UTC).Format(time.RFC3339), 3*d)
	}
	f.do("POST", "/v1/sites/"+id+"/readings", table.Bytes(), asCSV...).want(http.StatusOK)
	for b.Loop() {
		f.do("GET", "/sites/"+id+"/harvest", nil).want(http.StatusOK)
	}
}

// After a reading that is gone there is nothing: the list does not begin again.
func TestReadingsAfterOneThatIsGone(t *testing.T) {
	f := newFixture(t)
	target := "/v1/sites/" + f.savedSite(string(exampleJSON(t, "MeanWind"))) + "/readings"
	f.do("POST", target, []byte("time,energy_kwh\n2024-01,1\n2024-02,2\n2024-03,3\n2024-04,4\n"), asCSV...).want(http.StatusOK)
	var list openapi.ReadingList
	f.do("GET", target+"?limit=2", nil).want(http.StatusOK).json(&list)
	next := *list.Next
	f.do("GET", target+"?limit=2&after="+next, nil).want(http.StatusOK).json(&list)
	if len(list.Readings) != 2 || list.Next != nil {
		t.Fatalf("%+v", list)
	}
	f.do("DELETE", target+"/"+next, nil).want(http.StatusNoContent)
	f.do("GET", target+"?limit=2&after="+next, nil).want(http.StatusOK).json(&list)
	if len(list.Readings) != 0 || list.Next != nil {
		t.Errorf("after one that is gone: %+v", list)
	}
}

// A counter is read off in the ways in which people write it.
func TestAReadingAsItIsTyped(t *testing.T) {
	for typed, want := range map[string]float64{"1.391,0": 1391, "1,391.5": 1391.5, "1 391,5": 1391.5, "0": 0} {
		f := page.HarvestForm{KWh: typed, Date: "2026-04-25", Faults: map[string]string{}}
		if r := readingOf(&f, 0); r.KWh != want || len(f.Faults) > 0 {
			t.Errorf("%q is %v, %v", typed, r.KWh, f.Faults)
		}
	}
}
