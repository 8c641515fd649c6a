package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/base64"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"google.golang.org/protobuf/encoding/protojson"

	collector "go.opentelemetry.io/proto/otlp/collector/trace/v1"
	tracev1 "go.opentelemetry.io/proto/otlp/trace/v1"
)

// collected reads a batch by the protocol's own definitions, to which a name they do not have is a fault. The protocol's ids are
// hexadecimal where the definitions' usual JSON is base64, which reads them as other bytes.
func collected(t *testing.T, r *http.Request) (spans []*tracev1.Span, about map[string]string) {
	t.Helper()
	unpacked, err := gzip.NewReader(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	b, err := io.ReadAll(unpacked)
	var in collector.ExportTraceServiceRequest
	if err != nil || r.URL.Path != "/v1/traces" || r.Header.Get("Content-Type") != "application/json" {
		t.Errorf("%s %s %v: %v", r.Method, r.URL, r.Header, err)
	}
	if err := protojson.Unmarshal(b, &in); err != nil {
		t.Errorf("%v: %s", err, b)
	}
	about = map[string]string{}
	for _, resource := range in.GetResourceSpans() {
		for _, a := range resource.GetResource().GetAttributes() {
			about[a.GetKey()] = a.GetValue().GetStringValue()
		}
		for _, scope := range resource.GetScopeSpans() {
			spans = append(spans, scope.GetSpans()...)
		}
	}
	return spans, about
}

// hexadecimal is an id as it was sent.
func hexadecimal(id []byte) string { return base64.StdEncoding.EncodeToString(id) }

// Spans leave as OTLP over HTTP to the path that standard names, below the caller's, the last of them when the service ends.
func TestTracesLeave(t *testing.T) {
	type batch struct {
		spans []*tracev1.Span
		about map[string]string
	}
	batches, refused := make(chan batch, 100), atomic.Bool{}
	stub := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !refused.Swap(true) { // the first time it is too busy
			w.WriteHeader(http.StatusServiceUnavailable)
			return
		}
		if r.Header.Get("X-Club") != "wind ward" {
			t.Errorf("headers %v", r.Header)
		}
		spans, about := collected(t, r)
		batches <- batch{spans, about}
	}))
	defer stub.Close()
	t.Setenv("OTEL_EXPORTER_OTLP_HEADERS", "x-club=wind%20ward")
	b := boot(t, "listens", "--database", t.TempDir()+"/a.db", "--trace-endpoint", stub.URL)
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, b.base+"/v1/sites", nil)
	if err != nil {
		t.Fatal(err)
	}
	const parent = "0af7651916cd43dd8448eb211c80319c"
	r.Header.Set("Traceparent", "00-"+parent+"-b7ad6b7169203331-01") // the example of W3C Trace Context
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	_ = answer.Body.Close()
	if code := b.stop(); code != 0 {
		t.Fatalf("it ended with %d", code)
	}
	select {
	case got := <-batches:
		if len(got.spans) == 0 || got.about["service.name"] != "mastworth" {
			t.Fatalf("%v", got)
		}
		s := got.spans[len(got.spans)-1]
		if s.GetName() != "GET /v1/sites" || s.GetKind() != tracev1.Span_SPAN_KIND_SERVER || hexadecimal(s.GetTraceId()) != parent ||
			hexadecimal(s.GetParentSpanId()) != "b7ad6b7169203331" || s.GetEndTimeUnixNano() < s.GetStartTimeUnixNano() {
			t.Errorf("%v", s)
		}
		for _, a := range s.GetAttributes() {
			if a.GetKey() == "http.response.status_code" && a.GetValue().GetIntValue() != 200 {
				t.Errorf("%v", a)
			}
		}
	case <-time.After(5 * time.Second):
		t.Error("no span left")
	}
}

func TestTraceHeaders(t *testing.T) {
	h, err := traceHeaders("", "a=1, b = x%2Cy,c=")
	if err != nil || h.Get("a") != "1" || h.Get("b") != "x,y" || len(h) != 3 {
		t.Errorf("%v, %v", h, err)
	}
	for _, bad := range []string{"a", "a=%zz"} {
		if _, err := traceHeaders(bad); err == nil {
			t.Errorf("%q is taken", bad)
		}
	}
}

// A collector that is not there costs nobody anything but a warning.
func TestNoCollector(t *testing.T) {
	b := boot(t, "listens", "--database", t.TempDir()+"/a.db", "--trace-endpoint", "http://127.0.0.1:1")
	if status, _ := getText(t, b.base+"/v1/sites"); status != http.StatusOK {
		t.Errorf("status %d", status)
	}
	if code := b.stop(); code != 0 {
		t.Errorf("it ended with %d", code)
	}
}

func TestLogFormats(t *testing.T) {
	write := func(format string) string {
		var out bytes.Buffer
		newLogger(format, &out).InfoContext(context.Background(), "request", "status", 200)
		return out.String()
	}
	var line map[string]any
	if err := json.Unmarshal([]byte(write(logJSON)), &line); err != nil || line["msg"] != "request" || line["status"] != 200.0 {
		t.Errorf("%v, %v", line, err)
	}
	if text := write(logText); !strings.Contains(text, "msg=request status=200") {
		t.Error(text)
	}
	if text := write(logOff); text != "" {
		t.Error(text)
	}
}
