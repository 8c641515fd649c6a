package faults

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"

	"mastworth/storage"
)

const clients = 16

// crowd asks a service for things at once, and holds every answer to being one that a client can act upon.
type crowd struct {
	*subject
	t *testing.T
}

// call is one request of a crowd; header is empty or If-Match's value.
type call struct {
	method, path string
	body         []byte
	ifMatch      string
}

// atOnce sends all calls at the same moment and counts the answers by status.
func (c crowd) atOnce(what string, calls ...call) (counts map[int]int, answers []got) {
	c.t.Helper()
	answers = make([]got, len(calls))
	var ready, done sync.WaitGroup
	start := make(chan struct{})
	for i, call := range calls {
		ready.Add(1)
		done.Go(func() {
			r, err := http.NewRequestWithContext(c.t.Context(), call.method, c.Base+call.path, bytes.NewReader(call.body))
			ready.Done()
			<-start
			if err != nil {
				answers[i] = got{err: err}
				return
			}
			if len(call.body) > 0 {
				r.Header.Set("Content-Type", map[bool]string{true: "application/json", false: "text/csv"}[call.body[0] == '{'])
			}
			if call.ifMatch != "" {
				r.Header.Set("If-Match", call.ifMatch)
			}
			answers[i] = do(r)
		})
	}
	ready.Wait()
	close(start)
	done.Wait()
	counts = map[int]int{}
	for i, g := range answers {
		counts[g.status]++
		busy := g.status == http.StatusServiceUnavailable && g.slug() == "busy" && g.header.Get("Retry-After") != ""
		if plain := g.status < 300 || g.slug() != "" && g.status < 500; g.err != nil || !plain && !busy {
			c.t.Errorf("%s: %s %s: %s", what, calls[i].method, calls[i].path, g)
		}
	}
	return counts, answers
}

// same is a call so many times.
func same(n int, a call) []call { return slices.Repeat([]call{a}, n) }

// different is a call so many times, with a body each.
func different(n int, a call, body func(i int) []byte) []call {
	all := same(n, a)
	for i := range all {
		all[i].body = body(i)
	}
	return all
}

// make makes something and gives its id.
func (c crowd) make(path string, body []byte) string {
	c.t.Helper()
	var m struct{ ID string }
	c.ask(c.t, http.MethodPost, path, body).into(c.t, &m)
	return m.ID
}

// expect holds counts against what they have to be.
func (c crowd) expect(what string, counts map[int]int, want map[int]int) {
	c.t.Helper()
	for status, n := range want {
		if counts[status] != n {
			c.t.Errorf("%s: %v, want %v", what, counts, want)
			return
		}
	}
}

// Many send the same, or different things for the same place, at once: each is answered as if they had come one after the other, in some
// order.
func TestAtOnce(t *testing.T) {
	bothStores(t, func(t *testing.T, s *subject) {
		s.begin(t)
		c := crowd{s, t}
		for range max(1, askedKills(t)/killsInCI) {
			c.sites()
			c.records()
			c.curves()
			c.readings()
			c.mixed()
		}
		s.verify(t)
		for _, line := range s.Said() {
			t.Errorf("the service said: %s", line)
		}
	}, "--cache-mb", "0", "--heavy-jobs", "4")
}

func (c crowd) sites() {
	name := func(i int) []byte { return garden(fmt.Sprintf("version %d", i), "") }
	counts, made := c.atOnce("saving", same(clients, call{http.MethodPost, "/v1/sites", garden("same", ""), ""})...)
	c.expect("saving", counts, map[int]int{201: clients})
	ids := map[string]bool{}
	for _, g := range made {
		ids[g.header.Get("Location")] = true
	}
	if len(ids) != clients {
		c.t.Errorf("%d sites with %d addresses", clients, len(ids))
	}
	id := c.make("/v1/sites", garden("first", ""))
	path := "/v1/sites/" + id
	counts, _ = c.atOnce("the same change", same(clients, call{http.MethodPut, path, name(0), ""})...)
	c.expect("the same change", counts, map[int]int{200: clients})
	first := fmt.Sprintf(`"%d"`, 1+clients)
	counts, _ = c.atOnce("changes of one version", different(clients, call{http.MethodPut, path, nil, first}, name)...)
	c.expect("changes of one version", counts, map[int]int{200: 1, 412: clients - 1})
	counts, _ = c.atOnce("changes of any version", different(clients, call{http.MethodPut, path, nil, ""}, name)...)
	c.expect("changes of any version", counts, map[int]int{200: clients})
	calls := append(different(clients/2, call{http.MethodPut, path, nil, ""}, name),
		same(clients/2, call{http.MethodGet, path + "/estimate", nil, ""})...)
	c.atOnce("changes and estimates", calls...)
	var site struct {
		Name    string
		Version int
		Request struct{ Site struct{ Name string } }
	}
	c.ask(c.t, http.MethodGet, path, nil).into(c.t, &site)
	if site.Version != 2+2*clients+clients/2 || site.Name != site.Request.Site.Name || !strings.HasPrefix(site.Name, "version ") {
		c.t.Errorf("at the end: %+v", site)
	}
	var estimate struct {
		Request struct{ Site struct{ Name string } }
	}
	c.ask(c.t, http.MethodGet, path+"/estimate", nil).into(c.t, &estimate)
	if estimate.Request.Site.Name != site.Name {
		c.t.Errorf("the estimate is of %q, the site is %q", estimate.Request.Site.Name, site.Name)
	}
	counts, _ = c.atOnce("showing", different(clients, call{http.MethodPut, path + "/club", nil, ""}, func(i int) []byte {
		return fmt.Appendf(nil, `{"public":%t}`, i%2 == 0)
	})...)
	c.expect("showing", counts, map[int]int{200: clients})
	counts, _ = c.atOnce("deleting", same(clients, call{http.MethodDelete, path, nil, ""})...)
	c.expect("deleting", counts, map[int]int{204: 1, 404: clients - 1})
}

func (c crowd) records() {
	counts, _ := c.atOnce("importing", same(clients, call{http.MethodPost, "/v1/records", table, ""})...)
	if counts[201] == 0 || counts[201]+counts[503] != clients {
		c.t.Errorf("importing: %v", counts)
	}
	id := c.make("/v1/records", table)
	path := "/v1/records/" + id
	calls := append(same(clients/4, call{http.MethodPost, "/v1/estimates", garden("there or not", id), ""}),
		same(clients/4, call{http.MethodGet, path + "/samples", nil, ""})...)
	calls = append(calls, same(clients/4, call{http.MethodPost, "/v1/records", table, ""})...)
	calls = append(calls, same(clients/4, call{http.MethodDelete, path, nil, ""})...)
	counts, _ = c.atOnce("a record being deleted", calls...)
	if counts[204] != 1 {
		c.t.Errorf("a record being deleted: %v", counts)
	}
	// Either it is deleted, or a site uses it.
	id = c.make("/v1/records", table)
	calls = append(same(clients/2, call{http.MethodPost, "/v1/sites", garden("on it", id), ""}),
		same(clients/2, call{http.MethodDelete, "/v1/records/" + id, nil, ""})...)
	counts, _ = c.atOnce("a record being used", calls...)
	there := c.ask(c.t, http.MethodGet, "/v1/records/"+id, nil).status == http.StatusOK
	if there != (counts[201] > 0) || there == (counts[204] == 1) {
		c.t.Errorf("a record being used: %v, and it is there: %t", counts, there)
	}
}

func (c crowd) curves() {
	turbine := []byte(`{"name":"kept","rotor_diameter_m":2.4,"power_curve":{"points":[[3,0],[8,420],[11,800],[20,500]]}}`)
	counts, _ := c.atOnce("keeping curves", same(clients, call{http.MethodPost, "/v1/curves", turbine, ""})...)
	c.expect("keeping curves", counts, map[int]int{201: clients})
	id := c.make("/v1/curves", turbine)
	var document map[string]any
	if err := json.Unmarshal(garden("with a curve", ""), &document); err != nil {
		c.t.Fatal(err)
	}
	document["turbine"] = map[string]any{"curve": map[string]any{"id": id}}
	body, err := json.Marshal(document)
	if err != nil {
		c.t.Fatal(err)
	}
	calls := append(same(clients/2, call{http.MethodPost, "/v1/sites", body, ""}),
		same(clients/2, call{http.MethodDelete, "/v1/curves/" + id, nil, ""})...)
	counts, _ = c.atOnce("a curve being used", calls...)
	there := c.ask(c.t, http.MethodGet, "/v1/curves/"+id, nil).status == http.StatusOK
	if there != (counts[201] > 0) || there == (counts[204] == 1) {
		c.t.Errorf("a curve being used: %v, and it is there: %t", counts, there)
	}
}

func (c crowd) readings() {
	id := c.make("/v1/sites", garden("metered", ""))
	path := "/v1/sites/" + id
	added := 0
	_, answers := c.atOnce("the same readings", same(clients, call{http.MethodPost, path + "/readings", readings(0), ""})...)
	for _, g := range answers {
		var a struct {
			Added int `json:"added"`
		}
		g.into(c.t, &a)
		added += a.Added
	}
	if n := len(c.stored(id)); added != readingsAtOnce || n != readingsAtOnce {
		c.t.Errorf("%d were added, %d are there", added, n)
	}
	calls := append(different(clients/2, call{http.MethodPost, path + "/readings", nil, ""}, func(i int) []byte { return readings(1 + i) }),
		same(clients/2, call{http.MethodDelete, path, nil, ""})...)
	counts, _ := c.atOnce("readings of a site being deleted", calls...)
	if n := len(c.stored(id)); n != 0 || counts[204] != 1 {
		c.t.Errorf("%v, and %d readings are left", counts, n)
	}
}

func (c crowd) stored(site string) []storage.Reading {
	c.t.Helper()
	store := c.open(c.t)
	defer store.Close() //nolint:errcheck // a test is over then
	all, err := store.Readings(context.WithoutCancel(c.t.Context()), site)
	if err != nil {
		c.t.Fatal(err)
	}
	return all
}

// mixed is everything in the wrong order.
func (c crowd) mixed() {
	record := c.make("/v1/records", table)
	id := c.make("/v1/sites", garden("mixed", record))
	path := "/v1/sites/" + id
	var calls []call
	for i := range 2 {
		calls = append(calls, call{http.MethodGet, path + "/estimate", nil, ""}, call{http.MethodPut, path, garden(fmt.Sprint(i), record), ""},
			call{http.MethodDelete, path, nil, ""}, call{http.MethodDelete, "/v1/records/" + record, nil, ""},
			call{http.MethodPost, path + "/readings", readings(i), ""}, call{http.MethodGet, path + "/harvest", nil, ""},
			call{http.MethodPut, path + "/club", []byte(`{"public":true}`), ""}, call{http.MethodGet, "/v1/club/board", nil, ""})
	}
	c.atOnce("everything", calls...)
	for _, a := range []call{{http.MethodPost, "/v1/sites/none/readings", readings(0), ""},
		{http.MethodGet, "/v1/sites/none/estimate", nil, ""},
		{http.MethodGet, path, nil, ""}, {http.MethodGet, path + "/harvest", nil, ""}, {http.MethodDelete, path + "/readings/none", nil, ""},
		{http.MethodPut, path, garden("gone", ""), ""}, {http.MethodPut, path + "/club", []byte(`{"public":true}`), ""}} {
		if g := c.ask(c.t, a.method, a.path, a.body); g.status != http.StatusNotFound || g.slug() != "not-found" {
			c.t.Errorf("%s %s: %s", a.method, a.path, g)
		}
	}
	if g := c.ask(c.t, http.MethodPost, "/v1/sites", garden("on nothing", "none")); g.status != http.StatusUnprocessableEntity {
		c.t.Errorf("a site on a record that is not there: %s", g)
	}
}
