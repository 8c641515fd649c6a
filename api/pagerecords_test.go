package api

import (
	"bytes"
	"fmt"
	"html"
	"math"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
	"time"

	"mastworth/api/document"
	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/resource"
)

// formFile is a page's form with fields, in order, and a file after them.
func formFile(t testing.TB, file []byte, fields ...string) (body []byte, kind header) {
	t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for i := 0; i+1 < len(fields); i += 2 {
		if err := w.WriteField(fields[i], fields[i+1]); err != nil {
			t.Fatal(err)
		}
	}
	part, err := w.CreateFormFile("file", "garden.csv")
	if err == nil {
		_, err = part.Write(file)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), header{"Content-Type", w.FormDataContentType()}
}

// sent sends a form of fields.
func (f *fixture) sent(target, form string) *answered {
	f.t.Helper()
	return f.do(http.MethodPost, target, []byte(form), header{"Content-Type", formType})
}

// wellFormed fails where a page is too heavy, has something in it that its policy forbids, or skips a level of headings.
func wellFormed(t *testing.T, what string, a *answered) string {
	t.Helper()
	text := string(a.body)
	if len(text) > 150_000 {
		t.Errorf("%s weighs %d bytes", what, len(text))
	}
	for _, not := range []string{"<style", " style=", "<script>", " onclick=", "NaN", "<nil>", "%!", "{{", "http-equiv"} {
		if strings.Contains(text, not) {
			t.Errorf("%s has %q in it", what, not)
		}
	}
	if n := strings.Count(text, "<h1"); n != 1 {
		t.Errorf("%s has %d chief headings", what, n)
	}
	level := byte('1')
	for _, h := range regexp.MustCompile(`<h([1-6])`).FindAllStringSubmatch(text, -1) {
		if h[1][0] > level+1 {
			t.Errorf("%s has a heading of level %s below one of %c", what, h[1], level)
		}
		level = h[1][0]
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(` id="([^"]*)"`).FindAllStringSubmatch(text, -1) {
		if ids[m[1]] {
			t.Errorf("%s has the id %q twice", what, m[1])
		}
		ids[m[1]] = true
	}
	for _, m := range regexp.MustCompile(` (?:for|aria-describedby)="([^"]*)"`).FindAllStringSubmatch(text, -1) {
		if !ids[m[1]] {
			t.Errorf("%s points to %q, which is not there", what, m[1])
		}
	}
	return text
}

func lacks(t *testing.T, what, text string, words ...string) {
	t.Helper()
	plain := html.UnescapeString(text)
	for _, w := range words {
		if !strings.Contains(text, w) && !strings.Contains(plain, w) {
			t.Errorf("%s lacks %q", what, w)
		}
	}
}

// twoHeightsCSV is an invented logger's file of hours at two heights, the upper one (30/10)^0.2 as fast, with a sensor that stands still for
// two days.
func twoHeightsCSV(hours int) []byte {
	var b bytes.Buffer
	b.WriteString("time (UTC),wind speed 10 m (m/s),wind speed 30 m (m/s),wind speed sd 30 m (m/s),wind direction 30 m (deg)\n")
	start := time.Date(2023, time.January, 1, 0, 0, 0, 0, time.UTC)
	for h := range hours {
		v := 4 + 3*math.Sin(float64(h)*0.37) + float64(h*7919%97)/60
		if h > 1000 && h < 1048 {
			v = 7.77
		}
		fmt.Fprintf(&b, "%s,%.3f,%.3f,%.3f,%d\n", start.Add(time.Duration(h)*time.Hour).Format("2006-01-02 15:04"), v, v*math.Pow(3, 0.2), 0.15*v, h*37%360)
	}
	return b.Bytes()
}

// A file goes in by the form and is told on its page, whose numbers are those of its JSON.
func TestRecordPage(t *testing.T) {
	f := newFixture(t)
	lacks(t, "the empty list", wellFormed(t, "the empty list", f.do("GET", "/records", nil).want(200)), "There is no record yet", `enctype="multipart/form-data"`, "does not call out")
	body, kind := formFile(t, twoHeightsCSV(9000), "name", "orchard", "format", "", "column", "", "stamps_at", "begin", "utc_offset", "+01:00")
	a := f.do("POST", "/records", body, kind).want(http.StatusSeeOther)
	address := a.header.Get("Location")
	var rec openapi.Record
	f.do("GET", "/v1"+address, nil).want(200).json(&rec)
	if rec.Name != "orchard" || rec.Rows != 9000 || rec.UTCOffsetS != 3600 {
		t.Fatalf("%+v", rec)
	}
	lacks(t, "the list", wellFormed(t, "the list", f.do("GET", "/records", nil).want(200)), `href="`+address+`"`, "orchard", "10\u00a0m, 30\u00a0m", "1 January 2023 – 11 January 2024")
	page := wellFormed(t, "the page", f.do("GET", address+"?whole=true", nil).want(200))
	top := rec.Statistics.Channels[1]
	lacks(t, "the page", page, "<h1>orchard</h1>", fmt.Sprintf("%.2f", *top.MeanMS), "UTC +1:00", rec.ContentHash, "Stands still", "Not used", "No site uses it",
		"At 15 m/s", "Samples as Parquet", "/v1"+address+"/samples?format=parquet", "The file’s columns",
		"charts/coverage.csv", "charts/wind-rose.png", "charts/speeds.svg", "charts/month-hour.csv", "charts/two-heights.csv", "charts/findings.csv")
	// The upper speeds were made from the lower ones by the power law with the exponent 0.2.
	lacks(t, "the page", page, "exponent of the power law is 0.200 between 10\u00a0m and 30\u00a0m, from")
	lower := wellFormed(t, "the lower height", f.do("GET", address+"?whole=true&channel="+strings.ReplaceAll(rec.Channels[0].Name, " ", "+"), nil).want(200))
	lacks(t, "the lower height", lower, fmt.Sprintf("%.2f", *rec.Statistics.Channels[0].MeanMS))
	f.do("GET", address+"?channel=no-such", nil).problem(invalidParameters, "query.channel", "speed channels")
	f.do("GET", "/records/nobody", nil).problem(missing, "", "nobody")
}

// Half of March 2024 is half covered; the months after it are not there, those between are empty.
func TestCoverage(t *testing.T) {
	s := &resource.Series{StepS: 3600, Channels: []resource.Channel{{Quantity: resource.Speed}}}
	add := func(begin time.Time, hours int) {
		for h := range hours {
			s.Times = append(s.Times, begin.Add(time.Duration(h)*time.Hour).Unix())
			s.Channels[0].Values = append(s.Channels[0].Values, 5)
		}
	}
	add(time.Date(2024, 3, 1, 0, 0, 0, 0, time.UTC), 31*12)
	add(time.Date(2025, 2, 1, 0, 0, 0, 0, time.UTC), 28*24)
	s.Channels[0].Values[0] = math.NaN() // one value less
	got := coverageOf(s, 0)
	if got.FirstYear != 2024 || len(got.Shares) != 2 {
		t.Fatalf("%+v", got)
	}
	for m, want := range map[int]float64{2: 371.0 / 744, 3: 0, 11: 0} {
		if v := got.Shares[0][m]; math.Abs(v-want) > 1e-12 {
			t.Errorf("month %d: %g, want %g", m, v, want)
		}
	}
	if a, b, c := got.Shares[0][1], got.Shares[1][1], got.Shares[1][2]; a == a || b != 1 || c == c {
		t.Errorf("outside %g and %g, the last month %g", a, c, b)
	}
}

// Every chart is a file in every format, kept by its ETag; what is not there is told.
func TestRecordCharts(t *testing.T) {
	f := newFixture(t)
	id := f.upload(twoHeightsCSV(3000), nil).ID
	for _, name := range recordCharts {
		for format, media := range map[string]string{"svg": "image/svg+xml", "png": "image/png", "csv": "text/csv"} {
			target := "/records/" + id + "/charts/" + name + "." + format
			a := f.do("GET", target, nil).want(200)
			if !strings.HasPrefix(a.header.Get("Content-Type"), media) || len(a.body) < 20 {
				t.Errorf("%s: %s, %d bytes", target, a.header.Get("Content-Type"), len(a.body))
			}
			f.do("GET", target, nil, header{"If-None-Match", a.header.Get("ETag")}).want(304)
			if dark := f.do("GET", target+"?dark=true&width=400&height=300&bare=true", nil).want(200); dark.header.Get("ETag") == a.header.Get("ETag") {
				t.Errorf("%s has one tag for two looks", target)
			}
		}
	}
	for _, file := range []string{"coverage", "coverage.gif", "no-such.svg", ".svg"} {
		f.do("GET", "/records/"+id+"/charts/"+file, nil).problem(missing, "path.file", "")
	}
	one := f.upload(hourlyCSV(800), nil).ID
	f.do("GET", "/records/"+one+"/charts/two-heights.svg", nil).problem(missing, "path.file", "not enough")
}

// What is wrong with a form is said beside its field, and what was typed is still there.
func TestRecordFormFaults(t *testing.T) {
	f := newFixture(t)
	for name, c := range map[string]struct {
		file   string
		fields []string
		words  []string
	}{
		"an option": {string(hourlyCSV(100)), []string{"name", "orchard", "utc_offset", "nine", "column", "a=speed\nb=nothing"},
			[]string{`value="orchard"`, `value="nine"`, `name="utc_offset" value="nine" autocomplete="off" aria-describedby="upload-utc-offset-note" aria-invalid="true"`,
				"a=speed\nb=nothing", "<details open>"}},
		"no record":        {"this is no table", nil, []string{`id="upload-file" name="file" required aria-describedby="upload-file-note" aria-invalid="true"`}},
		"an unknown field": {string(hourlyCSV(100)), []string{"secret", "1"}, []string{"query.secret", `role="alert"`}},
	} {
		body, kind := formFile(t, []byte(c.file), c.fields...)
		lacks(t, name, wellFormed(t, name, f.do("POST", "/records", body, kind).want(422)), c.words...)
	}
	// The browser sends an empty part where no file was chosen.
	none := "--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"\"\r\nContent-Type: application/octet-stream\r\n\r\n\r\n--x--\r\n"
	lacks(t, "no file", string(f.do("POST", "/records", []byte(none), header{"Content-Type", "multipart/form-data; boundary=x"}).want(422).body), "Choose a file first")
	f.do("POST", "/records", []byte("{}"), header{"Content-Type", "application/json"}).problem(unsupportedMedia, "header.Content-Type", "form")
	f.sent("/records", "latitude=1").problem(fetchOff, "", "")
	var list openapi.RecordList
	if f.do("GET", "/v1/records", nil).want(200).json(&list); len(list.Records) != 0 {
		t.Errorf("%d records came of it", len(list.Records))
	}
}

// A record is deleted by whoever is sure, unless a site uses it.
func TestRecordIsDeletedByForm(t *testing.T) {
	f := newFixture(t)
	id := f.upload(hourlyCSV(900), nil).ID
	var site openapi.Site
	f.post("/v1/sites", change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": id}})).want(201).json(&site)
	lacks(t, "a record in use", wellFormed(t, "a record in use", f.do("GET", "/records/"+id, nil).want(200)), `href="/sites/`+site.ID+`"`, "when no site uses it")
	lacks(t, "a record in use", string(f.sent("/records/"+id, "delete=yes").want(409).body), "still there")
	f.do("DELETE", "/v1/sites/"+site.ID, nil).want(204)
	lacks(t, "unsure", wellFormed(t, "unsure", f.sent("/records/"+id, "").want(422)), "say that you are sure", `aria-describedby="delete-fault"`)
	if to := f.sent("/records/"+id, "delete=yes").want(303).header.Get("Location"); to != "/records" {
		t.Errorf("sent on to %s", to)
	}
	f.do("GET", "/records/"+id, nil).want(404)
	f.sent("/records/"+id, "delete=yes").want(404)
}

// While all room for heavy work is taken, the page comes without what needs it, and at once.
func TestRecordPageDoesNotWait(t *testing.T) {
	f := newFixture(t, func(o *Options) { o.HeavyJobs, o.HeavyWait = 1, 200*time.Millisecond })
	id := f.upload(twoHeightsCSV(2000), nil).ID
	f.service.heavy <- struct{}{}
	began := time.Now()
	text := wellFormed(t, "the page", f.do("GET", "/records/"+id, nil).want(200))
	if took := time.Since(began); took > 150*time.Millisecond && !raceDetector {
		t.Errorf("it took %v", took)
	}
	lacks(t, "the page", text, `id="waiting"`, "whole=true", "record.js", "Through the year", "charts/speeds.svg")
	if strings.Contains(text, "charts/coverage") {
		t.Error("it shows a chart that cannot be there")
	}
	f.do("GET", "/records/"+id+"?whole=true", nil).problem(busy, "", "") // who asks for all of it is told that there is no room
	<-f.service.heavy
	lacks(t, "the whole page", string(f.do("GET", "/records/"+id+"?whole=true", nil).want(200).body), "charts/coverage.svg")
}

// Twenty years of hours with much to doubt stay light and quick.
func TestLongRecordPage(t *testing.T) {
	if testing.Short() {
		t.Skip("it reads 175 000 rows")
	}
	f := newFixture(t)
	file := twoHeightsCSV(175_000)
	id := f.upload(file, nil).ID
	wellFormed(t, "the page", f.do("GET", "/records/"+id+"?whole=true", nil).want(200))
	best := time.Hour
	for range 5 {
		began := time.Now()
		f.do("GET", "/records/"+id, nil).want(200)
		best = min(best, time.Since(began))
	}
	if best > 50*time.Millisecond && !raceDetector {
		t.Errorf("the page of a long record takes %v", best)
	}
	t.Logf("the page takes %v", best)
}

// A digest of an earlier version of the methods is made anew.
func TestOldStatisticsAreRenewed(t *testing.T) {
	f := newFixture(t)
	rec := f.upload(hourlyCSV(900), nil)
	kept, err := f.store.Record(t.Context(), rec.ID)
	if err != nil {
		t.Fatal(err)
	}
	series, err := f.service.series(t.Context(), rec.ID)
	if err != nil {
		t.Fatal(err)
	}
	for i, method := range []string{document.Methods, "0"} {
		want := i == 1
		kept.Statistics = bytes.Replace(kept.Statistics, []byte(`"method":"`+document.Methods+`"`), []byte(`"method":"`+method+`"`), 1)
		d, err := newRecordDigest(&kept, series, "", page.Units{})
		if err != nil || (d.statistics != nil) != want {
			t.Errorf("methods %s: %v, %v", method, d.statistics, err)
		}
	}
}

// What there is for a place is listed, and a record is fetched by the form.
func TestFetchForm(t *testing.T) {
	f := newFixture(t, withFetch(t))
	text := wellFormed(t, "the sources", f.do("GET", "/records?latitude=52.21&longitude=-1.44", nil).want(200))
	lacks(t, "the sources", text, "What there is for this place", "nasa_power", "#fetch", "Why it stands here")
	f.do("GET", "/records?latitude=152&longitude=-1.44", nil).problem(invalidParameters, "query.latitude", "90")
	filled := string(f.do("GET", "/records?latitude=52.21&longitude=-1.44&source=nasa_power&from_year=2021&to_year=2022", nil).want(200).body)
	lacks(t, "the form", filled, `name="from_year" inputmode="numeric" required value="2021"`, `value="nasa_power" selected`)
	form := "latitude=52.21&longitude=-1.44&source=nasa_power&name=orchard&from_year="
	to := f.sent("/records", form+"2021&to_year=2021").want(303).header.Get("Location")
	lacks(t, "the record", string(f.do("GET", to, nil).want(200).body), "<h1>orchard</h1>", "nasa_power")
	for wrong, field := range map[string]string{"2021&to_year=2020": "fetch-to-fault", "soon&to_year=2020": "fetch-from-fault"} {
		lacks(t, wrong, wellFormed(t, wrong, f.sent("/records", form+wrong).want(422)), `id="`+field+`"`)
	}
	lacks(t, "a year there is not", string(f.sent("/records", form+"1999&to_year=1999").want(422).body), `class="fault"`)
}

// BenchmarkRecordPage is a page of a year's hours at two heights that was looked at before; BenchmarkRecordDigest is what the first look costs.
func BenchmarkRecordPage(b *testing.B) {
	f := newFixture(b)
	target := "/records/" + f.upload(twoHeightsCSV(8760), nil).ID
	f.do("GET", target+"?whole=true", nil).want(200)
	for b.Loop() {
		w := httptest.NewRecorder()
		f.ServeHTTP(w, httptest.NewRequestWithContext(b.Context(), http.MethodGet, target, http.NoBody))
	}
}

func BenchmarkRecordDigest(b *testing.B) {
	f := newFixture(b)
	rec, err := f.store.Record(b.Context(), f.upload(twoHeightsCSV(8760), nil).ID)
	if err != nil {
		b.Fatal(err)
	}
	series, err := f.service.series(b.Context(), rec.ID)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := newRecordDigest(&rec, series, "", page.Units{}); err != nil {
			b.Fatal(err)
		}
	}
}
