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

// Every operation of the contract with no key, a key of each scope, one that has expired and one that is none: what the contract says is
// open is open, the rest asks for what it needs. The contract says which operations are public; reading is what keeps nothing.
func TestEveryOperationAsksForItsScope(t *testing.T) {
	oneAtATime(t)
	f := newFixture(t, func(o *Options) { o.Access.Keys = true })
	secrets := map[string]string{"none": ""}
	for _, scope := range []storage.Scope{storage.ScopeRead, storage.ScopeWrite, storage.ScopeAdmin} {
		secrets[string(scope)] = f.key(string(scope), scope, time.Time{})
	}
	secrets["expired"] = f.key("expired", storage.ScopeAdmin, f.service.Now().Add(-time.Hour))
	secrets["unknown"] = storage.NewSecret()
	opens := map[string]int{"none": 0, "read": 1, "write": 2, "admin": 3, "expired": -1, "unknown": -1}

	operations := 0
	for path, item := range f.spec.Paths.Map() {
		for method, op := range item.Operations() {
			operations++
			need := 2
			switch {
			case op.Security != nil && len(*op.Security) == 0:
				need = 0
			case strings.HasPrefix(path, "/v1/keys"):
				need = 3
			case method == http.MethodGet, op.OperationID == "createEstimate", op.OperationID == "balanceRotor":
				need = 1
			}
			for who, secret := range secrets {
				if op.OperationID == "deleteKey" && who == "admin" {
					continue // it would find no such key, as it should
				}
				r := httptest.NewRequestWithContext(t.Context(), method, strings.NewReplacer("{id}", "abc", "{slug}", "internal", "{hash}", "aaaa", "{file}", "style.css").Replace(path), nil)
				if secret != "" {
					r.Header.Set("Authorization", "Bearer "+secret)
				}
				w := httptest.NewRecorder()
				f.Handler.ServeHTTP(w, r)
				refused := w.Code == http.StatusUnauthorized || w.Code == http.StatusForbidden && strings.Contains(w.Body.String(), "key-too-narrow")
				switch has := opens[who]; {
				case has < 0 && w.Code != http.StatusUnauthorized:
					t.Errorf("%s %s (%s) with the key %s: %d", method, path, op.OperationID, who, w.Code)
				case has >= 0 && refused != (has < need):
					t.Errorf("%s %s (%s) needs %d; with the key %s: %d %s", method, path, op.OperationID, need, who, w.Code, w.Body)
				case refused && who == "none" && w.Header().Get("WWW-Authenticate") == "":
					t.Errorf("%s %s: does not say how to show a key", method, path)
				}
			}
		}
	}
	if operations < 30 {
		t.Errorf("%d operations only", operations)
	}
	for who, secret := range secrets {
		if secret != "" && strings.Contains(f.log.String(), secret) {
			t.Errorf("the secret of %s is in the log", who)
		}
	}
}

// key puts a key into the store and gives its secret.
func (f *fixture) key(name string, scope storage.Scope, expires time.Time) string {
	f.t.Helper()
	secret := storage.NewSecret()
	if err := f.store.CreateKey(f.t.Context(), storage.Key{ID: "id-" + name, Name: name, Scope: scope, Hash: storage.HashSecret(secret),
		CreatedAt: f.service.now(), ExpiresAt: expires}); err != nil {
		f.t.Fatal(err)
	}
	return secret
}

// browse is a request as a browser makes it.
func (f *fixture) browse(method, target string, form url.Values, cookie *http.Cookie) *httptest.ResponseRecorder {
	r := httptest.NewRequestWithContext(f.t.Context(), method, target, strings.NewReader(form.Encode()))
	r.Header.Set("Accept", "text/html,application/xhtml+xml")
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Sec-Fetch-Site", "same-origin")
	}
	if cookie != nil {
		r.AddCookie(cookie)
	}
	w := httptest.NewRecorder()
	f.Handler.ServeHTTP(w, r)
	return w
}

func TestSignIn(t *testing.T) {
	f := newFixture(t, func(o *Options) { o.Access.Keys = true })
	secret := f.key("member", storage.ScopeRead, time.Time{})

	const link = `<a href="/signin">`
	if !strings.Contains(f.browse("GET", "/club", nil, nil).Body.String(), link) {
		t.Error("a page does not say where to sign in")
	}
	if strings.Contains(newFixture(t).browse("GET", "/club", nil, nil).Body.String(), link) {
		t.Error("a service that asks for no key offers to sign in")
	}
	if w := f.browse("GET", "/v1/sites", nil, nil); w.Code != http.StatusUnauthorized {
		t.Errorf("the API sends a browser elsewhere: %d", w.Code)
	}
	if w := f.browse("POST", "/signin", url.Values{"key": {"mastworth_wrong"}, "next": {"/club"}}, nil); w.Code != http.StatusUnprocessableEntity ||
		!strings.Contains(w.Body.String(), "key-fault") || len(w.Result().Cookies()) > 0 { //nolint:bodyclose // of a recorder
		t.Errorf("a wrong key: %d %s", w.Code, w.Body)
	}
	for next, want := range map[string]string{"/club?sort=name": "/club?sort=name", "https://elsewhere.example/": "/", "//elsewhere.example/": "/",
		"/\\elsewhere.example": "/", "": "/", "/a\r\nSet-Cookie: x=y": "/"} {
		w := f.browse("POST", "/signin", url.Values{"key": {" " + secret + "\n"}, "next": {next}}, nil)
		if w.Code != http.StatusSeeOther || w.Header().Get("Location") != want {
			t.Errorf("next %q: %d to %q", next, w.Code, w.Header().Get("Location"))
		}
	}
	w := f.browse("POST", "/signin", url.Values{"key": {secret}}, nil)
	cookies := w.Result().Cookies() //nolint:bodyclose // of a recorder
	if len(cookies) != 1 || !cookies[0].HttpOnly || cookies[0].SameSite != http.SameSiteLaxMode || strings.Contains(cookies[0].Value, secret) {
		t.Fatalf("%+v", cookies)
	}
	session := cookies[0]
	if w := f.browse("GET", "/v1/sites", nil, session); w.Code != http.StatusOK {
		t.Errorf("signed in: %d %s", w.Code, w.Body)
	}
	if w := f.browse("GET", "/signin", nil, session); !strings.Contains(w.Body.String(), "member") ||
		!strings.Contains(w.Body.String(), `id="signout"`) || !strings.Contains(w.Body.String(), "/signout.js") {
		t.Errorf("the page does not know who is there: %s", w.Body)
	}
	forged := *session
	for i, value := range []string{strings.Replace(session.Value, "id-member", "id-nobody", 1), session.Value + "0", "a.b.c", "", "id-member.99999999999." + strings.Repeat("0", 64)} {
		forged.Value = value
		if w := f.browse("GET", "/v1/sites", nil, &forged); w.Code != http.StatusUnauthorized {
			t.Errorf("forged cookie %d: %d", i, w.Code)
		}
	}
	if err := f.store.DeleteKey(t.Context(), "id-member"); err != nil {
		t.Fatal(err)
	}
	if w := f.browse("GET", "/v1/sites", nil, session); w.Code != http.StatusUnauthorized {
		t.Errorf("the session outlives its key: %d", w.Code)
	}
}

func TestSessionEnds(t *testing.T) {
	now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	f := newFixture(t, func(o *Options) { o.Access.Keys, o.Now = true, func() time.Time { return now } })
	session := f.browse("POST", "/signin", url.Values{"key": {f.key("member", storage.ScopeRead, time.Time{})}}, nil).Result().Cookies()[0] //nolint:bodyclose // of a recorder
	now = now.Add(sessionTime - time.Second)
	if w := f.browse("GET", "/v1/sites", nil, session); w.Code != http.StatusOK {
		t.Errorf("before its end: %d", w.Code)
	}
	now = now.Add(2 * time.Second)
	if w := f.browse("GET", "/v1/sites", nil, session); w.Code != http.StatusUnauthorized {
		t.Errorf("after its end: %d", w.Code)
	}
}

// A form on another website must not change anything here, whatever cookie the browser sends along.
func TestOtherSitesMayNotPost(t *testing.T) {
	f := newFixture(t)
	for header, value := range map[string]string{"Sec-Fetch-Site": "cross-site", "Origin": "https://elsewhere.example"} {
		r := httptest.NewRequestWithContext(t.Context(), "POST", "http://example.com/v1/estimates", strings.NewReader("{}"))
		r.Header.Set(header, value)
		w := httptest.NewRecorder()
		f.Handler.ServeHTTP(w, r)
		if w.Code != http.StatusForbidden || !strings.Contains(w.Body.String(), "cross-site") {
			t.Errorf("%s %s: %d %s", header, value, w.Code, w.Body)
		}
	}
}

func TestAnyoneMayRead(t *testing.T) {
	f := newFixture(t, func(o *Options) { o.Access = AccessOptions{Keys: true, AnyoneMayRead: true} })
	if w := f.browse("GET", "/v1/sites", nil, nil); w.Code != http.StatusOK {
		t.Errorf("reading: %d", w.Code)
	}
	if w := f.browse("POST", "/v1/sites", nil, nil); w.Code != http.StatusUnauthorized {
		t.Errorf("writing: %d", w.Code)
	}
	if w := f.browse("GET", "/v1/keys", nil, nil); w.Code != http.StatusUnauthorized {
		t.Errorf("the keys: %d", w.Code)
	}
}

// Whoever may only read is told so where the form begins, and has no button that would be refused.
func TestTheFormSaysWhoMayNotSave(t *testing.T) {
	f := newFixture(t, func(o *Options) { o.Access = AccessOptions{Keys: true, AnyoneMayRead: true} })
	session := func(scope storage.Scope) *http.Cookie {
		return f.browse("POST", "/signin", url.Values{"key": {f.key("member-"+string(scope), scope, time.Time{})}}, nil).Result().Cookies()[0] //nolint:bodyclose // of a recorder
	}
	for name, c := range map[string]struct {
		cookie *http.Cookie
		says   string
		link   bool
	}{"nobody": {nil, "needs a key that may write", true}, "a reader": {session(storage.ScopeRead), "“member-read”, may only read", false},
		"a writer": {session(storage.ScopeWrite), "", false}} {
		body := f.browse("GET", "/new", nil, c.cookie).Body.String()
		closed := strings.Contains(body, `<fieldset class="all" disabled`) && !strings.Contains(body, `class="primary" name="do"`)
		if closed != (c.says != "") || !strings.Contains(body, c.says) || strings.Contains(body, `href="/signin?next=%2fnew"`) != c.link {
			t.Errorf("%s: closed %t", name, closed)
		}
	}
}

// So many requests a second, each caller by itself; and a flood of callers is not remembered for ever.
func TestRateLimit(t *testing.T) {
	now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	f := newFixture(t, func(o *Options) {
		o.Access.RequestsPerSecond, o.Now = 5, func() time.Time { return now }
		o.Access.TrustedProxies = []string{"192.0.2.1"} // the recorder's own
	})
	get := func(from string) int {
		r := httptest.NewRequestWithContext(t.Context(), "GET", "/livez", nil)
		r.Header.Set("X-Forwarded-For", from)
		w := httptest.NewRecorder()
		f.Handler.ServeHTTP(w, r)
		if w.Code == http.StatusTooManyRequests && w.Header().Get("Retry-After") == "" {
			t.Error("it does not say when to come again")
		}
		return w.Code
	}
	for i := range 10 {
		if code := get("203.0.113.1"); code != http.StatusOK {
			t.Fatalf("request %d: %d", i, code)
		}
	}
	if code := get("203.0.113.1"); code != http.StatusTooManyRequests {
		t.Errorf("one too many: %d", code)
	}
	if code := get("203.0.113.2"); code != http.StatusOK {
		t.Errorf("somebody else: %d", code)
	}
	now = now.Add(time.Second)
	if code := get("203.0.113.1"); code != http.StatusOK {
		t.Errorf("a second later: %d", code)
	}
	l := newLimits(1)
	for i := range 3 * mostCallers {
		l.allow(fmt.Sprint(i), now)
	}
	if n := len(l.callers); n > mostCallers {
		t.Errorf("%d callers are remembered", n)
	}
}

func TestKeysOverHTTP(t *testing.T) {
	f := newFixture(t, func(o *Options) { o.Access.Keys = true })
	auth := header{"Authorization", "Bearer " + f.key("boss", storage.ScopeAdmin, time.Time{})}
	json := header{"Content-Type", "application/json"}
	made := f.do("POST", "/v1/keys", []byte(`{"name": "webmaster", "scope": "read", "days": 30}`), auth, json).want(http.StatusCreated)
	if !strings.Contains(string(made.body), `"secret":"mastworth_`) {
		t.Errorf("%s", made.body)
	}
	list := f.do("GET", "/v1/keys", nil, auth).want(http.StatusOK)
	if strings.Contains(string(list.body), "secret") || !strings.Contains(string(list.body), "webmaster") {
		t.Errorf("%s", list.body)
	}
	for place, body := range map[string]string{"body.name": `{"name": "", "scope": "read"}`, "body.scope": `{"name": "a", "scope": "all"}`,
		"body.days": `{"name": "a", "scope": "read", "days": 0}`, "body.colour": `{"name": "a", "scope": "read", "colour": 1}`} {
		f.do("POST", "/v1/keys", []byte(body), auth, json).problem(invalidRequest, place, "")
	}
	location := made.header.Get("Location")
	f.do("DELETE", location, nil, auth).want(http.StatusNoContent)
	f.do("DELETE", location, nil, auth).problem(missing, "", "")
}
