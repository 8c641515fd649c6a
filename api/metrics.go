package api

import (
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// metrics count what a service does, for whoever watches over it. No place, name or key is in them.
type metrics struct {
	requests *prometheus.CounterVec
	took     *prometheus.HistogramVec
	stages   *prometheus.HistogramVec
	rows     prometheus.Counter
	cached   *prometheus.CounterVec
	answer   http.Handler
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

func newMetrics(s *service) *metrics {
	registry := prometheus.NewRegistry()
	m := &metrics{
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "mastworth_requests_total", Help: "Requests answered."}, []string{"method", "route", "status"}),
		took: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "mastworth_request_seconds", Help: "Time from a request's head to the end of its answer.",
			Buckets: prometheus.ExponentialBuckets(0.0005, 4, 9)}, []string{"route"}),
		stages: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "mastworth_estimate_seconds", Help: "Time of an estimate by stage.",
			Buckets: prometheus.ExponentialBuckets(0.0001, 4, 9)}, []string{"stage"}),
		rows: prometheus.NewCounter(prometheus.CounterOpts{Name: "mastworth_imported_rows_total", Help: "Rows of records that were taken in."}),
		cached: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "mastworth_record_cache_total", Help: "Decoded records asked for, by whether they were at hand."},
			[]string{"outcome"}),
	}
	registry.MustRegister(m.requests, m.took, m.stages, m.rows, m.cached, collectors.NewGoCollector(),
		collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "mastworth_heavy_jobs", Help: "Imports and heavy estimates under way."},
			func() float64 { return float64(len(s.heavy)) }),
		prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "mastworth_heavy_jobs_most", Help: "How many there may be."},
			func() float64 { return float64(cap(s.heavy)) }))
	if p, is := s.Store.(pooled); is {
		for name, read := range map[string]func() int{
			"in_use": func() int { n, _, _ := p.Pool(); return n }, "idle": func() int { _, n, _ := p.Pool(); return n }, "most": func() int { _, _, n := p.Pool(); return n },
		} {
			registry.MustRegister(prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "mastworth_database_connections_" + name, Help: "Of the pool: " + name + "."},
				func() float64 { return float64(read()) }))
		}
	}
	m.answer = promhttp.HandlerFor(registry, promhttp.HandlerOpts{})
	return m
}

// measure counts a request and its time.
func (s *service) measure(c *gin.Context) {
	began := time.Now()
	c.Next()
	route := c.FullPath()
	if route == "" {
		route = "none"
	}
	s.metrics.requests.WithLabelValues(knownMethod(c.Request.Method), route, strconv.Itoa(c.Writer.Status())).Inc()
	s.metrics.took.WithLabelValues(route).Observe(time.Since(began).Seconds())
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
func (m *metrics) lookedUp(atHand bool) {
	outcome := "missed"
	if atHand {
		outcome = "at hand"
	}
	m.cached.WithLabelValues(outcome).Inc()
}

func (s *service) readMetrics(c *gin.Context) { s.metrics.answer.ServeHTTP(c.Writer, c.Request) }
