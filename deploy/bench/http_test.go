package bench

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"runtime"
	"testing"

	"github.com/gin-gonic/gin"
	"golang.org/x/sync/errgroup"

	"mastworth/deploy/ratio"
	"mastworth/storage"
)

// ask is a request that is made again and again.
type ask struct {
	method, path string
	body         []byte
	header       http.Header
	want         int
}

// once makes it of a handler without a network.
func (a *ask) once(b *testing.B, h http.Handler) *httptest.ResponseRecorder {
	b.Helper()
	w := httptest.NewRecorder()
	r := httptest.NewRequestWithContext(context.Background(), a.method, a.path, bytes.NewReader(a.body))
	r.Header = a.header.Clone()
	h.ServeHTTP(w, r)
	if w.Code != a.want {
		b.Fatalf("%s %s: %d %.500s", a.method, a.path, w.Code, w.Body)
	}
	return w
}

// over is a client that makes it so many times over loopback, by so many clients at once whose connections stay open.
func (a *ask) over(b *testing.B, h http.Handler, clients, times int) func() {
	b.Helper()
	server := httptest.NewServer(h)
	b.Cleanup(server.Close)
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: clients, DisableCompression: true}}
	b.Cleanup(client.CloseIdleConnections)
	return func() {
		var group errgroup.Group
		for range clients {
			group.Go(func() error {
				for range times / clients {
					if err := a.send(client, server.URL); err != nil {
						return err
					}
				}
				return nil
			})
		}
		if err := group.Wait(); err != nil {
			b.Fatal(err)
		}
	}
}

func (a *ask) send(client *http.Client, base string) error {
	r, err := http.NewRequestWithContext(context.Background(), a.method, base+a.path, bytes.NewReader(a.body))
	if err != nil {
		return err
	}
	r.Header = a.header
	response, err := client.Do(r)
	if err != nil {
		return err
	}
	defer response.Body.Close()
	if _, err := io.Copy(io.Discard, response.Body); err != nil {
		return err
	}
	if response.StatusCode != a.want {
		return fmt.Errorf("%s %s: %s", a.method, a.path, response.Status)
	}
	return nil
}

// bare is gin and nothing else: it reads what comes and answers the same bytes each time.
func bare(method, path string, status int, answer []byte) http.Handler {
	e := gin.New()
	e.Handle(method, path, func(c *gin.Context) {
		if _, err := io.Copy(io.Discard, c.Request.Body); err != nil {
			c.Status(http.StatusBadRequest)
			return
		}
		c.Data(status, "application/json", answer)
	})
	return e
}

var json1 = http.Header{"Content-Type": {"application/json"}}

// BenchmarkEstimate is a stateless estimate at four heights against gin that reads and writes the same bodies, as many clients as
// processors.
func BenchmarkEstimate(b *testing.B) {
	for name, draws := range map[string]any{"without_odds": 0, "with_odds": nil} {
		b.Run(name, func(b *testing.B) {
			d := garden(b)
			times := 40
			if draws != nil {
				d["uncertainty"] = map[string]any{"draws": draws}
				times = 400
			}
			a := ask{method: http.MethodPost, path: "/v1/estimates", body: jsonOf(b, d), header: json1, want: http.StatusOK}
			h := service(noStore{})
			answer := a.once(b, h).Body.Bytes()
			clients := runtime.GOMAXPROCS(0)
			ratio.Report(b, "of_echo", a.over(b, h, clients, times), a.over(b, bare(a.method, a.path, http.StatusOK, answer), clients, times))
		})
	}
}

// BenchmarkStored is a saved site's estimate that is kept, against gin that answers the same bytes, by few clients and by many; and
// the answer to who has it already.
func BenchmarkStored(b *testing.B) {
	onBoth(b, func(b *testing.B, s storage.Store) {
		h := service(s)
		save := ask{method: http.MethodPost, path: "/v1/sites", body: jsonOf(b, garden(b)), header: json1, want: http.StatusCreated}
		at := save.once(b, h).Header().Get("Location") + "/estimate"
		get := ask{method: http.MethodGet, path: at, header: http.Header{}, want: http.StatusOK}
		get.once(b, h)
		answer := get.once(b, h)
		static := bare(http.MethodGet, at, http.StatusOK, answer.Body.Bytes())
		for _, clients := range []int{2, 16} {
			b.Run(fmt.Sprintf("%d_clients", clients), func(b *testing.B) {
				ratio.Report(b, "of_static", get.over(b, h, clients, 160), get.over(b, static, clients, 160))
				b.ReportMetric(float64(answer.Body.Len())/1000, "kB")
			})
		}
		b.Run("unchanged", func(b *testing.B) {
			same := ask{method: http.MethodGet, path: at, header: http.Header{"If-None-Match": {answer.Header().Get("ETag")}}, want: http.StatusNotModified}
			ratio.Report(b, "of_static", same.over(b, h, 16, 160), get.over(b, static, 16, 160))
		})
	})
}

// noStore is for what needs none.
type noStore struct{ storage.Store }

func (noStore) Ping(context.Context) error { return nil }
