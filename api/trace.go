package api

import (
	"context"
	"errors"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"
	"go.opentelemetry.io/otel/attribute"
	otelcodes "go.opentelemetry.io/otel/codes"
	"go.opentelemetry.io/otel/propagation"
	"go.opentelemetry.io/otel/trace"
	"go.opentelemetry.io/otel/trace/noop"
)

// tracerName is what the spans of this package are filed under.
const tracerName = "mastworth/api"

// tracerOf is the tracer of a provider; nil traces nothing and costs next to nothing.
func tracerOf(p trace.TracerProvider) trace.Tracer {
	if p == nil {
		p = noop.NewTracerProvider()
	}
	return p.Tracer(tracerName)
}

// trace puts a span around a request, below the caller's where it sent one (W3C Trace Context). It is named by the route: no
// address, query, place or key is in it, as in the log. The attributes' names are OpenTelemetry's semantic conventions for HTTP.
func (s *service) trace(c *gin.Context) {
	ctx := propagation.TraceContext{}.Extract(c.Request.Context(), propagation.HeaderCarrier(c.Request.Header))
	route := c.FullPath()
	if route == "" {
		route = "none"
	}
	method := knownMethod(c.Request.Method)
	ctx, span := s.tracer.Start(ctx, method+" "+route, trace.WithSpanKind(trace.SpanKindServer), trace.WithAttributes(
		attribute.String("http.request.method", method), attribute.String("http.route", route)))
	defer span.End()
	c.Request = c.Request.WithContext(ctx)
	c.Next()
	status := c.Writer.Status()
	span.SetAttributes(attribute.Int("http.response.status_code", status), attribute.Int("http.response.body.size", max(c.Writer.Size(), 0)),
		attribute.String("mastworth.request_id", requestID(c)))
	if status >= http.StatusInternalServerError {
		span.SetStatus(otelcodes.Error, http.StatusText(status))
	}
}

// stage begins a stage of an estimate; what it returns ends it and tells how long it took, as a figure and as a span.
func (s *service) stage(ctx context.Context, name string) func() {
	began := time.Now()
	_, span := s.tracer.Start(ctx, "estimate: "+name)
	return func() {
		span.End()
		s.metrics.stages[name].UpdateDuration(began)
	}
}

// span begins a piece of work; what it returns ends it with what came of it.
func (s *service) span(ctx context.Context, name string) (context.Context, func(err error)) {
	ctx, span := s.tracer.Start(ctx, name)
	return ctx, func(err error) {
		if err != nil && !errors.Is(err, context.Canceled) {
			// The error's own words may hold a place or a name out of a file; its kind is enough here.
			span.SetStatus(otelcodes.Error, "failed")
		}
		span.End()
	}
}
