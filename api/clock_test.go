package api

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"mastworth/storage"
)

// A clock that jumps a year ahead or back, as one of a small computer without a battery does when it hears of the time: whoever has a
// key goes on, whoever is signed in may have to sign in again, nobody is kept out, nothing that was kept is lost or taken for changed,
// and no session or key lasts longer than it should by the clock there is.
func TestClockJumps(t *testing.T) {
	oneAtATime(t)
	const year = 365 * 24 * time.Hour
	for name, jump := range map[string]time.Duration{"ahead": year, "back": -year, "to 2000 and on": -26 * year} {
		t.Run(name, func(t *testing.T) {
			now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
			f := newFixture(t, func(o *Options) {
				o.Access = AccessOptions{Keys: true, RequestsPerSecond: 50}
				o.Now = func() time.Time { return now }
			})
			secret, ending := f.key("forever", storage.ScopeWrite, time.Time{}), f.key("ending", storage.ScopeWrite, now.Add(year/2))
			with := func(secret, method, target string, body []byte, more ...header) *answered {
				t.Helper()
				h := append([]header{{"Authorization", "Bearer " + secret}}, more...)
				if body != nil {
					h = append(h, header{"Content-Type", "application/json"})
				}
				return f.do(method, target, body, h...)
			}
			signIn := func() *http.Cookie {
				t.Helper()
				w := f.browse("POST", "/signin", url.Values{"key": {secret}}, nil)
				if w.Code != http.StatusSeeOther {
					t.Fatalf("signing in: %d %s", w.Code, w.Body)
				}
				return w.Result().Cookies()[0] //nolint:bodyclose // of a recorder
			}
			session := signIn()
			var site struct{ ID string }
			with(secret, "POST", "/v1/sites", exampleJSON(t, "MeanWind")).want(201).json(&site)
			at := "/v1/sites/" + site.ID
			with(secret, "PUT", at+"/club", []byte(`{"public":true}`)).want(200)
			reading := func(day time.Time) []byte {
				return fmt.Appendf(nil, `{"readings":[{"from":%q,"time":%q,"energy_kwh":4}]}`, day.Add(-24*time.Hour).Format(time.RFC3339), day.Format(time.RFC3339))
			}
			with(secret, "POST", at+"/readings", reading(now)).want(200)
			tags := map[string]string{}
			for _, target := range []string{at, at + "/estimate", "/v1/club/board"} {
				tags[target] = with(secret, "GET", target, nil).want(200).header.Get("Etag")
			}
			for status := 0; status != http.StatusTooManyRequests; { // the rate is used up
				w := httptest.NewRecorder()
				r := httptest.NewRequestWithContext(t.Context(), "GET", "/v1/sites", nil)
				r.Header.Set("Authorization", "Bearer "+secret)
				f.ServeHTTP(w, r)
				status = w.Code
			}

			now = now.Add(jump)
			f.browse("GET", "/v1/sites", nil, session) // notices the time
			w := httptest.NewRecorder()
			r := httptest.NewRequestWithContext(t.Context(), "GET", "/v1/sites", nil)
			r.Header.Set("Authorization", "Bearer "+secret)
			f.ServeHTTP(w, r)
			now = now.Add(2 * time.Second)
			for target, tag := range tags {
				with(secret, "GET", target, nil, header{"If-None-Match", tag}).want(304)
				if got := with(secret, "GET", target, nil).want(200).header.Get("Etag"); got != tag {
					t.Errorf("%s is taken for changed", target)
				}
			}
			if w := f.browse("GET", "/v1/sites", nil, session); w.Code != http.StatusUnauthorized {
				t.Errorf("a session of another time: %d", w.Code)
			}
			if w := f.browse("GET", "/v1/sites", nil, signIn()); w.Code != http.StatusOK {
				t.Errorf("signed in anew: %d", w.Code)
			}
			if want := map[bool]int{true: 401, false: 200}[jump > 0]; with(ending, "GET", "/v1/sites", nil).status != want {
				t.Errorf("a key that ends: not %d", want)
			}
			for _, target := range []string{"/v1/sites", "/v1/records", at + "/harvest", at + "/readings", "/v1/club/sites/" + site.ID, "/club", "/club/feed.atom",
				"/sites/" + site.ID, "/sites", "/sites/" + site.ID + "/harvest", "/readyz", "/metrics"} {
				if a := with(secret, "GET", target, nil); a.status != 200 || strings.Contains(string(a.body), "NaN") && target != "/metrics" {
					t.Errorf("%s: %d %.300s", target, a.status, a.body)
				}
				now = now.Add(time.Second)
			}
			with(secret, "POST", at+"/readings", reading(now)).want(200)
			with(secret, "PUT", at, exampleJSON(t, "FittedWind")).want(200)
			with(secret, "GET", at+"/estimate", nil).want(200)
			with(secret, "POST", "/v1/sites", exampleJSON(t, "MeanWind")).want(201)
			with(secret, "DELETE", at, nil).want(204)
			if said := f.log.String(); strings.Contains(said, "panic") || strings.Contains(said, "level=ERROR") || strings.Contains(said, "seconds=-") {
				t.Errorf("the log says %s", said)
			}
		})
	}
}
