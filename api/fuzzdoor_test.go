package api

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/storage"
)

// FuzzUpload sends arbitrary files with arbitrary options: all of a file is taken, or the answer names what is wrong with which option or
// which line.
func FuzzUpload(f *testing.F) {
	a := newAsked(f)
	file := hourlyCSV(30)
	f.Add("", "text/csv", file)
	f.Add("name=winter&column=Wind+mast%3Dspeed,height%3D10,unit%3Dkm/h&only_columns=true&header_line=1", "", file)
	f.Add("stamps_at=end&utc_offset=%2B01:00&date_order=dmy&decimal_comma=true&delimiter=semicolon&missing=-999&missing=x", "text/plain", file)
	f.Add("pulse_slope=0.7&pulse_offset=0.3&pulse_interval=600&default_height_m=10&speed_unit=mph&time_layout=unix&only=a%3Db", "application/json", file)
	f.Add("name=%00%FF&format=epw", "application/gzip", []byte("\x1f\x8b\x08"))
	f.Add("", "multipart/form-data; boundary=B", []byte("--B\n0"))
	f.Add("", "multipart/form-data; boundary=B", []byte("--B\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a\xff.csv\"\r\n\r\n"+string(file)+"\r\n--B--\r\n"))
	f.Fuzz(func(t *testing.T, query, media string, body []byte) {
		if len(body) > 1<<14 {
			return
		}
		target := "/v1/records"
		if query != "" {
			target += "?" + query
		}
		a.ask(t, http.MethodPost, target, body, header{"Content-Type", media})
	})
}

// FuzzAccess tries arbitrary keys and sessions: nobody gets in but by the key or the session that there is, as it is.
func FuzzAccess(f *testing.F) {
	now := time.Date(2026, time.May, 1, 12, 0, 0, 0, time.UTC) // and stays so, however long it takes
	a := newAsked(f, func(o *Options) { o.Access.Keys, o.Now = true, func() time.Time { return now } })
	secret := storage.NewSecret()
	key := storage.Key{ID: "member", Name: "member", Scope: storage.ScopeRead, Hash: storage.HashSecret(secret), CreatedAt: a.service.now()}
	if err := a.store.(askedStore).Store.CreateKey(f.Context(), key); err != nil {
		f.Fatal(err)
	}
	until := strconv.FormatInt(now.Add(sessionTime).Unix(), 10)
	session := key.ID + "." + until + "." + sign(&key, until)
	for _, auth := range []string{"", "Bearer x", "bearer " + secret, "Basic " + secret, "Bearer  " + secret + " ", "Bearer"} {
		f.Add(auth, "")
	}
	for _, cookie := range []string{session, "member." + until + "." + strings.Repeat("0", 64), "a\x00b." + until + ".x", "..", "member.-1.x", "me\xffmber." + until + ".x", "member.99999999999999999999.x", "é.1.\xff"} {
		f.Add("", cookie)
	}
	f.Fuzz(func(t *testing.T, auth, cookie string) {
		got := a.ask(t, http.MethodGet, "/v1/sites", nil, header{"Authorization", auth}, header{"Cookie", sessionCookie + "=" + url.QueryEscape(cookie)})
		auth = strings.TrimSpace(auth)
		shown, isBearer := strings.CutPrefix(auth, "Bearer ")
		may := isBearer && strings.TrimSpace(shown) == secret || auth == "" && cookie == session
		if may != (got.status == http.StatusOK) || !may && got.status != http.StatusUnauthorized {
			t.Fatalf("%q and the session %q: %d", auth, cookie, got.status)
		}
	})
}

// FuzzOEmbed asks how to embed arbitrary addresses: only a public site's page here has an answer, and that shows the same site and nothing
// else, by a picture where no website may frame it.
func FuzzOEmbed(f *testing.F) {
	a := newAsked(f)
	id := a.ids["sites"]
	base := "http://example.com/club/sites/" + id
	for _, address := range []string{base, base + "/embed", "https://EXAMPLE.com/club/sites/" + id + "?a=b#c", "http://example.com@elsewhere.example/club/sites/" + id,
		"http://example.com:80/club/sites/" + id, "//example.com/club/sites/" + id, base + "/../x", "http://example.com/club/sites/%00", base + "%2Fembed", "javascript:alert(1)", ""} {
		f.Add(address, "9", "10000")
	}
	f.Fuzz(func(t *testing.T, address, width, height string) {
		got := a.ask(t, http.MethodGet, "/oembed?"+url.Values{"url": {address}, "maxwidth": {width}, "maxheight": {height}}.Encode(), nil)
		if got.status != http.StatusOK {
			return
		}
		u, err := url.Parse(address)
		if err != nil || !strings.EqualFold(u.Host, "example.com") || !strings.HasPrefix(u.Path, "/club/sites/"+id) {
			t.Fatalf("%q has the answer %s", address, got.body)
		}
		var e openapi.Embedding
		if got.json(&e); e.Width < 1 || e.Width > page.CardWidth || e.Height < 1 || e.Height > page.CardHeight || e.HTML != cardHTML("http://example.com", id, "Orchard End", page.Units{}, e.Width, e.Height) {
			t.Fatalf("%+v", e)
		}
		for asked, given := range map[string]int{width: e.Width, height: e.Height} {
			if n, err := strconv.Atoi(asked); err == nil && n > 0 && given > n {
				t.Fatal(fmt.Sprint("asked for ", n, " got ", given))
			}
		}
	})
}
