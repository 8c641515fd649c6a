package load

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"testing"

	"golang.org/x/sync/errgroup"
)

const (
	gardens = 200
	records = 3
	shown   = 60 // of the gardens are public
)

// filled is what was put into a store.
type filled struct {
	records []string
	sites   []string
	public  []string
	tags    []string // of the sites' estimates
}

// reply is an answer as far as it must be the same from everywhere.
type reply struct {
	status int
	etag   string
	body   []byte
}

// send makes a request and reads the whole answer.
func send(t testing.TB, method, address, contentType string, body []byte) (reply, error) {
	request, err := http.NewRequestWithContext(t.Context(), method, address, bytes.NewReader(body))
	if err != nil {
		return reply{}, err
	}
	if body != nil {
		request.Header.Set("Content-Type", contentType)
	}
	request.Host = host
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		return reply{}, err
	}
	defer response.Body.Close()
	got, err := io.ReadAll(response.Body)
	return reply{response.StatusCode, response.Header.Get("ETag"), got}, err
}

// post sends what makes something and gives its id.
func post(t testing.TB, address, contentType string, body []byte) (id string, err error) {
	got, err := send(t, http.MethodPost, address, contentType, body)
	if err != nil {
		return "", err
	}
	var made struct {
		ID string `json:"id"`
	}
	if err := json.Unmarshal(got.body, &made); err != nil || got.status != http.StatusCreated {
		return "", fmt.Errorf("POST %s: %d %s, %w", address, got.status, got.body, err)
	}
	return made.ID, nil
}

func jsonOf(t testing.TB, d any) []byte {
	t.Helper()
	b, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// fill puts records and gardens into a store, through all instances by turns, and has every estimate worked out once: of all
// instances at the same moment, which must agree.
func fill(t *testing.T, all []*instance) filled {
	t.Helper()
	f := filled{sites: make([]string, gardens), tags: make([]string, gardens)}
	for n := range records {
		id, err := post(t, all[n%len(all)].base+fmt.Sprintf("/v1/records?name=logger-%d.csv", n), "text/csv", logged(n))
		if err != nil {
			t.Fatal(err)
		}
		f.records = append(f.records, id)
	}
	var work errgroup.Group
	work.SetLimit(4)
	for n := range gardens {
		work.Go(func() (err error) {
			record := ""
			if n%3 == 0 {
				record = f.records[n/3%records]
			}
			f.sites[n], f.tags[n], err = plant(t, all, n, garden(n, record))
			return err
		})
	}
	if err := work.Wait(); err != nil {
		t.Fatal(err)
	}
	f.public = f.sites[:shown]
	return f
}

// plant saves a garden, shows it if it is one of the first, and has its estimate worked out by all instances at once.
func plant(t *testing.T, all []*instance, n int, d document) (id, tag string, err error) {
	at := all[n%len(all)].base
	if id, err = post(t, at+"/v1/sites", "application/json", jsonOf(t, d)); err != nil {
		return "", "", err
	}
	replies := make([]reply, len(all))
	var asking errgroup.Group
	for i, instance := range all {
		asking.Go(func() (err error) {
			replies[i], err = send(t, http.MethodGet, instance.base+"/v1/sites/"+id+"/estimate", "", nil)
			return err
		})
	}
	if err := asking.Wait(); err != nil {
		return "", "", err
	}
	for i, r := range replies {
		if r.status != http.StatusOK {
			return "", "", fmt.Errorf("garden %d, asked for the first time: %d %.300s", n, r.status, r.body)
		}
		if r.etag != replies[0].etag || !bytes.Equal(r.body, replies[0].body) {
			t.Errorf("garden %d: instance %d and the first do not agree on an estimate that both worked out", n, i)
		}
	}
	if n < shown {
		got, err := send(t, http.MethodPut, at+"/v1/sites/"+id+"/club", "application/json", []byte(`{"public":true}`))
		if err != nil || got.status != http.StatusOK {
			return "", "", fmt.Errorf("showing garden %d: %d %.300s, %w", n, got.status, got.body, err)
		}
	}
	return id, replies[0].etag, nil
}
