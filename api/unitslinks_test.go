package api

import (
	"encoding/json"
	"html"
	"regexp"
	"strings"
	"testing"

	"mastworth/openapi"
)

// A page asked for in feet leads to others in feet, without a cookie too; what is copied from it for other websites shows feet.
func TestLinksKeepUnits(t *testing.T) {
	f := newFixture(t, func(o *Options) {
		o.Club = ClubOptions{Frames: []string{"https://club.example.org"}, Address: "https://wind.example.org"}
	})
	rec := f.upload(twoHeightsCSV(9000), nil)
	var curve openapi.Curve
	f.post("/v1/curves", []byte(`{"rotor_diameter_m":3,"power_curve":{"points":[[3,0],[5,100],[12,700]]}}`)).want(201).json(&curve)
	request := change(t, exampleJSON(t, "MeanWind"), "wind", json.RawMessage(`{"record":{"id":"`+rec.ID+`"}}`))
	id := f.savedSite(string(change(t, request, "turbine", json.RawMessage(`{"curve":{"id":"`+curve.ID+`"}}`))))
	f.do("PUT", "/v1/sites/"+id+"/club", []byte(`{"public":true}`), header{"Content-Type", "application/json"}).want(200)
	link := regexp.MustCompile(`href="(/(?:sites|records|curves)/` + `[A-Za-z0-9_-]+(?:/edit|/report)?)(\?[^"#]*)?(?:#[^"]*)?"`)
	for address, least := range map[string]int{"/sites": 4, "/sites/" + id: 4, "/sites/" + id + "/report": 1, "/records": 1, "/records/" + rec.ID + "?whole=true": 1,
		"/curves": 1, "/curves/" + curve.ID: 1} {
		for _, units := range []string{"", "units=feet"} {
			join := "?"
			if strings.Contains(address, "?") {
				join = "&"
			}
			links := link.FindAllStringSubmatch(html.UnescapeString(string(f.do("GET", address+join+units, nil).want(200).body)), -1)
			if len(links) < least {
				t.Errorf("%s has %d links", address, len(links))
			}
			for _, l := range links {
				if strings.Contains(l[2], "units=feet") != (units != "") {
					t.Errorf("%s with %q leads to %s%s", address, units, l[1], l[2])
				}
			}
		}
	}
	shown := string(f.do("GET", "/club/sites/"+id+"?units=feet", nil).want(200).body)
	lacks(t, "what is copied", shown, "/embed?units=feet", "/club/sites/"+id+"?units=feet")
	lacks(t, "the frame", string(f.do("GET", "/club/sites/"+id+"/embed?units=feet", nil).want(200).body), `href="/club/sites/`+id+`?units=feet"`)
}
