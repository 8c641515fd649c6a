package api

import (
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"
)

// A client that stops sending, or hardly sends, loses its turn at heavy work before long; one that keeps sending does not, however long
// it takes.
func TestSlowUploads(t *testing.T) {
	const wait = 150 * time.Millisecond
	f := newFixture(t, func(o *Options) { o.HeavyJobs, o.BodyWait = 1, wait })
	server := httptest.NewServer(paced(f, wait))
	defer server.Close()
	body := hourlyCSV(800)
	send := func(feed func(w io.Writer) error) (status int, took time.Duration) {
		t.Helper()
		out, in := io.Pipe()
		go func() {
			err := feed(in)
			if errors.Is(err, io.ErrClosedPipe) { // the server has had enough
				err = nil
			}
			in.CloseWithError(err)
		}()
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, server.URL+"/v1/records", out)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "text/csv")
		began := time.Now()
		got, err := server.Client().Do(r)
		if err != nil {
			return 0, time.Since(began) // the connection was closed while it was sending
		}
		defer got.Body.Close()
		return got.StatusCode, time.Since(began)
	}
	stuck := make(chan struct{})
	defer close(stuck)
	for what, feed := range map[string]func(w io.Writer) error{
		"a client that stops": func(w io.Writer) error {
			_, err := w.Write(body[:200])
			<-stuck
			return err
		},
		"a client that sends a byte now and then": func(w io.Writer) error {
			for i := range body {
				if _, err := w.Write(body[i : i+1]); err != nil {
					return err
				}
				time.Sleep(20 * time.Millisecond)
			}
			return nil
		},
	} {
		if status, took := send(feed); status == http.StatusCreated || took > 20*wait {
			t.Errorf("%s: %d after %s", what, status, took)
		}
		for deadline := time.Now().Add(10 * time.Second); len(f.service.heavy) > 0; time.Sleep(time.Millisecond) {
			if time.Now().After(deadline) {
				t.Fatalf("%s keeps its turn", what)
			}
		}
	}
	const pieces = 20
	steady := func(w io.Writer) error {
		for i := range pieces {
			if _, err := w.Write(body[i*len(body)/pieces : (i+1)*len(body)/pieces]); err != nil {
				return err
			}
			time.Sleep(wait / 5)
		}
		return nil
	}
	if status, took := send(steady); status != http.StatusCreated || took < 2*wait {
		t.Errorf("a slow client that keeps sending: %d after %s", status, took)
	}
}
