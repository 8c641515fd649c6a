package api

import (
	"encoding/xml"
	"strings"

	"mastworth/openapi"
)

var asForm = []header{{"Content-Type", "application/x-www-form-urlencoded"}}

func text(body string) func(*scenario) []byte {
	return func(*scenario) []byte { return []byte(body) }
}

func keepTag(s *scenario, a *answered) { s.etag = a.header.Get("ETag") }

// clubScenarios go on where the scenarios end.
var clubScenarios = []step{
	{name: "nobody shows a site", target: "/club", status: 200, check: shows("Nobody shows a site yet")},
	{name: "save a site to be shown", method: "POST", target: "/v1/sites", headers: asJSON, body: example("FittedWind"), status: 201,
		check: func(s *scenario, a *answered) {
			var site openapi.Site
			a.json(&site)
			s.siteID = site.ID
			if site.Club != (openapi.Club{}) {
				s.t.Errorf("a new site shows %+v", site.Club)
			}
		}},
	{name: "it is not public", target: "/v1/club/sites/{site}", status: 404, check: problemAt(missing, "")},
	{name: "nor is its page", target: "/club/sites/{site}", status: 404},
	{name: "nor its card", target: "/sites/{site}/card.svg", status: 404},
	{name: "the form that shows it", target: "/sites/{site}/club", status: 200, check: shows(`name="public"`, "Orchard End")},
	{name: "too long a name", method: "POST", target: "/sites/{site}/club", headers: asForm, status: 422,
		body: text("public=yes&shown_as=" + strings.Repeat("x", 81)), check: shows(`aria-invalid="true"`, `id="club-shown-as-fault"`, "81 characters")},
	{name: "show it", method: "POST", target: "/sites/{site}/club", headers: asForm, status: 303, body: text("public=yes&shown_as=Windy%20Corner"),
		check: func(s *scenario, a *answered) {
			if at := a.header.Get("Location"); at != "/sites/"+s.siteID+"/club" {
				s.t.Errorf("it goes on at %s", at)
			}
		}},
	{name: "no form", method: "POST", target: "/sites/{site}/club", headers: asJSON, status: 415, body: text("{}")},
	{name: "the form again", target: "/sites/{site}/club", status: 200, check: shows(`value="Windy Corner"`, "checked", "/club/sites/")},
	{name: "the site says so", target: "/v1/sites/{site}", status: 200, check: func(s *scenario, a *answered) {
		var site openapi.Site
		if a.json(&site); site.Club != (openapi.Club{Public: true, ShownAs: "Windy Corner"}) || site.Version != 2 {
			s.t.Errorf("%+v, version %d", site.Club, site.Version)
		}
	}},
	{name: "the board", target: "/v1/club/board?sort=cost&verdict=not_worth_it", status: 200, check: func(s *scenario, a *answered) {
		var b openapi.Board
		if a.json(&b); b.Total != 1 || len(b.Sites) != 1 || b.Sites[0].Name != "Windy Corner" || b.Sites[0].State != openapi.BoardSiteStateCurrent {
			s.t.Errorf("%s", a.body)
		}
		keepTag(s, a)
	}},
	{name: "the board again", target: "/v1/club/board?sort=cost&verdict=not_worth_it", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "the board's page", target: "/club", status: 200, check: shows("Windy Corner", `scope="col"`, "<caption>", "52.2°", "Not worth it")},
	{name: "the site as everybody sees it", target: "/v1/club/sites/{site}", status: 200, check: keepTag},
	{name: "the same again", target: "/v1/club/sites/{site}", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "its page", target: "/club/sites/{site}", status: 200, check: shows("<h1>Windy Corner</h1>", "<svg", "Masts fall", "oembed", "name no website that may show a frame", "<details>")},
	{name: "its card", target: "/sites/{site}/card.svg", status: 200, check: func(s *scenario, a *answered) {
		if err := xml.Unmarshal(a.body, new(struct{})); err != nil || !strings.Contains(string(a.body), "Windy Corner") {
			s.t.Errorf("%v: %s", err, a.body)
		}
		keepTag(s, a)
	}},
	{name: "its card again", target: "/sites/{site}/card.svg", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "how to embed it", target: "/oembed?url=http://example.com/club/sites/{site}&maxwidth=300", status: 200, check: func(s *scenario, a *answered) {
		var e openapi.Embedding
		if a.json(&e); e.Width != 300 || e.Height != 150 || !strings.Contains(e.HTML, `src="http://example.com/sites/`+s.siteID+`/card.svg" width="300" height="150"`) {
			s.t.Errorf("%s", a.body)
		}
	}},
	{name: "its chart as a file", target: "/club/sites/{site}/charts/energy-by-height.csv", status: 200, check: keepTag},
	{name: "its chart again", target: "/club/sites/{site}/charts/energy-by-height.csv", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "a chart it has not", target: "/club/sites/{site}/charts/cash.csv", status: 404, check: problemAt(missing, "path.file")},
	{name: "how to embed nothing", target: "/oembed?url=http://example.com/club/sites/none", status: 404},
	{name: "how to embed elsewhere", target: "/oembed?url=http://elsewhere.example/club/sites/{site}", status: 404, check: problemAt(missing, "query.url")},
	{name: "embedding as XML", target: "/oembed?url=http://example.com/club/sites/{site}&format=xml", status: 501, check: problemAt(notOffered, "query.format")},
	{name: "the feed", target: "/club/feed.atom", status: 200, check: func(s *scenario, a *answered) {
		var f feed
		if err := xml.Unmarshal(a.body, &f); err != nil || len(f.Entries) != 1 || f.Entries[0].ID != "tag:example.com,2026-05-01:"+s.siteID ||
			f.Updated != f.Entries[0].Updated || f.Entries[0].Link.Href != "http://example.com/club/sites/"+s.siteID {
			s.t.Errorf("%v: %s", err, a.body)
		}
		keepTag(s, a)
	}},
	{name: "the feed again", target: "/club/feed.atom", headers: []header{{"If-None-Match", "{etag}"}}, status: 304, check: empty},
	{name: "a request that is no club's", method: "PUT", target: "/v1/sites/{site}/club", headers: asJSON, body: text(`{"public":true,"show_as":"x"}`), status: 422,
		check: problemAt(invalidRequest, "body.show_as")},
	{name: "a stale version of what is shown", method: "PUT", target: "/v1/sites/{site}/club", headers: append([]header{{"If-Match", `"1"`}}, asJSON...),
		body: text(`{"public":true}`), status: 412, check: problemAt(changedMeanwhile, "header.If-Match")},
	{name: "show its costs", method: "PUT", target: "/v1/sites/{site}/club", headers: append([]header{{"If-Match", `"2"`}}, asYAML...),
		body: text("public: true\nshow_costs: true\n"), status: 200},
	{name: "its page with costs", target: "/club/sites/{site}", status: 200, check: shows("<h1>Orchard End</h1>", "Cost of mast and machine")},
	{name: "replaced, it is still shown", method: "PUT", target: "/v1/sites/{site}", headers: asJSON, body: example("MeanWind"), status: 200},
	{name: "without numbers until it is looked at", target: "/v1/club/board", status: 200, check: boardState(openapi.BoardSiteStateNone)},
	{name: "so", target: "/sites/{site}/card.svg", status: 200},
	{name: "with numbers", target: "/v1/club/board", status: 200, check: boardState(openapi.BoardSiteStateCurrent)},
	{name: "hide it", method: "PUT", target: "/v1/sites/{site}/club", headers: asJSON, body: text(`{"public":false}`), status: 200},
	{name: "hidden", target: "/club/sites/{site}", status: 404},
	{name: "hidden on the board", target: "/v1/club/board", status: 200, check: func(s *scenario, a *answered) {
		var b openapi.Board
		if a.json(&b); b.Total != 0 || len(b.Sites) != 0 {
			s.t.Errorf("%s", a.body)
		}
	}},
}

func boardState(want openapi.BoardSiteState) func(*scenario, *answered) {
	return func(s *scenario, a *answered) {
		var b openapi.Board
		if a.json(&b); len(b.Sites) != 1 || b.Sites[0].State != want {
			s.t.Errorf("%s", a.body)
		}
	}
}
