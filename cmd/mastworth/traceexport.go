package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"strconv"
	"strings"
	"time"

	sdktrace "go.opentelemetry.io/otel/sdk/trace"
)

// traceExporter sends spans to a collector as OpenTelemetry's protocol has it over HTTP, in JSON (OTLP 1.0, "JSON Protobuf
// Encoding"). The library's own speaks protobuf with all of gRPC behind it, which is a twentieth of the whole program.
type traceExporter struct {
	endpoint string
	headers  http.Header
	client   *http.Client
}

// How often a batch is sent that a collector is too busy to take, and how long is waited at first, twice as long each time after.
const (
	traceTries = 4
	traceWait  = time.Second
	traceReply = 10 * time.Second // how long a collector may take to answer
)

func newTraceExporter(endpoint string) (*traceExporter, error) {
	headers, err := traceHeaders(os.Getenv("OTEL_EXPORTER_OTLP_TRACES_HEADERS"), os.Getenv("OTEL_EXPORTER_OTLP_HEADERS"))
	if err != nil {
		return nil, err
	}
	return &traceExporter{endpoint: endpoint, headers: headers, client: &http.Client{Timeout: traceReply}}, nil
}

// traceHeaders reads the first list that is set of names and escaped values, as OpenTelemetry's environment variables have them.
func traceHeaders(lists ...string) (http.Header, error) {
	out := http.Header{}
	for _, list := range lists {
		if list == "" {
			continue
		}
		for pair := range strings.SplitSeq(list, ",") {
			name, value, ok := strings.Cut(pair, "=")
			value, err := url.PathUnescape(strings.TrimSpace(value))
			if !ok || err != nil {
				return nil, fmt.Errorf("OTEL_EXPORTER_OTLP_HEADERS: %q is not name=value", name)
			}
			out.Set(strings.TrimSpace(name), value)
		}
		break
	}
	return out, nil
}

// ExportSpans sends a batch. It gives up with ctx, or when the collector refuses for good or too often.
func (e *traceExporter) ExportSpans(ctx context.Context, spans []sdktrace.ReadOnlySpan) error {
	var body bytes.Buffer
	packed := gzip.NewWriter(&body)
	if err := json.NewEncoder(packed).Encode(traceRequestOf(spans)); err != nil {
		return err
	}
	if err := packed.Close(); err != nil {
		return err
	}
	wait := traceWait
	for try := 1; ; try++ {
		again, after, err := e.send(ctx, body.Bytes())
		if err == nil || !again || try == traceTries {
			return err
		}
		select {
		case <-time.After(max(wait, after)):
			wait *= 2
		case <-ctx.Done():
			return err
		}
	}
}

// send makes one request; again is whether another may do better, after a while that the collector may have named.
func (e *traceExporter) send(ctx context.Context, body []byte) (again bool, after time.Duration, err error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, e.endpoint, bytes.NewReader(body))
	if err != nil {
		return false, 0, err
	}
	for name, values := range e.headers {
		r.Header[name] = values
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Content-Encoding", "gzip")
	answer, err := e.client.Do(r)
	if err != nil {
		return true, 0, err
	}
	defer answer.Body.Close()                                      //nolint:errcheck // only read
	_, _ = io.Copy(io.Discard, io.LimitReader(answer.Body, 1<<20)) // so that the connection can be used again
	if answer.StatusCode < 300 {
		return false, 0, nil
	}
	if s, err := strconv.Atoi(answer.Header.Get("Retry-After")); err == nil {
		after = min(time.Duration(s)*time.Second, time.Minute)
	}
	switch answer.StatusCode {
	case http.StatusTooManyRequests, http.StatusBadGateway, http.StatusServiceUnavailable, http.StatusGatewayTimeout:
		again = true
	}
	return again, after, fmt.Errorf("the collector answers %s", answer.Status)
}

// Shutdown ends it. Whatever is in hand was sent before.
func (e *traceExporter) Shutdown(context.Context) error {
	e.client.CloseIdleConnections()
	return nil
}
