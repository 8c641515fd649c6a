package api

import (
	"errors"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"mastworth/api/page"
	"mastworth/openapi"
)

func TestEmbedding(t *testing.T) {
	f := newFixture(t, func(o *Options) {
		o.Club = ClubOptions{Frames: []string{"https://club.example.org"}, Address: "https://wind.example.org"}
	})
	id := f.show(exampleJSON(t, "FittedWind"), `{"public":true,"shown_as":"<b>\"Corner\" & Co"}`)
	a := f.do(http.MethodGet, "/club/sites/"+id+"/embed", nil).want(200)
	if p := a.header.Get("Content-Security-Policy"); !strings.Contains(p, "frame-ancestors 'self' https://club.example.org") ||
		a.header.Get("X-Frame-Options") != "" || strings.Contains(string(a.body), "<nav") || !strings.Contains(string(a.body), "Corner&#34; &amp; Co") {
		t.Errorf("%s %v\n%s", p, a.header, a.body)
	}
	if a := f.do(http.MethodGet, "/club/sites/"+id, nil).want(200); a.header.Get("X-Frame-Options") != "DENY" ||
		!strings.Contains(string(a.body), "https://wind.example.org/oembed?format=json&amp;url=https%3A%2F%2Fwind.example.org%2Fclub%2Fsites%2F"+id) {
		t.Errorf("%v %s", a.header, a.body)
	}
	card := f.do(http.MethodGet, "/sites/"+id+"/card.svg", nil).want(200)
	if card.header.Get("Cross-Origin-Resource-Policy") != "cross-origin" || !strings.Contains(card.header.Get("Content-Security-Policy"), page.CardStyleHash) ||
		strings.Contains(string(card.body), "<b>") || strings.Contains(string(card.body), "<script") {
		t.Errorf("%v %s", card.header, card.body)
	}
	for url, want := range map[string]int{"https://wind.example.org/club/sites/" + id: 200, "http://wind.example.org/club/sites/" + id: 200,
		"https://wind.example.org/club/sites/" + id + "/embed": 200, "https://wind.example.org/sites/" + id: 404,
		"https://wind.example.org.evil.example/club/sites/" + id: 404, "javascript:alert(1)": 404, "https://wind.example.org/club/sites/../" + id: 404} {
		f.do(http.MethodGet, "/oembed?url="+strings.NewReplacer(":", "%3A", "/", "%2F").Replace(url), nil).want(want)
	}
	f.do(http.MethodGet, "/oembed", nil).problem(invalidParameters, "query.url", "address")
	// A frame where all of it fits, else the picture, in its own proportions.
	for limits, want := range map[string]string{"": "480 × 440 <iframe", "&maxwidth=600&maxheight=600": "480 × 440 <iframe", "&maxwidth=420": "420 × 440 <iframe", "&maxwidth=300": "300 × 150 <a href",
		"&maxheight=100": "200 × 100 <a href", "&maxwidth=1&maxheight=1": "1 × 1 <a href"} {
		var e openapi.Embedding
		f.do(http.MethodGet, "/oembed?url=https%3A%2F%2Fwind.example.org%2Fclub%2Fsites%2F"+id+limits, nil).want(200).json(&e)
		if got := fmt.Sprintf("%d × %d %s", e.Width, e.Height, e.HTML); !strings.HasPrefix(got, want) {
			t.Errorf("%q: %s, want %s", limits, got, want)
		}
	}
}

// A site that cannot be worked out is not tried again by everybody who looks at it, until a minute is over or it is changed.
func TestFailuresAreRemembered(t *testing.T) {
	now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	f := newFixture(t, func(o *Options) { o.Now = func() time.Time { return now } })
	rec := f.upload(hourlyCSV(1), nil) // too little wind for a fit
	id := f.show(change(t, exampleJSON(t, "FittedWind"), "wind", map[string]any{"record": map[string]any{"id": rec.ID}}), `{"public":true}`)
	tries := func() int {
		f.do(http.MethodGet, "/club/sites/"+id, nil).want(200)
		return strings.Count(f.log.String(), "could not be worked out")
	}
	first := tries()
	if again := tries(); first == 0 || again != first {
		t.Errorf("tried %d times, then %d", first, again)
	}
	now = now.Add(2 * time.Minute)
	if later := tries(); later != first+1 {
		t.Errorf("two minutes later it was tried %d times, not %d", later, first+1)
	}
	for err, want := range map[error]bool{newProblem(busy, "full"): true, newProblem(unavailable, "silent"): true, newProblem(invalidRequest, "wrong"): false, errors.New("of its own"): false} {
		if passing(err) != want {
			t.Errorf("%v is of the moment: %v", err, !want)
		}
	}
}
