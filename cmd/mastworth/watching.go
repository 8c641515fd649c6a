package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net/url"
	"time"

	"go.opentelemetry.io/otel"
	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/sdk/resource"
	sdktrace "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/trace"
)

// The ways to write a line of the log.
const (
	logJSON = "json"
	logText = "text"
	logOff  = "off"
)

func newLogger(format string, w io.Writer) *slog.Logger {
	switch format {
	case logText:
		return slog.New(slog.NewTextHandler(w, nil))
	case logOff:
		return slog.New(slog.DiscardHandler)
	default:
		return slog.New(slog.NewJSONHandler(w, nil))
	}
}

// traceGrace is how long the service waits at its end for the last spans to leave.
const traceGrace = 5 * time.Second

// newTracer sends spans to a collector, in batches and beside the requests, so that a collector that is slow or gone costs nobody
// a request; end sends what is left. Without an endpoint nothing is traced. OpenTelemetry's own environment variables for
// headers, sampling and batches count too.
func newTracer(ctx context.Context, endpoint string, logger *slog.Logger) (p trace.TracerProvider, end func(), err error) {
	if endpoint == "" {
		return nil, func() {}, nil
	}
	at, err := url.Parse(endpoint)
	if err == nil && (at.Path == "" || at.Path == "/") {
		at = at.JoinPath("v1", "traces") // OTLP's own path, below an address that names none
	}
	if err != nil {
		return nil, nil, fmt.Errorf("trace_endpoint: %w", err)
	}
	exporter, err := newTraceExporter(at.String())
	if err != nil {
		return nil, nil, err
	}
	about, err := resource.Merge(resource.Default(), resource.NewSchemaless(
		attribute.String("service.name", "mastworth"), attribute.String("service.version", version)))
	if err != nil {
		return nil, nil, fmt.Errorf("trace_endpoint: %w", err)
	}
	otel.SetErrorHandler(otel.ErrorHandlerFunc(func(err error) { logger.Warn("traces do not leave", "error", err) }))
	provider := sdktrace.NewTracerProvider(sdktrace.WithBatcher(exporter), sdktrace.WithResource(about))
	return provider, func() {
		grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), traceGrace)
		defer cancel()
		if err := provider.Shutdown(grace); err != nil {
			logger.Warn("the last traces did not leave", "error", err)
		}
	}, nil
}
