package api

import (
	"bytes"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"mastworth/openapi"
)

// knotsAsMetres is a logger's year of whole knots written in mph, in a column that names no unit, so that m/s are taken.
func knotsAsMetres() []byte {
	var b bytes.Buffer
	b.WriteString("time,wind speed 10 m\n")
	for h := range 8760 {
		knots := 3 + h*7919%23
		fmt.Fprintf(&b, "%s,%.5f\n", time.Date(2023, 1, 1, h, 0, 0, 0, time.UTC).Format("2006-01-02 15:04"), float64(knots)*1.15078)
	}
	return b.Bytes()
}

// No verdict rests on a record whose unit is doubted: the reason stands in the verdict and at the top of the pages. Whoever knows better leaves
// the rule out.
func TestADoubtedUnitHasNoVerdict(t *testing.T) {
	f := newFixture(t)
	rec := f.upload(knotsAsMetres(), url.Values{"utc_offset": {"Z"}})
	ask := func(record map[string]any) (e openapi.Estimate, id string) {
		id = f.savedSite(string(change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": record})))
		f.do("GET", "/v1/sites/"+id+"/estimate", nil).want(http.StatusOK).json(&e)
		return e, id
	}
	e, id := ask(map[string]any{"id": rec.ID})
	if e.Verdict.Answer != "cannot_say" || e.Verdict.Reasons[0].Code != "unit_doubtful" || !strings.Contains(e.Verdict.Reasons[0].Detail, "whole knots written in mph") {
		t.Errorf("%+v", e.Verdict)
	}
	for path, end := range map[string]string{"/sites/" + id: "<dl class=\"numbers\">", "/sites/" + id + "/report": "<dl class=\"numbers\">", "/records/" + rec.ID + "?whole=true": "<table"} {
		top, _, _ := strings.Cut(string(f.do("GET", path, nil).want(http.StatusOK).body), end)
		lacks(t, path, top, "whole knots written in mph")
		if strings.Contains(top, "The chance that") {
			t.Errorf("%s tells a chance where there is no verdict", path)
		}
	}
	f.do("PUT", "/v1/sites/"+id+"/club", []byte(`{"public":true}`), header{"Content-Type", "application/json"}).want(http.StatusOK)
	var shown openapi.PublicSite
	f.do("GET", "/v1/club/sites/"+id, nil).want(http.StatusOK).json(&shown)
	if shown.Site.Verdict != openapi.BoardSiteVerdictCannotSay || shown.Site.Chance != nil {
		t.Errorf("the club shows %s with a chance of %v", shown.Site.Verdict, shown.Site.Chance)
	}
	if e, _ := ask(map[string]any{"id": rec.ID, "screening": map[string]any{"leave_out": []string{"suspect_unit"}}}); e.Verdict.Answer == "cannot_say" {
		t.Errorf("with the rule left out: %+v", e.Verdict)
	}
}
