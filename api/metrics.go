package api

import (
	"bytes"
	"fmt"
	"net/http"
	"sync"
	"time"

	vmetrics "github.com/VictoriaMetrics/metrics"
	"github.com/gin-gonic/gin"
)

// metrics count what a service does, for whoever watches over it, and tell it as Prometheus reads it. No place, name or key is in
// them.
type metrics struct {
	all      *vmetrics.Set
	requests labelled[outcome, *vmetrics.Counter]            // by what they asked and what they got
	took     labelled[string, *vmetrics.PrometheusHistogram] // s from a request's head to the end of its answer, by route
	stages   map[string]*vmetrics.PrometheusHistogram        // s of an estimate, by stage
	rows     *vmetrics.Counter                               // of records that were taken in
	cached   map[bool]*vmetrics.Counter                      // decoded records asked for, by whether they were at hand
}

// outcome is a kind of request and of answer. There are only so many: a route is the contract's, and methods are known ones.
type outcome struct {
	method, route string
	status        int
}

// The stages of an estimate.
const (
	stageLoad  = "load"  // waiting for a turn, and records out of the store
	stageWork  = "work"  // the estimate itself
	stageWrite = "write" // its document
)

// pooled is a store that tells of its connections.
type pooled interface {
	Pool() (inUse, idle, most int)
}

// The upper ends of what times fall into, s.
var (
	requestEnds = vmetrics.ExponentialBuckets(0.0005, 4, 9)
	stageEnds   = vmetrics.ExponentialBuckets(0.0001, 4, 9)
)

func init() { vmetrics.ExposeMetadata(true) } // a global of the library: say of each figure what type it is

func newMetrics(s *service) *metrics {
	all := vmetrics.NewSet()
	m := &metrics{all: all, stages: map[string]*vmetrics.PrometheusHistogram{}, rows: all.NewCounter("mastworth_imported_rows_total"),
		cached: map[bool]*vmetrics.Counter{true: all.NewCounter(`mastworth_record_cache_total{outcome="at hand"}`),
			false: all.NewCounter(`mastworth_record_cache_total{outcome="missed"}`)}}
	for _, stage := range []string{stageLoad, stageWork, stageWrite} {
		m.stages[stage] = all.NewPrometheusHistogramExt(fmt.Sprintf("mastworth_estimate_seconds{stage=%q}", stage), stageEnds)
	}
	m.requests.made = func(a outcome) *vmetrics.Counter {
		return all.GetOrCreateCounter(fmt.Sprintf("mastworth_requests_total{method=%q,route=%q,status=\"%d\"}", a.method, a.route, a.status))
	}
	m.took.made = func(route string) *vmetrics.PrometheusHistogram {
		return all.GetOrCreatePrometheusHistogramExt(fmt.Sprintf("mastworth_request_seconds{route=%q}", route), requestEnds)
	}
	all.NewGauge("mastworth_heavy_jobs", func() float64 { return float64(len(s.heavy)) })
	all.NewGauge("mastworth_heavy_jobs_most", func() float64 { return float64(cap(s.heavy)) })
	if p, is := s.Store.(pooled); is {
		all.NewGauge("mastworth_database_connections_in_use", func() float64 { n, _, _ := p.Pool(); return float64(n) })
		all.NewGauge("mastworth_database_connections_idle", func() float64 { _, n, _ := p.Pool(); return float64(n) })
		all.NewGauge("mastworth_database_connections_most", func() float64 { _, _, n := p.Pool(); return float64(n) })
	}
	return m
}

// labelled are figures by their labels, made when first asked for.
type labelled[K comparable, V any] struct {
	known sync.Map // of V by K
	made  func(K) V
}

func (l *labelled[K, V]) of(key K) V {
	have, ok := l.known.Load(key)
	if !ok {
		have, _ = l.known.LoadOrStore(key, l.made(key))
	}
	return have.(V)
}

// measure counts a request and its time.
func (s *service) measure(c *gin.Context) {
	began := time.Now()
	c.Next()
	route := c.FullPath()
	if route == "" {
		route = "none"
	}
	s.metrics.requests.of(outcome{knownMethod(c.Request.Method), route, c.Writer.Status()}).Inc()
	s.metrics.took.of(route).UpdateDuration(began)
}

// knownMethod is a request's method, if it is one that anything here has: every label is kept for good, and a client may make up as
// many methods as it likes.
func knownMethod(method string) string {
	switch method {
	case http.MethodGet, http.MethodPost, http.MethodPut, http.MethodDelete, http.MethodOptions:
		return method
	}
	return "other"
}

// lookedUp counts a record that was asked for.
func (m *metrics) lookedUp(atHand bool) { m.cached[atHand].Inc() }

func (s *service) readMetrics(c *gin.Context) {
	var out bytes.Buffer
	s.metrics.all.WritePrometheus(&out)
	vmetrics.WriteProcessMetrics(&out)
	vmetrics.WriteFDMetrics(&out)
	c.Data(http.StatusOK, "text/plain; version=0.0.4; charset=utf-8", out.Bytes())
}
