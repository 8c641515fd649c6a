package api

import (
	"context"
	"net/http"
	"strings"
	"testing"

	sdktrace "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/sdk/trace/tracetest"
)

// A request's spans lie below its caller's, name the route and the stages, and hold nothing of what was asked for.
func TestTraces(t *testing.T) {
	seen := tracetest.NewSpanRecorder()
	provider := sdktrace.NewTracerProvider(sdktrace.WithSpanProcessor(seen))
	t.Cleanup(func() { _ = provider.Shutdown(context.Background()) })
	f := newFixture(t, func(o *Options) { o.Tracer = provider })
	const caller = "0af7651916cd43dd8448eb211c80319c" // of the example in W3C Trace Context, section 3.2
	f.do("POST", "/v1/estimates", exampleJSON(t, "MeanWind"), header{"Content-Type", "application/json"},
		header{"Traceparent", "00-" + caller + "-b7ad6b7169203331-01"}).want(http.StatusOK)
	f.do("GET", "/v1/sites/secret-place?latitude=52.1234", nil).want(http.StatusBadRequest)
	f.do("GET", "/nowhere/52.1234", nil).want(http.StatusNotFound)

	var names []string
	for _, span := range seen.Ended() {
		names = append(names, span.Name())
		for _, a := range span.Attributes() {
			if text := a.Value.String(); strings.Contains(text, "secret") || strings.Contains(text, "52.") {
				t.Errorf("%s: %s is %s", span.Name(), a.Key, text)
			}
		}
	}
	want := "estimate: load, estimate: work, estimate: write, POST /v1/estimates, GET /v1/sites/:id, GET none"
	if got := strings.Join(names, ", "); got != want {
		t.Errorf("spans %s, want %s", got, want)
	}
	root := seen.Ended()[3]
	if root.SpanContext().TraceID().String() != caller || !root.Parent().IsRemote() {
		t.Errorf("the caller's trace is not followed: %s", root.SpanContext().TraceID())
	}
	for _, stage := range seen.Ended()[:3] {
		if stage.Parent().SpanID() != root.SpanContext().SpanID() {
			t.Errorf("%s does not lie below its request", stage.Name())
		}
	}
	if log := f.log.String(); !strings.Contains(log, "trace="+caller) {
		t.Errorf("the log does not name the trace: %s", log)
	}
}
