package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	collector "go.opentelemetry.io/proto/otlp/collector/trace/v1"
)

// Spans leave as OTLP over HTTP to the path that standard names, the last of them when the service ends.
func TestTracesLeave(t *testing.T) {
	names := make(chan string, 100)
	stub := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		var body io.Reader = r.Body
		if r.Header.Get("Content-Encoding") == "gzip" {
			body, _ = gzip.NewReader(r.Body)
		}
		b, err := io.ReadAll(body)
		var in collector.ExportTraceServiceRequest
		if err != nil || proto.Unmarshal(b, &in) != nil || r.URL.Path != "/v1/traces" {
			t.Errorf("%s %s: %v", r.Method, r.URL, err)
		}
		for _, resource := range in.GetResourceSpans() {
			for _, scope := range resource.GetScopeSpans() {
				for _, span := range scope.GetSpans() {
					names <- span.GetName()
				}
			}
		}
		w.Header().Set("Content-Type", "application/x-protobuf")
	}))
	defer stub.Close()
	b := boot(t, "listens", "--database", t.TempDir()+"/a.db", "--trace-endpoint", stub.URL)
	getText(t, b.base+"/v1/sites")
	if code := b.stop(); code != 0 {
		t.Fatalf("it ended with %d", code)
	}
	select {
	case name := <-names:
		if name != "GET /v1/sites" {
			t.Errorf("the span is called %q", name)
		}
	case <-time.After(5 * time.Second):
		t.Error("no span left")
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
