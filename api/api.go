// Package api is the HTTP service: the contract of package openapi served over a store. It is the only package that knows
// gin. Handlers translate; what they answer comes from the domain (yield/assess, resource) and its documents (api/document).
//
// Every error is a problem document (RFC 9457). The operations of the contract run through the generated strict server; the
// upload, which streams, and the HTML pages are plain handlers.
package api

import (
	"crypto/rand"
	"encoding/base32"
	"log/slog"
	"net/http"
	"runtime"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"github.com/gin-gonic/gin"
	"go.opentelemetry.io/otel/trace"

	"mastworth/api/page"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/resource/fetch"
	"mastworth/storage"
)

// Options are what the service is made of. Only Store is needed.
type Options struct {
	Store   storage.Store
	Logger  *slog.Logger         // nil: nothing is logged
	Tracer  trace.TracerProvider // nil: nothing is traced
	Now     func() time.Time     // nil: time.Now
	NewID   func() string        // ids of records and sites: unique, letters, digits, - and _; nil: random
	Version string               // of the program, told in every estimate
	Fetch   *fetch.Client        // brings public data for the asking; nil: nobody may ask
	Club    ClubOptions
	Access  AccessOptions

	MaxUploadBytes   int64         // longest record file; 0: 2 GiB
	MaxBodyBytes     int64         // longest request document; 0: 1 MiB
	RecordCacheBytes int64         // memory for decoded records; 0: 128 MiB, negative: none
	HeavyJobs        int           // imports and record estimates at once; 0: as many as there are processors
	HeavyWait        time.Duration // how long one waits for its turn before it is refused; 0: 5 s
	BodyWait         time.Duration // how long a body that does not come is waited for, in all, or an answer to be read; 0: 30 s
}

// The defaults of Options.
const (
	DefaultMaxUploadBytes   = 2 << 30
	DefaultMaxBodyBytes     = 1 << 20
	DefaultRecordCacheBytes = 128 << 20
	DefaultHeavyWait        = 5 * time.Second
	DefaultBodyWait         = 30 * time.Second
)

// gin's mode is a global of the process; in any but this it prints to standard output.
func init() { gin.SetMode(gin.ReleaseMode) }

// service is the state behind the handlers. It has none of its own but caches: many may share one store.
type service struct {
	Options
	records                  *cache[*resource.Series] // decoded and screened
	answers                  *cache[*keptAnswer]
	stamps                   stamps
	shared                   together
	digests                  *digestCache
	harvests                 *cache[*openapi.Harvest] // by what they are made of
	heavy                    chan struct{}
	waiting                  atomic.Int64 // for a turn at heavy work
	ids                      *requestIDs
	pages                    *page.Set
	looks                    string // changes with whatever pages and pictures are made by
	methodPage, contractPage keptPage
	board                    board
	failed                   *cache[time.Time] // until when a public site is not worked out again
	limits                   *limits
	proxies                  proxies
	metrics                  *metrics
	tracer                   trace.Tracer
}

// New is the service. It panics without a store.
func New(o Options) http.Handler {
	s := newService(o)
	return paced(headAsGet(s.engine()), s.BodyWait)
}

func newService(o Options) *service {
	if o.Store == nil {
		panic("api: a service needs a store")
	}
	s := &service{Options: withDefaults(o), ids: newRequestIDs(), pages: page.New()}
	s.pages.Keys = s.Access.Keys
	s.looks = hashTag(s.Version, page.Content(), strconv.FormatBool(s.Access.Keys))
	s.records = newCache(s.RecordCacheBytes, seriesBytes)
	s.stamps.ask = s.Store.EstimateStamps
	s.answers = newCache(answerCacheBytes, (*keptAnswer).bytes)
	s.digests = newDigestCache()
	s.failed = newCache(mostFailed, func(time.Time) int64 { return 1 })
	s.harvests = newCache(harvestCacheBytes, harvestBytes)
	s.limits = newLimits(s.Access.RequestsPerSecond)
	var err error
	if s.proxies, err = proxiesOf(s.Access.TrustedProxies); err != nil {
		panic("api: trusted proxies: " + err.Error())
	}
	s.heavy = make(chan struct{}, s.HeavyJobs)
	s.metrics = newMetrics(s)
	s.tracer = tracerOf(s.Tracer)
	s.Store = settled{s.Store} // last: the figures ask the store itself about its connections
	return s
}

func withDefaults(o Options) Options {
	if o.Logger == nil {
		o.Logger = slog.New(slog.DiscardHandler)
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.NewID == nil {
		o.NewID = NewID
	}
	if o.MaxUploadBytes == 0 {
		o.MaxUploadBytes = DefaultMaxUploadBytes
	}
	if o.MaxBodyBytes == 0 {
		o.MaxBodyBytes = DefaultMaxBodyBytes
	}
	if o.RecordCacheBytes == 0 {
		o.RecordCacheBytes = DefaultRecordCacheBytes
	}
	if o.HeavyJobs <= 0 {
		o.HeavyJobs = runtime.GOMAXPROCS(0)
	}
	if o.Club.PlaceStepDeg == 0 {
		o.Club.PlaceStepDeg = DefaultPlaceStepDeg
	}
	if o.HeavyWait == 0 {
		o.HeavyWait = DefaultHeavyWait
	}
	if o.BodyWait == 0 {
		o.BodyWait = DefaultBodyWait
	}
	return o
}

// NewID is what records, sites and keys are called by; it has 80 random bits: among a million ids two are the same with a chance of one in two billion.
func NewID() string {
	var b [10]byte
	_, _ = rand.Read(b[:]) // never fails: crypto/rand ends the process instead
	return strings.ToLower(base32.StdEncoding.EncodeToString(b[:]))
}

// now is the time as the store keeps it, to the microsecond.
func (s *service) now() time.Time { return s.Now().UTC().Truncate(time.Microsecond) }

// engine is the router with every hook filled in: none of gin's or the generator's own answers is ever sent.
func (s *service) engine() *gin.Engine {
	e := gin.New()
	e.ContextWithFallback = true // a *gin.Context ends when its request does
	e.HandleMethodNotAllowed = true
	e.RedirectTrailingSlash = false
	e.RedirectFixedPath = false
	if err := e.SetTrustedProxies(s.Access.TrustedProxies); err != nil {
		panic("api: trusted proxies: " + err.Error())
	}
	e.Use(s.measure)
	if s.Tracer != nil {
		e.Use(s.trace)
	}
	e.Use(s.frame, s.toOthers, s.sameSite, s.access, s.parameters)
	e.NoRoute(func(c *gin.Context) {
		s.refuse(c, notFound("there is nothing at this address; %s lists what there is", "/openapi.yaml"))
	})
	e.NoMethod(func(c *gin.Context) {
		s.refuse(c, newProblem(methodNotAllowed, "%s is not possible here; possible: %s", c.Request.Method, c.Writer.Header().Get("Allow")))
	})
	strict := openapi.NewStrictHandlerWithOptions(s, nil, openapi.StrictGinServerOptions{
		RequestErrorHandlerFunc:  s.refuse,
		HandlerErrorFunc:         s.refuse,
		ResponseErrorHandlerFunc: s.unanswered,
	})
	openapi.RegisterHandlersWithOptions(e, strict, openapi.GinServerOptions{
		ErrorHandler: func(c *gin.Context, err error, _ int) { s.refuse(c, newProblem(invalidParameters, "%s", err)) },
	})
	e.POST("/v1/records", s.uploadRecord)
	e.GET("/metrics", s.readMetrics)
	s.pageRoutes(e)
	return e
}

// headAsGet answers HEAD as GET: net/http leaves the body out by itself.
func headAsGet(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodHead {
			get := *r
			get.Method = http.MethodGet
			r = &get
		}
		next.ServeHTTP(w, r)
	})
}
