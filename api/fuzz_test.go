package api

import (
	"context"
	"encoding/json"
	"errors"
	"iter"
	"log/slog"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"mastworth/openapi"
	"mastworth/storage"
)

// askedStore reads from a store and drops what is to be written, so that a target that runs for minutes asks the same store each
// time. It is as strict with text as PostgreSQL: no byte 0, and nothing that is not UTF-8.
type askedStore struct{ storage.Store }

var errText = errors.New("invalid byte sequence for encoding UTF8")

func plainText(texts ...string) error {
	for _, s := range texts {
		if strings.Contains(s, "\x00") || !utf8.ValidString(s) {
			return errText
		}
	}
	return nil
}

func (a askedStore) Record(ctx context.Context, id string) (storage.Record, error) {
	if err := plainText(id); err != nil {
		return storage.Record{}, err
	}
	return a.Store.Record(ctx, id)
}

func (a askedStore) DeleteRecord(ctx context.Context, id string) error {
	_, err := a.Record(ctx, id)
	return err
}

func (a askedStore) CreateRecord(_ context.Context, id string, blocks iter.Seq2[storage.Block, error], finish func() (storage.Record, error)) (storage.Record, error) {
	for b, err := range blocks {
		if err = errors.Join(err, plainText(b.Month)); err != nil {
			return storage.Record{}, err
		}
	}
	rec, err := finish()
	return rec, errors.Join(err, plainText(id, rec.Name, rec.SourceFormat))
}

func (a askedStore) Curve(ctx context.Context, id string) (storage.Curve, error) {
	if err := plainText(id); err != nil {
		return storage.Curve{}, err
	}
	return a.Store.Curve(ctx, id)
}

func (a askedStore) CreateCurve(_ context.Context, c storage.Curve) error {
	return plainText(c.ID, c.Name, c.Source)
}

func (a askedStore) DeleteCurve(ctx context.Context, id string) error {
	_, err := a.Curve(ctx, id)
	return err
}

func (a askedStore) Site(ctx context.Context, id string) (storage.Site, error) {
	if err := plainText(id); err != nil {
		return storage.Site{}, err
	}
	return a.Store.Site(ctx, id)
}

func (a askedStore) CreateSite(_ context.Context, s storage.Site) (storage.Site, error) {
	s.Version = 1
	return s, plainText(s.ID, s.Name, s.RecordID, s.ReferenceID, s.LogID, s.CurveID, s.Club.ShownAs)
}

func (a askedStore) UpdateSite(ctx context.Context, s storage.Site) (storage.Site, error) {
	have, err := a.Site(ctx, s.ID)
	switch {
	case err != nil:
		return have, err
	case s.Version != 0 && s.Version != have.Version:
		return have, storage.ErrConflict
	}
	s.Version, s.CreatedAt = have.Version+1, have.CreatedAt
	return s, plainText(s.Name, s.RecordID, s.ReferenceID, s.LogID, s.CurveID)
}

func (a askedStore) SetClub(ctx context.Context, id string, version int64, c storage.Club) (storage.Site, error) {
	have, err := a.Site(ctx, id)
	if err == nil && version != 0 && version != have.Version {
		err = storage.ErrConflict
	}
	have.Club = c
	return have, errors.Join(err, plainText(c.ShownAs))
}

func (a askedStore) DeleteSite(ctx context.Context, id string) error {
	_, err := a.Site(ctx, id)
	return err
}

func (a askedStore) SaveEstimate(context.Context, storage.SavedEstimate) error { return nil }

func (a askedStore) AddReadings(_ context.Context, siteID string, all []storage.Reading) (int, error) {
	return len(all), plainText(siteID)
}

func (a askedStore) DeleteReading(_ context.Context, siteID, id string) error {
	return errors.Join(plainText(siteID, id), storage.ErrNotFound)
}

func (a askedStore) BoardEntry(ctx context.Context, id string) (storage.BoardEntry, error) {
	if err := plainText(id); err != nil {
		return storage.BoardEntry{}, err
	}
	return a.Store.BoardEntry(ctx, id)
}

func (a askedStore) Key(ctx context.Context, id string) (storage.Key, error) {
	if err := plainText(id); err != nil {
		return storage.Key{}, err
	}
	return a.Store.Key(ctx, id)
}

func (a askedStore) CreateKey(_ context.Context, k storage.Key) error { return plainText(k.ID, k.Name) }

func (a askedStore) DeleteKey(ctx context.Context, id string) error {
	_, err := a.Key(ctx, id)
	return err
}

// asked is a service over a store with something of everything, to be asked whatever comes.
type asked struct {
	*fixture
	operations []operation
	ids        map[string]string // of what is there, by the first part of a path
}

type operation struct {
	method, path string
	op           string
	hasBody      bool
}

func newAsked(f *testing.F, adjust ...func(*Options)) *asked {
	f.Helper()
	first := newFixture(f)
	a := &asked{ids: map[string]string{}}
	rec := first.upload(hourlyCSV(800), nil)
	var site openapi.Site
	first.post("/v1/sites", exampleJSON(f, "FittedWind")).want(http.StatusCreated).json(&site)
	first.post("/v1/sites/"+site.ID+"/readings", []byte(`{"readings":[{"time":"2026-04-01","meter_kwh":10},{"time":"2026-04-20","meter_kwh":90}]}`)).want(http.StatusOK)
	first.do(http.MethodPut, "/v1/sites/"+site.ID+"/club", []byte(`{"public":true}`), header{"Content-Type", "application/json"}).want(http.StatusOK)
	first.do(http.MethodGet, "/v1/sites/"+site.ID+"/estimate", nil).want(http.StatusOK)
	var curve openapi.Curve
	first.post("/v1/curves", []byte(`{"rotor_diameter_m":2.4,"power_curve":{"points":[[3,0],[5,100],[9,500],[12,700]]}}`)).want(http.StatusCreated).json(&curve)
	a.ids = map[string]string{"records": rec.ID, "sites": site.ID, "club": site.ID, "curves": curve.ID}
	quiet := func(o *Options) {
		o.Store, o.Logger, o.NewID = askedStore{first.store}, slog.New(slog.DiscardHandler), func() string { return "new" }
		o.MaxBodyBytes, o.MaxUploadBytes = 64<<10, 64<<10
	}
	a.fixture = newFixture(f, append([]func(*Options){quiet}, adjust...)...)
	for path, item := range a.spec.Paths.Map() {
		for method, op := range item.Operations() {
			a.operations = append(a.operations, operation{method, path, op.OperationID, op.RequestBody != nil})
		}
	}
	slices.SortFunc(a.operations, func(x, y operation) int { return strings.Compare(x.op, y.op) })
	return a
}

// number is the place of an operation among those to be asked.
func (a *asked) number(op string) uint8 {
	for i, o := range a.operations {
		if o.op == op {
			return uint8(i) //nolint:gosec // there are less than 256
		}
	}
	a.t.Fatalf("the contract has no operation %s", op)
	return 0
}

// target is the address of an operation on what is there; a part that is given is put in the place of its last parameter.
func (a *asked) target(path, part string) string {
	steps := strings.Split(path, "/")
	given := part != ""
	for i := len(steps) - 1; i >= 0; i-- {
		if !strings.HasPrefix(steps[i], "{") {
			continue
		}
		switch {
		case given:
			steps[i], given = url.PathEscape(part), false
		case steps[i] == "{id}" && steps[i-1] == "sites":
			steps[i] = a.ids["sites"]
		case steps[i] == "{id}" && a.ids[steps[i-1]] != "":
			steps[i] = a.ids[steps[i-1]]
		default:
			steps[i] = "abc"
		}
	}
	return strings.Join(steps, "/")
}

// ask sends a request, unless no client could, and holds the answer to what every answer must be.
func (a *asked) ask(t *testing.T, method, target string, body []byte, headers ...header) *answered {
	t.Helper()
	sendable := func(s string, least rune) bool {
		return !strings.ContainsFunc(s, func(r rune) bool { return r < least || r == 0x7f })
	}
	if _, err := url.ParseRequestURI(target); err != nil || !sendable(target, '!') || !utf8.ValidString(target) {
		t.Skip("no request line")
	}
	var sent []header
	for _, h := range headers {
		if h.value = strings.TrimSpace(h.value); h.value != "" {
			sent = append(sent, h)
		}
		if !sendable(h.value, ' ') {
			t.Skip("no header line")
		}
	}
	a.t = t
	got := a.do(method, target, body, sent...)
	checkAnswer(t, got)
	return got
}

// checkAnswer holds an answer to what no contract of types can say: no failure of ours, a problem that names its place, JSON that is JSON.
func checkAnswer(t *testing.T, a *answered) {
	t.Helper()
	if a.status >= 500 && a.status != http.StatusNotImplemented {
		t.Fatalf("%s answered %d: %s", a.operation, a.status, a.body)
	}
	for name, values := range a.header {
		for _, v := range values {
			if strings.ContainsFunc(v, func(r rune) bool { return r < ' ' }) {
				t.Fatalf("%s: header %s is %q", a.operation, name, v)
			}
		}
	}
	media := a.header.Get("Content-Type")
	if strings.HasSuffix(media, "json") && len(a.body) > 0 && !json.Valid(a.body) {
		t.Fatalf("%s: no JSON: %s", a.operation, a.body)
	}
	if a.status < 400 || media != "application/problem+json" {
		return
	}
	var p openapi.Problem
	if a.json(&p); p.Title == "" || p.Detail == "" || p.Status != a.status || p.Instance == "" {
		t.Fatalf("%s: %s", a.operation, a.body)
	}
	if named := []int{http.StatusBadRequest, http.StatusUnprocessableEntity, http.StatusUnsupportedMediaType, http.StatusNotAcceptable}; slices.Contains(named, a.status) && len(p.Errors) == 0 {
		t.Fatalf("%s names no place: %s", a.operation, a.body)
	}
	for _, e := range p.Errors {
		root, _, _ := strings.Cut(strings.ReplaceAll(e.Location, "[", "."), ".")
		if !slices.Contains([]string{"query", "path", "header", "body", "request"}, root) || e.Detail == "" ||
			strings.ContainsFunc(e.Location, func(r rune) bool { return r < ' ' || r == 0x7f }) {
			t.Fatalf("%s: %+v in %s", a.operation, e, a.body)
		}
	}
}

// FuzzAddress asks every operation with arbitrary paths, queries and headers.
func FuzzAddress(f *testing.F) {
	a := newAsked(f)
	for op, query := range map[string]string{"listRecords": "limit=2&after=abc", "listSources": "latitude=52&longitude=1", "downloadSamples": "format=parquet",
		"screenRecord": "leave_out=icing&limit=range.speed_max_m_s%3D60", "readClimate": "channel=wind+speed+10+m&sectors=8", "readCurve": "format=csv",
		"readHarvest": "hub_height_m=12&record=abc", "readBoard": "sort=cost&verdict=worth_it", "readResultChart": "dark=true&width=300&scale=2", "readGuide": "example=garden",
		"readSignIn": "next=/club", "readRecordsPage": "latitude=52&longitude=1&source=isd&from_year=2010", "readRecordPage": "channel=x&whole=true",
		"readBalancePage": "masses=1200+1210+1190&centres=.5,.5,.5&rpm=300&tip_radius=1.2", "readOEmbed": "url=http://example.com/club/sites/x&format=json&maxwidth=9",
		"addReadings": "utc_offset=%2B01:00", "uploadRecord": "column=v%3Dspeed,height%3D10&only=a%3Db&header_line=2&missing=-9", "readClubPage": "sort=name&verdict="} {
		f.Add(a.number(op), "", query, "", "")
	}
	f.Add(a.number("readResultChart"), "energy.svg", "", "", `"a"`)
	f.Add(a.number("readRecordChart"), "rose.png", "scale=4", "image/png", "")
	f.Add(a.number("readHarvestChart"), "harvest.csv", "hub_height_m=12", "", "*")
	f.Add(a.number("readRecord"), "a\x00b", "", "text/html;q=0.9,*/*;q=0.1", `W/"a", "b"`)
	for _, page := range []string{"readHarvestPage", "readResult", "readRecordPage", "readResultChart", "readRequestYAML", "readShowing", "readSiteCard", "readOEmbed"} {
		f.Add(a.number(page), "0", "", "text/html", "") // what a browser is told of what is not there
	}
	f.Add(a.number("readSite"), "../..", "%zz", "*/*;q=x", `"`)
	f.Fuzz(func(t *testing.T, n uint8, part, query, accept, match string) {
		o := a.operations[int(n)%len(a.operations)]
		target := a.target(o.path, part)
		if query != "" {
			target += "?" + query
		}
		a.ask(t, o.method, target, nil, header{"Accept", accept}, header{"If-None-Match", match}, header{"If-Match", match})
	})
}

// FuzzSend sends arbitrary bodies to every operation that takes one.
func FuzzSend(f *testing.F) {
	a := newAsked(f)
	media := []string{"application/json", "application/yaml", "application/x-www-form-urlencoded", "multipart/form-data; boundary=B", "text/csv"}
	a.operations = slices.DeleteFunc(a.operations, func(o operation) bool { return !o.hasBody })
	part := func(name, file, text string) string {
		return "--B\r\nContent-Disposition: form-data; name=\"" + name + "\"; filename=\"" + file + "\"\r\n\r\n" + text + "\r\n--B--\r\n"
	}
	for _, s := range []struct {
		op, body string
		media    uint8
	}{
		{"createEstimate", string(exampleJSON(f, "MeanWind")), 0}, {"createSite", string(exampleJSON(f, "FittedWind")), 0}, {"replaceSite", "site: {latitude: 1}", 1},
		{"createCurve", `{"rotor_diameter_m":2,"power_curve":{"points":[[3,0],[9,100]]}}`, 0}, {"balanceRotor", "masses_g: [1, 2, 3]", 1},
		{"addReadings", "time,meter_kwh\n2026-04-02,5\n", 4}, {"addReadings", `{"readings":[{"time":"2026-04-02","energy_kwh":5}]}`, 0}, {"showSite", `{"public":true,"shown_as":"a"}`, 0},
		{"createKey", `{"name":"a","scope":"read","days":3}`, 0}, {"createKey", `{"name":"a\u0000b","scope":"read"}`, 0}, {"fetchRecord", `{"latitude":1,"longitude":2,"from_year":2010,"to_year":2011}`, 0},
		{"sendGuide", "do=see&site.latitude=52&site.longitude=1&by.wind=mean&wind.mean.speed_m_s=5&wind.mean.height_m=10&towers[0].hub_height_m=12&money.turbine_cost=1", 2},
		{"sendGuide", "do=add:towers&units=feet&units.shown=metric&world.x=100&world.y=20&do=example:garden&example=garden", 2}, {"sendEdit", "do=draft&version=1&other={}", 2},
		{"sendGuide", part("draft", "a.yaml", "site: {latitude: 1}"), 3}, {"createFromPage", part("document", "a", "{}"), 3}, {"addRecord", part("file", "a.csv", string(hourlyCSV(4))), 3},
		{"addRecord", "latitude=1&longitude=2&from_year=2010&source=isd", 2}, {"signIn", "key=mastworth_x&next=/club", 2}, {"removeSite", "delete=yes", 2}, {"changeShowing", "public=yes&shown_as=x", 2},
		{"changeHarvest", "do=add&time=2026-04-02&kwh=5", 2}, {"changeHarvest", part("file", "a.csv", "time,meter_kwh\n2026-04-02,5\n"), 3},
	} {
		f.Add(a.number(s.op), s.media, []byte(s.body))
	}
	f.Fuzz(func(t *testing.T, n, kind uint8, body []byte) {
		o := a.operations[int(n)%len(a.operations)]
		a.ask(t, o.method, a.target(o.path, ""), body, header{"Content-Type", media[int(kind)%len(media)]})
	})
}
