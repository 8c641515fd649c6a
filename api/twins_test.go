package api

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"mastworth/openapi"
)

// twins are the operations that say as JSON what a page says, by the page's operation. One that says nothing of its own has none, and
// the reason instead.
var twins = map[string][]string{
	"listSitePages":      {"listSites"},
	"readResult":         {"readSiteEstimate", "readSite"},
	"readReport":         {"readSiteEstimate"},
	"readRequestYAML":    {"readSite"},
	"readResultChart":    {"readSiteEstimate"},
	"readGuide":          {"createSite", "listRecords", "listCurves"},
	"readEdit":           {"readSite", "replaceSite"},
	"readNew":            {"createSite"},
	"readRecordsPage":    {"listRecords", "listSources", "fetchRecord"},
	"readRecordPage":     {"readRecord", "readClimate", "readCoverage", "readShear", "screenRecord"},
	"readRecordChart":    {"readRecord", "readClimate", "readCoverage", "readShear", "screenRecord"},
	"readCurvesPage":     {"listCurves"},
	"readCurvePage":      {"readCurve"},
	"readCurveChart":     {"readCurve"},
	"readBalancePage":    {"balanceRotor"},
	"readHarvestPage":    {"readHarvest", "listReadings"},
	"readHarvestChart":   {"readHarvest"},
	"readMethodPage":     {"listMethods"},
	"listProblems":       {"listProblemKinds"},
	"readProblem":        {"listProblemKinds"},
	"readClubPage":       {"readBoard"},
	"readClubFeed":       {"readBoard"},
	"readPublicSitePage": {"readPublicSite"},
	"readPublicSiteFrame": {
		"readPublicSite"},
	"readSiteCard":        {"readPublicSite"},
	"readPublicSiteChart": {"readPublicSite"},
	"readShowing":         {"readSite"},
	"readOEmbed":          {"readPublicSite"},
}

var twinless = map[string]string{
	"readIndex":        "leads to the other pages",
	"readAsset":        "is style, script or a picture",
	"readContractPage": "is /openapi.yaml made readable, to which it leads",
	"readSignIn":       "asks for a key, which JSON's callers send with each request",
}

// Every page has a twin in JSON, in the contract: a new page without one fails here.
func TestEveryPageHasATwin(t *testing.T) {
	spec := loadSpec(t)
	paths := map[string]string{} // of operations that answer JSON
	pages := map[string]bool{}
	for path, item := range spec.Paths.Map() {
		for method, op := range item.Operations() {
			if strings.HasPrefix(path, "/v1/") {
				for status, answer := range op.Responses.Map() {
					if strings.HasPrefix(status, "2") && answer.Value.Content["application/json"] != nil {
						paths[op.OperationID] = path
					}
				}
			} else if method == http.MethodGet && (slices.Contains(op.Tags, "pages") || slices.Contains(op.Tags, "club")) {
				pages[op.OperationID] = true
			}
		}
	}
	for page := range pages {
		if len(twins[page]) == 0 && twinless[page] == "" {
			t.Errorf("the page %s has no twin in JSON", page)
		}
		for _, twin := range twins[page] {
			if paths[twin] == "" {
				t.Errorf("the twin %s of the page %s is no operation that answers JSON", twin, page)
			}
		}
	}
	for page := range twins {
		if !pages[page] {
			t.Errorf("%s is no page", page)
		}
	}
	for page := range twinless {
		if !pages[page] || len(twins[page]) > 0 {
			t.Errorf("%s is no page without a twin", page)
		}
	}
}

var (
	alternate = regexp.MustCompile(`<link rel="alternate" type="application/json" href="([^"]*)">`)
	more      = regexp.MustCompile(`<a href="(/v1/[^"]*)"><code>`)
)

// Pages lead to their twins, which are there.
func TestPagesLeadToTheirTwins(t *testing.T) {
	f := newFixture(t)
	site := f.savedSite(string(exampleJSON(t, "MeanWind")))
	record := f.upload(twoHeightsCSV(9000), url.Values{"utc_offset": {"+01:00"}}).ID
	f.do("PUT", "/v1/sites/"+site+"/club", []byte(`{"public":true}`), header{"Content-Type", "application/json"}).want(200)
	for path, leads := range map[string]int{"/sites": 1, "/sites/" + site: 1, "/sites/" + site + "/report": 1, "/sites/" + site + "/edit": 1, "/sites/" + site + "/harvest": 1,
		"/sites/" + site + "/club": 1, "/records": 1, "/records/" + record + "?whole=true": 5, "/curves": 1, "/club": 1, "/club/sites/" + site: 1, "/problems": 1, "/problems/busy": 1,
		"/method": 1} {
		text := string(f.do("GET", path, nil).want(200).body)
		found := append(alternate.FindAllStringSubmatch(text, -1), more.FindAllStringSubmatch(text, -1)...)
		if len(found) != leads {
			t.Errorf("%s leads to %d twins, not %d: %v", path, len(found), leads, found)
		}
		for _, link := range found {
			target := html.UnescapeString(link[1])
			if a := f.do("GET", target, nil); a.status != 200 || !strings.HasPrefix(a.header.Get("Content-Type"), "application/json") {
				t.Errorf("%s leads to %s, which answers %d as %s", path, target, a.status, a.header.Get("Content-Type"))
			}
		}
	}
	if text := string(f.do("GET", "/balance", nil).want(200).body); !strings.Contains(text, "POST /v1/rotors/balance") {
		t.Error("the page of blades does not tell its twin")
	}
}

// Coverage and shear as JSON are what the page's charts show.
func TestCoverageAndShearAreTheCharts(t *testing.T) {
	f := newFixture(t)
	rec := f.upload(twoHeightsCSV(9000), url.Values{"utc_offset": {"+01:00"}})
	var coverage openapi.RecordCoverage
	a := f.do("GET", "/v1/records/"+rec.ID+"/coverage", nil).want(200)
	a.json(&coverage)
	f.do("GET", "/v1/records/"+rec.ID+"/coverage", nil, header{"If-None-Match", a.header.Get("ETag")}).want(304)
	for m := range 12 {
		_, shown := column(t, f, "/records/"+rec.ID+"/charts/coverage.csv", 1+m)
		var want []float64
		for _, y := range coverage.Years {
			if share := y.MonthShares[m]; share != nil {
				want = append(want, 100**share)
			}
		}
		same(t, "coverage", shown, want)
	}
	var shear openapi.RecordShear
	a = f.do("GET", "/v1/records/"+rec.ID+"/shear", nil).want(200)
	a.json(&shear)
	f.do("GET", "/v1/records/"+rec.ID+"/shear", nil, header{"If-None-Match", a.header.Get("ETag")}).want(304)
	// The upper speeds were made from the lower ones by the power law with the exponent 0.2, rounded to hundredths.
	if e := shear.Exponent; e == nil || *e < 0.199 || *e > 0.201 || shear.LowM != 10 || shear.HighM != 30 || len(shear.Sectors) != 12 || shear.Sectors[0].FromDeg != 345 {
		t.Errorf("%+v", shear)
	}
	pairs := int64(0)
	for _, s := range shear.Sectors {
		pairs += s.NightPairs + s.DayPairs
	}
	if pairs > shear.Pairs || pairs < shear.Pairs*9/10 {
		t.Errorf("%d pairs in the sectors of %d", pairs, shear.Pairs)
	}
	for i, of := range []func(c *openapi.HeightComparison) float64{func(c *openapi.HeightComparison) float64 { return c.LowMeanMS },
		func(c *openapi.HeightComparison) float64 { return c.HighMeanMS }, nil, func(c *openapi.HeightComparison) float64 { return float64(c.Pairs) }} {
		if of == nil {
			continue
		}
		_, shown := column(t, f, "/records/"+rec.ID+"/charts/two-heights.csv", i)
		var want []float64
		for k := range shear.Comparison {
			want = append(want, of(&shear.Comparison[k]))
		}
		same(t, "the two heights", shown, want)
	}
	one := f.upload(hourlyCSV(800), nil).ID
	f.do("GET", "/v1/records/"+one+"/shear", nil).problem(invalidRequest, "path.id", "two wind speeds")
	f.do("GET", "/v1/records/"+one+"/coverage?channel=luck", nil).problem(invalidParameters, "query.channel", "")
}

func same(t *testing.T, what string, got, want []float64) {
	t.Helper()
	if len(got) != len(want) || len(got) == 0 {
		t.Fatalf("%s: %d numbers, want %d", what, len(got), len(want))
	}
	for i := range got {
		if d := got[i] - want[i]; d > 1e-6 || d < -1e-6 {
			t.Errorf("%s: %g, want %g", what, got[i], want[i])
		}
	}
}
