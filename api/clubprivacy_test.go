package api

import (
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"

	"mastworth/openapi"
)

// publicAddresses are all that anybody may read of a site, and must be all routes that need no key.
func publicAddresses(id string) []string {
	return []string{"/club", "/club?sort=name", "/club/feed.atom", "/club/sites/" + id, "/club/sites/" + id + "/embed", "/sites/" + id + "/card.svg",
		"/v1/club/board", "/v1/club/sites/" + id, "/oembed?url=http://example.com/club/sites/" + id, "/club/sites/" + id + "/charts/energy-by-height.csv",
		"/club/sites/" + id + "/charts/energy-by-height.svg"}
}

// What anybody may read of a site is looked at by the tests that use the list.
func TestPublicAddressesAreAllThereAre(t *testing.T) {
	for route := range publicRoutes {
		if !strings.Contains(route, "club") && !strings.Contains(route, "/sites/") && route != "/oembed" {
			continue
		}
		begins, _, _ := strings.Cut(strings.ReplaceAll(route, ":id", "ID"), ":file")
		if !slices.ContainsFunc(publicAddresses("ID"), func(at string) bool { return strings.HasPrefix(at, begins) }) {
			t.Errorf("%s is public and not among the addresses that are looked at", route)
		}
	}
}

// Nothing private is on any public address: neither the exact place, nor what stands there, nor costs that are not shown, nor names
// that are not to be shown, nor the request.
func TestNothingPrivateLeaks(t *testing.T) {
	f := newFixture(t)
	body := change(t, exampleJSON(t, "FittedWind"), "site", map[string]any{"name": "Secretname", "latitude": 52.21374, "longitude": -1.44682,
		"elevation_m": 96.375, "ground": map[string]any{"roughness_m": 0.2468}, "obstacles": []any{map[string]any{"name": "Secrethedge",
			"bearing_deg": 213.7, "distance_m": 61.43, "height_m": 4.137, "width_m": 33.7, "porosity": 0.4242}}})
	body = change(t, body, "money.turbine_cost", 1913.57)
	body = change(t, body, "money.other_cost", 417.53)
	body = change(t, body, "money.price_per_kwh", 0.28731)
	body = change(t, body, "money.replacements", []any{map[string]any{"year": 11, "cost": 353.71, "what": "Secretpart"}})
	id := f.show(body, `{"public":true,"shown_as":"Windy Corner"}`)
	other := f.show(change(t, body, "site.name", "Otherprivate"), `{"public":false}`)

	var e openapi.Estimate
	f.do(http.MethodGet, "/v1/sites/"+id+"/estimate", nil).want(200).json(&e)
	private := map[string]string{"latitude": "52.21", "longitude": "1.44", "elevation": "96.3", "roughness": "0.2468", "site's name": "Secretname",
		"obstacle": "Secrethedge", "bearing": "213.7", "distance": "61.43", "porosity": "0.4242", "turbine cost": "1913", "other cost": "417.5",
		"price": "0.2873", "replacement": "Secretpart", "its cost": "353.7", "another site": "Otherprivate", "another site's id": other,
		"request": `"request"`, "provenance": "provenance", "power curve": "power_curve", "tilt": "tilt"}
	best := -1
	for i, h := range e.Heights {
		if e.BestHubHeightM != nil && h.HubHeightM == *e.BestHubHeightM {
			best = i
			private["capital"] = fmt.Sprintf("%.0f", *h.Cost.Capital)
			private["array"] = fmt.Sprintf("%.2f", *h.Solar.ArrayKW)
			private["exact tilt"] = fmt.Sprintf("%.3f", *h.Solar.TiltDeg)
			private["exact energy of the sun"] = fmt.Sprintf("%.2f", *h.Solar.AnnualKWh)
			private["exact cost of the sun"] = fmt.Sprintf("%.5f", *h.Solar.PerKWh)
			private["exact energy"] = fmt.Sprintf("%.2f", *h.Energy.NetKWh)
		} else {
			private[fmt.Sprintf("cost at %g m", h.HubHeightM)] = fmt.Sprintf("%.3g", *h.Cost.PerKWh)
		}
	}
	if best < 0 {
		t.Fatal("there is no best height")
	}
	// A drawing's own coordinates are of what is in its table, and any digits may stand in them.
	drawing := regexp.MustCompile(`(?s) (d|points|x|y|x1|y1|x2|y2|transform|viewBox|clip-path)="[^"]*"`)
	for _, at := range publicAddresses(id) {
		a := f.do(http.MethodGet, at, nil).want(200)
		headers := a.header.Clone()
		headers.Del("X-Request-Id") // random digits, as those of a hash, may be any
		headers.Del("ETag")
		told := drawing.ReplaceAllString(string(a.body)+fmt.Sprint(headers), "")
		for what, secret := range private {
			if strings.Contains(told, secret) {
				t.Errorf("%s tells the %s, %q", at, what, secret)
			}
		}
		if !strings.Contains(at, "oembed") && !strings.Contains(at, "/charts/") && !strings.Contains(told, "Windy Corner") {
			t.Errorf("%s does not show the site", at)
		}
	}
	// What a kWh costs at other heights would tell what each tower costs: there is no picture of it either.
	f.do(http.MethodGet, "/club/sites/"+id+"/charts/cost-by-height.csv", nil).want(404)
	for _, at := range publicAddresses(other)[3:] {
		if !strings.Contains(at, "board") {
			f.do(http.MethodGet, at, nil).want(404)
		}
	}
}

// With its costs shown it tells them, and nothing else.
func TestCostsAreShownOnWish(t *testing.T) {
	f := newFixture(t)
	id := f.show(exampleJSON(t, "FittedWind"), `{"public":true,"show_costs":true}`)
	var p openapi.PublicSite
	f.do(http.MethodGet, "/v1/club/sites/"+id, nil).want(200).json(&p)
	if p.Capital == nil || p.SolarKW == nil || len(p.Heights) != 4 || p.Heights[0].CostPerKWh == nil || p.Site.Name != "Orchard End" {
		t.Errorf("%+v", p)
	}
}
