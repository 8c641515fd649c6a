package fetch

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"mastworth/resource/ingest"
)

var inland = Place{Lat: 50, Lon: 8}

func fetch1(t *testing.T, c *Client) error {
	t.Helper()
	_, _, _, err := c.Fetch(t.Context(), inland, Years{2024, 2024}, Source{Archive: NASAPower})
	return err
}

// say answers with a status, a type and a body.
func say(status int, contentType string, body []byte) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", contentType)
		w.WriteHeader(status)
		_, _ = w.Write(body)
	}
}

func good() []byte { return inventedPower(2024, 50, 8, alternating) }

// What a service can do wrong, what it is called, and how often it is asked.
func TestFaults(t *testing.T) {
	bomb := func() []byte {
		var b bytes.Buffer
		z := gzip.NewWriter(&b)
		_, _ = z.Write([]byte("-BEGIN HEADER-\n"))
		zeros := make([]byte, 1<<20)
		for range 64 {
			_, _ = z.Write(zeros)
		}
		_ = z.Close()
		return b.Bytes()
	}()
	cases := []struct {
		name   string
		handle http.HandlerFunc
		want   error
		says   string // in the error
		asked  int
	}{
		{"server error", say(500, "text/plain", []byte("oh")), ErrRefused, "status 500 Internal Server Error, 3 times", 3},
		{"bad gateway", say(502, "text/html", []byte("<html><title>502 Bad Gateway</title>")), ErrRefused, `it says: "502 Bad Gateway"`, 3},
		{"not implemented", say(501, "text/plain", nil), ErrRefused, "501", 1},
		{"web page", say(200, "text/html", []byte("<!doctype html><html><head><title>Please\x1b[31m log in</title></head>")), ErrNotData, `"Please[31m log in"`, 1},
		{"web page called CSV", say(200, "text/csv", []byte("<html><body>maintenance<br>until noon</body>")), ErrNotData, "maintenance until noon", 1},
		{"JSON for CSV", say(200, "application/json", []byte(`{"error":true,"reason":"no such thing"}`)), ErrNotData, "no such thing", 1},
		{"nothing", say(200, "text/csv", nil), ErrNotData, "the answer is empty", 1},
		{"a picture", say(200, "image/png", []byte("\x89PNG\r\n\x1a\n\x00\x00")), ErrNotData, "image/png", 1},
		{"header alone", say(200, "text/csv", []byte("-BEGIN HEADER-\nNASA/POWER\n-END HEADER-\n")), ErrNotData, "cannot be read", 1},
		{"cut within a row", say(200, "text/csv", bytes.TrimSuffix(good(), []byte(",6.75,6.75\n"))), ErrNotData, "middle of a row", 1},
		{"gzip bomb", say(200, "application/gzip", bomb), ErrTooLarge, "larger than 1048576 bytes", 1},
		{"endless", func(w http.ResponseWriter, _ *http.Request) {
			for {
				if _, err := w.Write(make([]byte, 64<<10)); err != nil {
					return
				}
			}
		}, ErrTooLarge, "more than that came", 1},
		{"announced too large", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Length", "99999999999")
		}, ErrTooLarge, "99999999999 bytes are announced", 1},
		{"cut packing", say(200, "application/gzip", packed(good())[:2000]), ErrUnreachable, "ends in the middle", 3},
		{"cut connection", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Length", "100000")
			_, _ = w.Write([]byte("-BEGIN HEADER-\n"))
			panic(http.ErrAbortHandler)
		}, ErrUnreachable, "ends in the middle of the answer", 3},
		{"every value missing", say(200, "text/csv", inventedPower(2024, 50, 8, func(int) string { return "-999.0" })), ErrNoData, "every wind speed of 2024 is missing", 1},
		{"another place", say(200, "text/csv", inventedPower(2024, 51, 9.5, alternating)), ErrNotData, "a place 154 km away", 1},
		{"another year", say(200, "text/csv", inventedPower(2022, 50, 8, alternating)), ErrNotData, "none of the year's hours", 1},
		{"redirect in a ring", func(w http.ResponseWriter, r *http.Request) {
			http.Redirect(w, r, r.URL.String(), http.StatusFound)
		}, ErrRefused, "more than 5", 6},
		{"redirect to a file", func(w http.ResponseWriter, r *http.Request) {
			http.Redirect(w, r, "file:///etc/hostname", http.StatusFound)
		}, ErrRefused, "from http to file", 1},
	}
	for _, k := range cases {
		t.Run(k.name, func(t *testing.T) {
			s := newStub(t, k.handle)
			c, _ := newClient(t, s.URL, withDisk(t), func(o *Options) { o.MaxBytes, o.Retries = 1<<20, 2 })
			err := fetch1(t, c)
			if !errors.Is(err, k.want) || !strings.Contains(err.Error(), k.says) || s.count() != k.asked {
				t.Errorf("%v, asked %d times; want %v (%q), %d times", err, s.count(), k.want, k.says, k.asked)
			}
			if strings.ContainsAny(fmt.Sprint(err), "\x1b\n<") {
				t.Errorf("the service's control characters come through: %q", err)
			}
		})
	}
}

// The service's real answer to a request with a wrong parameter.
func Test422(t *testing.T) {
	s := newStub(t, say(422, "application/json", sharedFile(t, "data/nasa_power/error_422.json")))
	c, _ := newClient(t, s.URL)
	err := fetch1(t, c)
	var e *Error
	if !errors.As(err, &e) || e.Status != 422 || e.Excerpt != "One of your parameters is incorrect: NAO_EXISTE." || e.Archive != NASAPower || e.Year != 2024 {
		t.Errorf("%+v", e)
	}
	if s.count() != 1 {
		t.Errorf("a request that cannot do better was made %d times", s.count())
	}
}

// Content decides, not what it is called.
func TestWrongContentType(t *testing.T) {
	for _, name := range []string{"", "text/html", "application/octet-stream", "image/png"} {
		s := newStub(t, say(200, name, good()))
		c, _ := newClient(t, s.URL)
		if err := fetch1(t, c); err != nil {
			t.Errorf("%q: %v", name, err)
		}
	}
}

// Retry-After is waited for, to a bound.
func TestRetryAfter(t *testing.T) {
	for _, k := range []struct {
		header string
		want   time.Duration // at least waited; 0: given up
	}{
		{"7", 7 * time.Second},
		{today.Add(40 * time.Second).Format(http.TimeFormat), 40 * time.Second},
		{"3600", 0},
	} {
		n := 0
		s := newStub(t, func(w http.ResponseWriter, r *http.Request) {
			if n++; n == 1 {
				w.Header().Set("Retry-After", k.header)
				http.Error(w, "slow down", http.StatusTooManyRequests)
				return
			}
			_, _ = w.Write(good())
		})
		c, clock := newClient(t, s.URL)
		err := fetch1(t, c)
		var e *Error
		switch {
		case k.want == 0:
			if !errors.As(err, &e) || e.RetryAfter != time.Hour || s.count() != 1 || !strings.Contains(err.Error(), "ask again in 1h0m0s") {
				t.Errorf("%s: %v, asked %d times", k.header, err, s.count())
			}
		case err != nil || len(clock.waits) == 0 || slices.Max(clock.waits) != k.want:
			t.Errorf("%s: %v, waits %v", k.header, err, clock.waits)
		}
	}
}

// A fetch that broke off goes on where it stopped.
func TestResume(t *testing.T) {
	ill := true
	s := newStub(t, func(w http.ResponseWriter, r *http.Request) {
		start := r.URL.Query().Get("start")
		if ill && start == "20220101" {
			http.Error(w, "", http.StatusServiceUnavailable)
			return
		}
		var year int
		_, _ = fmt.Sscanf(start, "%4d", &year)
		_, _ = w.Write(inventedPower(year, 50, 8, alternating))
	})
	var waits int
	c, _ := newClient(t, s.URL, withDisk(t), func(o *Options) {
		o.Progress = func(p Progress) {
			if p.Waiting > 0 {
				waits++
			}
		}
	})
	years := Years{2020, 2023}
	_, _, _, err := c.Fetch(t.Context(), inland, years, Source{Archive: NASAPower})
	var e *Error
	if !errors.As(err, &e) || e.Year != 2022 || e.Status != 503 || s.count() != 2+4 || waits != 3 || !strings.Contains(err.Error(), "what came before is in the cache") {
		t.Fatalf("%v, asked %d times, waited %d times", err, s.count(), waits)
	}
	ill = false
	series, report, fetched, err := c.Fetch(t.Context(), inland, years, Source{Archive: NASAPower})
	if err != nil || s.count() != 6+2 {
		t.Fatalf("%v, asked %d times", err, s.count())
	}
	check(t, series)
	if series.Len() != (366+3*365)*24 || report.GapCount != 0 || fetched.Coverage != 1 {
		t.Errorf("%d hours, %d gaps, coverage %g", series.Len(), report.GapCount, fetched.Coverage)
	}
	if !fetched.Requests[0].FromCache || fetched.Requests[2].FromCache || len(fetched.Requests[3].SHA256) != 64 {
		t.Errorf("requests %+v", fetched.Requests)
	}
}

// Half a year is missing: said, with the share and the stretch.
func TestHalfAYear(t *testing.T) {
	for name, speed := range map[string]func(int) string{
		"rows": func(h int) string {
			if h >= 183*24 {
				return ""
			}
			return alternating(h)
		},
		"values": func(h int) string {
			if h >= 183*24 {
				return "-999"
			}
			return alternating(h)
		},
	} {
		s := newStub(t, say(200, "text/csv", inventedPower(2024, 50, 8, speed)))
		c, _ := newClient(t, s.URL)
		_, _, fetched, err := c.Fetch(t.Context(), inland, Years{2024, 2024}, Source{Archive: NASAPower})
		if err != nil || fetched.Coverage != 0.5 {
			t.Fatalf("%s: %v, coverage %g", name, err, fetched.Coverage)
		}
		if w := fetched.Warnings[0]; w.Code != "fetched_incomplete" || !strings.Contains(w.Detail, "50.0 %") || !strings.Contains(w.Detail, "183.0 days, from 2024-07-02 00:00") {
			t.Errorf("%s: %v", name, w)
		}
	}
}

// Slow drip, and silence: given up in time.
func TestSlow(t *testing.T) {
	for name, k := range map[string]struct {
		limits Timeouts
		says   string
	}{
		"drip":    {Timeouts{Whole: 150 * time.Millisecond}, "takes too long"},
		"silence": {Timeouts{Idle: 60 * time.Millisecond}, "nothing comes any more"},
		"no head": {Timeouts{Answer: 60 * time.Millisecond}, "no answer comes"},
	} {
		t.Run(name, func(t *testing.T) {
			s := newStub(t, func(w http.ResponseWriter, r *http.Request) {
				for i := 0; r.Context().Err() == nil; i++ {
					if name == "drip" || name == "silence" && i == 0 {
						_, _ = w.Write([]byte("-"))
						_ = http.NewResponseController(w).Flush()
					}
					time.Sleep(10 * time.Millisecond)
				}
			})
			c, _ := newClient(t, s.URL, func(o *Options) { o.Timeouts, o.Retries = k.limits, -1 })
			begin := time.Now()
			err := fetch1(t, c)
			if !errors.Is(err, ErrUnreachable) || !strings.Contains(err.Error(), k.says) || time.Since(begin) > 5*time.Second {
				t.Errorf("after %v: %v", time.Since(begin), err)
			}
		})
	}
}

// The caller's own haste is not the service's fault.
func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	s := newStub(t, func(w http.ResponseWriter, _ *http.Request) {
		cancel()
		http.Error(w, "", http.StatusInternalServerError)
	})
	c, _ := newClient(t, s.URL)
	_, _, _, err := c.Fetch(ctx, inland, Years{2024, 2024}, Source{Archive: NASAPower})
	if !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// A reader's own error is still there to be looked at.
func TestReadErrorIsKept(t *testing.T) {
	s := newStub(t, say(200, "text/csv", []byte("-BEGIN HEADER-\nNASA/POWER\n-END HEADER-\nYEAR,MO,DY,HR,T\n")))
	c, _ := newClient(t, s.URL)
	var e *ingest.ReadError
	if err := fetch1(t, c); !errors.As(err, &e) {
		t.Error(err)
	}
}
