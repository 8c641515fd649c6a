package api

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"html"
	"math"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/storage"
)

// shownSites are saved sites of every kind, by what is special about them.
func shownSites(f *fixture) map[string]string {
	f.t.Helper()
	ids := map[string]string{}
	for _, name := range []string{"MeanWind", "FittedWind", "FrequencyTable"} {
		ids[name] = f.savedSite(string(exampleJSON(f.t, name)))
	}
	rec := f.upload(hourlyCSV(8784), nil)
	ids["record"] = f.savedSite(string(change(f.t, exampleJSON(f.t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": rec.ID}})))
	ids["without odds"] = f.savedSite(string(change(f.t, exampleJSON(f.t, "MeanWind"), "uncertainty", map[string]any{"draws": 0})))
	for _, name := range []string{"hedge-corner", "six-boards"} {
		text, err := os.ReadFile(filepath.Join("..", "testdata", "examples", name+".yaml"))
		if err != nil {
			f.t.Fatal(err)
		}
		made := f.do("POST", "/v1/sites", text, header{"Content-Type", "application/yaml"}).want(http.StatusCreated)
		ids[name] = strings.TrimPrefix(made.header.Get("Location"), "/v1/sites/")
	}
	turbine, err := json.Marshal(map[string]any{"name": "kept", "rotor_diameter_m": 2.4, "rated_power_w": 900,
		"power_curve": map[string]any{"points": [][]float64{{2.5, 0}, {5, 105}, {8, 440}, {12, 900}, {20, 420}}}})
	if err != nil {
		f.t.Fatal(err)
	}
	var kept openapi.Curve
	f.post("/v1/curves", turbine).want(http.StatusCreated).json(&kept)
	ids["kept curve"] = f.savedSite(string(change(f.t, exampleJSON(f.t, "MeanWind"), "turbine", map[string]any{"curve": map[string]any{"id": kept.ID}})))
	return ids
}

// Every kind of site has a sound page and a sound report; all that a page links to is there.
func TestResultsOfEveryKind(t *testing.T) {
	oneAtATime(t)
	f := newFixture(t)
	of := map[string]openapi.Estimate{}
	for kind, id := range shownSites(f) {
		var e openapi.Estimate
		f.do("GET", "/v1/sites/"+id+"/estimate", nil).want(200).json(&e)
		of[kind] = e
		for _, path := range []string{"/sites/" + id, "/sites/" + id + "/report"} {
			what := kind + " " + path
			text := wellFormed(t, what, f.do("GET", path, nil).want(200))
			tables, captions := strings.Count(text, "<table"), strings.Count(text, "<caption>")
			if tables != captions || tables == 0 {
				t.Errorf("%s: %d tables, %d captions", what, tables, captions)
			}
			checkAgainst(t, what, text, &e)
			if !strings.HasSuffix(path, "/report") {
				followLinks(t, f, text)
				continue
			}
			for _, not := range []string{"<nav", "<script", "<details", "<form"} {
				if strings.Contains(text, not) {
					t.Errorf("%s has %s, which is nothing for paper", what, not)
				}
			}
			lacks(t, what, text, "Report on", "As of 1 May 2026") // the clock of the test
		}
	}
	for kind, charts := range map[string][]string{
		"record":       {"months", "wind-rose", "energy-rose", "energy-by-speed", "cash", "sensitivities"},
		"hedge-corner": {"site-plan", "losses", "speeds", "power-curves"}, "six-boards": {"power-curves", "energy-by-speed"}, "kept curve": {"energy-by-height", "cost-by-height"},
	} {
		e := of[kind]
		for _, name := range charts {
			if _, ok := page.ResultChart(&e, page.Units{}, name); !ok {
				t.Errorf("%s has no chart %s", kind, name)
			}
		}
	}
}

// checkAgainst holds a page against its document: verdict, every reason, warning, caution and source of a number are on it, and the chief
// numbers to three digits.
func checkAgainst(t *testing.T, what, text string, e *openapi.Estimate) {
	t.Helper()
	plain := strings.ToLower(strings.ReplaceAll(html.UnescapeString(text), "’", "'")) // which the documents write
	must := func(kind, words string) {
		words = page.Units{}.Words(words) // places of the document by the form's names
		if !strings.Contains(plain, strings.ToLower(strings.ReplaceAll(words, "’", "'"))) {
			t.Errorf("%s lacks the %s %q", what, kind, words)
		}
	}
	for _, r := range e.Verdict.Reasons {
		must("reason", r.Detail)
	}
	for _, w := range e.Warnings {
		must("warning "+w.Code, w.Detail)
	}
	for i := range e.Heights {
		for _, w := range e.Heights[i].Warnings {
			must("warning "+w.Code, w.Detail)
		}
	}
	for _, c := range e.Cautions {
		must("caution", c.Text)
	}
	for _, p := range e.Provenance {
		must("method", p.Method)
	}
	for i := range e.Decision.BreakEvens {
		must("break-even", e.Decision.BreakEvens[i].Words)
	}
	if e.Decision.NextStep != nil {
		must("next step", e.Decision.NextStep.Words)
	}
	i := slices.IndexFunc(e.Heights, func(h openapi.HeightEstimate) bool {
		return e.BestHubHeightM != nil && h.HubHeightM == *e.BestHubHeightM
	})
	if i < 0 {
		t.Fatalf("%s has no best height", what)
	}
	for key, v := range map[string]*float64{"energy": e.Heights[i].Energy.NetKWh, "cost": e.Heights[i].Cost.PerKWh, "solar": e.Heights[i].Solar.PerKWh,
		"price": e.Request.Money.PricePerKWh, "height": e.BestHubHeightM} {
		if v == nil {
			continue
		}
		m := regexp.MustCompile(`id="number-` + key + `">.*?class="value">([^<]*)<`).FindStringSubmatch(text)
		if m == nil {
			t.Errorf("%s lacks the number %s", what, key)
			continue
		}
		shown := strings.NewReplacer("\u202f", "", "\u00a0", " ").Replace(html.UnescapeString(m[1]))
		number, err := strconv.ParseFloat(strings.Fields(shown)[0], 64)
		if err != nil || math.Abs(number-*v) > 0.0051**v {
			t.Errorf("%s shows %s for %s, the document has %g", what, shown, key, *v)
		}
	}
}

// followLinks opens all that a page links to and shows.
func followLinks(t *testing.T, f *fixture, text string) {
	t.Helper()
	seen := map[string]bool{}
	for _, m := range regexp.MustCompile(` (?:href|src|srcset)="(/[^"]*)"`).FindAllStringSubmatch(text, -1) {
		target, _, _ := strings.Cut(html.UnescapeString(m[1]), "#")
		if seen[target] || target == "/" {
			continue
		}
		seen[target] = true
		if a := f.do("GET", target, nil); a.status != http.StatusOK {
			t.Errorf("the page links to %s, which answers %d", target, a.status)
		}
	}
}

// column is a chart's CSV, one column of it as numbers.
func column(t *testing.T, f *fixture, target string, index int) (head string, values []float64) {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(string(f.do("GET", target, nil).want(200).body))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows[1:] {
		if r[index] == "" {
			continue // not known
		}
		v, err := strconv.ParseFloat(r[index], 64)
		if err != nil {
			t.Fatalf("%s: %v", target, err)
		}
		values = append(values, v)
	}
	return rows[0][index], values
}

func total(list []float64) (sum float64) {
	for _, v := range list {
		sum += v
	}
	return sum
}

// What charts show adds up to what the document says by another way: sums over bins against the closed form, shares to a whole.
func TestResultChartsAddUp(t *testing.T) {
	f := newFixture(t)
	ids := shownSites(f)
	var e openapi.Estimate
	f.do("GET", "/v1/sites/"+ids["record"]+"/estimate", nil).want(200).json(&e)
	best := &e.Heights[slices.IndexFunc(e.Heights, func(h openapi.HeightEstimate) bool { return h.HubHeightM == *e.BestHubHeightM })]
	charts := "/sites/" + ids["record"] + "/charts/"
	near := func(what string, got, want, share float64) {
		t.Helper()
		if math.Abs(got-want) > share*math.Abs(want) {
			t.Errorf("%s: %g, want %g", what, got, want)
		}
	}
	_, kWh := column(t, f, charts+"energy-by-speed.csv", 3)
	near("energy over the bins of speed", total(kWh), *best.Energy.GrossKWh, 1e-8)
	_, time := column(t, f, charts+"speeds.csv", 2)
	near("time over the bins of speed, with calms", total(time)+100*e.WindHistogram.CalmShare, 100, 1e-8)
	_, byFit := column(t, f, "/sites/"+ids["MeanWind"]+"/charts/energy-by-speed.csv", 3)
	var mean openapi.Estimate
	f.do("GET", "/v1/sites/"+ids["MeanWind"]+"/estimate", nil).want(200).json(&mean)
	at := slices.IndexFunc(mean.Heights, func(h openapi.HeightEstimate) bool { return h.HubHeightM == *mean.BestHubHeightM })
	near("energy over the fit's bins", total(byFit), *mean.Heights[at].Energy.WeibullGrossKWh, 0.005) // the last thousandth of the time is beyond the bins
	_, steps := column(t, f, charts+"losses.csv", 1)
	near("gross less losses", total(steps[:len(steps)-1]), *best.Energy.NetKWh, 1e-6)
	near("net", steps[len(steps)-1], *best.Energy.NetKWh, 1e-6)
	_, wind := column(t, f, charts+"months.csv", 1)
	near("the months' wind", total(wind), *best.Energy.NetKWh, 1e-6)
	_, rose := column(t, f, charts+"wind-rose.csv", 1)
	near("the rose with its calms", total(rose)+100**best.Wind.CalmShare, 100, 1e-6)
	for class := range 6 {
		_, c := column(t, f, charts+"wind-rose.csv", 2+class)
		for i := range c {
			rose[i] -= c[i]
		}
	}
	if left := total(rose); math.Abs(left) > 1e-6 {
		t.Errorf("the classes of speed leave %g %% of the time out", left)
	}
	_, energy := column(t, f, charts+"energy-rose.csv", 1)
	near("the directions' energy", total(energy), 100, 1e-6)
	_, so := column(t, f, charts+"cash.csv", 1)
	near("cash at the end", so[len(e.Decision.Cash.Years)-1], e.Decision.Cash.NPV, 1e-6)
	_, sun := column(t, f, charts+"cash.csv", 2)
	near("the array's cash at the end", sun[len(e.Decision.SolarCash.Years)-1], e.Decision.SolarCash.NPV, 1e-6)
	var table openapi.Estimate
	f.do("GET", "/v1/sites/"+ids["FrequencyTable"]+"/estimate", nil).want(200).json(&table)
	_, shares := column(t, f, "/sites/"+ids["FrequencyTable"]+"/charts/speeds.csv", 2)
	near("the table's shares", total(shares), 100, 1e-6)
}

// counting counts how often estimates are read.
type counting struct {
	storage.Store
	read int
}

func (c *counting) Estimate(ctx context.Context, id string) (storage.SavedEstimate, error) {
	c.read++
	return c.Store.Estimate(ctx, id)
}

// Whoever has a page, a report or a chart is told so without the estimate being read; a change of the site ends that.
func TestResultIsNotSentTwice(t *testing.T) {
	store, _ := openStore(t)
	count := &counting{Store: store}
	f := newFixture(t, func(o *Options) { o.Store = count })
	body := exampleJSON(t, "MeanWind")
	id := f.savedSite(string(body))
	for _, path := range []string{"/sites/" + id, "/sites/" + id + "/report", "/sites/" + id + "/charts/losses.svg", "/sites/" + id + "/charts/losses.png?width=400"} {
		tag := f.do("GET", path, nil).want(200).header.Get("ETag")
		before := count.read
		again := f.do("GET", path, nil, header{"If-None-Match", tag}).want(http.StatusNotModified)
		if tag == "" || again.header.Get("ETag") != tag || len(again.body) > 0 || count.read != before {
			t.Errorf("%s: %q, then %q with %d bytes; %d readings", path, tag, again.header.Get("ETag"), len(again.body), count.read-before)
		}
		f.do("PUT", "/v1/sites/"+id, change(t, body, "money.turbine_cost", float64(1000+len(path))), header{"Content-Type", "application/json"}).want(200)
		f.do("GET", path, nil, header{"If-None-Match", tag}).want(200)
	}
}
