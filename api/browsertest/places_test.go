package browsertest

import (
	"net/http"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml"

	"mastworth/deploy/running"
)

// place is a page at its address.
type place struct{ name, path string }

// reference pages are books in which one looks something up, each whole, so that a browser's search finds all of it.
func (p place) reference() bool { return p.path == "/method" || p.path == "/contract" }

// filled are the ids of what a service holds that has something on every page.
type filled struct{ site, hedge, record, curve string }

// fill saves a second site with obstacles, a kept curve and a year's meter readings, and shows the demo's site in the club.
func fill(t *testing.T, i *running.Instance) (f filled) {
	t.Helper()
	f.site = siteIDs(t, i)[0]
	var records struct {
		Records []struct {
			ID string `json:"id"`
		} `json:"records"`
	}
	get(t, i.Base+"/v1/records", &records)
	f.record = records.Records[0].ID
	f.hedge = saveHedge(t, i)
	var made struct {
		ID string `json:"id"`
	}
	send(t, http.MethodPost, i.Base+"/v1/curves", "application/json", strings.NewReader(`{"name": "Orchard two", "rotor_diameter_m": 2,
		"power_curve": {"points": [[3, 0], [4, 20], [6, 95], [8, 230], [10, 380], [12, 450], [20, 450]]}}`), &made)
	f.curve = made.ID
	send(t, http.MethodPost, i.Base+"/v1/sites/"+f.site+"/readings", "text/csv", strings.NewReader(readings), nil)
	for _, id := range []string{f.site, f.hedge} {
		get(t, i.Base+"/v1/sites/"+id+"/estimate", new(estimate))
		shown := strings.NewReader(`{"public": true, "show_costs": true}`)
		send(t, http.MethodPut, i.Base+"/v1/sites/"+id+"/club", "application/json", shown, nil)
	}
	for range 100 { // the record's page is looked at whole, not while it is still worked out and renews itself
		if !strings.Contains(getText(t, i.Base+"/records/"+f.record), `id="waiting"`) {
			return f
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal("the record's page is never whole")
	return f
}

// saveHedge saves the example that has something around its mast, and gives its id.
func saveHedge(t *testing.T, i *running.Instance) string {
	t.Helper()
	hedge, err := os.ReadFile("../../testdata/examples/hedge-corner.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var made struct {
		ID string `json:"id"`
	}
	send(t, http.MethodPost, i.Base+"/v1/sites", "application/yaml", strings.NewReader(string(hedge)), &made)
	return made.ID
}

// readings are of an invented meter, month by month.
const readings = `time,meter_kwh
2024-01-01T00:00:00Z,0
2024-02-01T00:00:00Z,131
2024-03-01T00:00:00Z,262
2024-04-01T00:00:00Z,371
2024-05-01T00:00:00Z,455
2024-06-01T00:00:00Z,521
2024-07-01T00:00:00Z,578
2024-08-01T00:00:00Z,630
2024-09-01T00:00:00Z,690
2024-10-01T00:00:00Z,764
`

// places are all pages of the contract, each at an address that answers with it.
func places(t *testing.T, f filled) (all []place) {
	t.Helper()
	at := map[string][]place{ // operations whose address does not stand by itself, or whose page looks otherwise when it is asked something
		"readResult":      {{"result", "/sites/" + f.site}, {"result-feet", "/sites/" + f.hedge + "?units=feet"}},
		"readReport":      {{"report", "/sites/" + f.site + "/report"}},
		"readEdit":        {{"edit", "/sites/" + f.hedge + "/edit"}},
		"readHarvestPage": {{"harvest", "/sites/" + f.site + "/harvest"}, {"harvest-none", "/sites/" + f.hedge + "/harvest"}},
		"readShowing":     {{"showing", "/sites/" + f.site + "/club"}},
		"readRecordPage":  {{"record", "/records/" + f.record}},
		"readCurvePage":   {{"curve", "/curves/" + f.curve}},
		"readProblem":     {{"problem", "/problems/invalid-request"}},
		"readBalancePage": {{"balance-none", "/balance"}, {"balance", "/balance?masses=812.5+809+815"}},

		"readPublicSitePage":  {{"club-site", "/club/sites/" + f.site}},
		"readPublicSiteFrame": {{"club-embed", "/club/sites/" + f.site + "/embed"}},
	}
	for _, o := range pageOperations(t) {
		switch named, ok := at[o.id]; {
		case ok:
			all = append(all, named...)
		case strings.Contains(o.path, "{"):
			t.Errorf("the tests know no address for %s, %s", o.id, o.path)
		default:
			all = append(all, place{strings.Trim(regexp.MustCompile(`\W+`).ReplaceAllString("index"+o.path, "-"), "-"), o.path})
		}
	}
	return append(all, place{"refused", "/no-such-page"})
}

type pageOperation struct{ id, path string }

// pageOperations are the contract's pages, by address.
func pageOperations(t *testing.T) (all []pageOperation) {
	t.Helper()
	text, err := os.ReadFile("../../openapi/openapi.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var contract struct {
		Paths map[string]struct {
			Get struct {
				OperationID string   `yaml:"operationId"`
				Tags        []string `yaml:"tags"`
				Responses   map[string]struct {
					Content map[string]any `yaml:"content"`
				} `yaml:"responses"`
			} `yaml:"get"`
		} `yaml:"paths"`
	}
	if err := yaml.Unmarshal(text, &contract); err != nil {
		t.Fatal(err)
	}
	for path, p := range contract.Paths {
		if _, page := p.Get.Responses["200"].Content["text/html"]; page && slices.Contains(p.Get.Tags, "pages") {
			all = append(all, pageOperation{p.Get.OperationID, path})
		}
	}
	slices.SortFunc(all, func(a, b pageOperation) int { return strings.Compare(a.path, b.path) })
	if len(all) < 15 {
		t.Errorf("the contract has but %d pages", len(all))
	}
	return all
}
