package main

import (
	"strconv"
	"time"

	"go.opentelemetry.io/otel/attribute"
	"go.opentelemetry.io/otel/codes"
	sdktrace "go.opentelemetry.io/otel/sdk/trace"
	"go.opentelemetry.io/otel/trace"
)

// What is sent, named as in opentelemetry/proto/trace/v1/trace.proto. Numbers of 64 bits are texts there, ids hexadecimal.
type (
	traceRequest struct {
		ResourceSpans []resourceSpans `json:"resourceSpans"`
	}
	resourceSpans struct {
		Resource   traceResource `json:"resource"`
		ScopeSpans []scopeSpans  `json:"scopeSpans"`
	}
	traceResource struct {
		Attributes []traceAttribute `json:"attributes"`
	}
	scopeSpans struct {
		Scope traceScope  `json:"scope"`
		Spans []traceSpan `json:"spans"`
	}
	traceScope struct {
		Name    string `json:"name"`
		Version string `json:"version,omitempty"`
	}
	traceSpan struct {
		TraceID    string           `json:"traceId"`
		SpanID     string           `json:"spanId"`
		ParentID   string           `json:"parentSpanId,omitempty"`
		State      string           `json:"traceState,omitempty"`
		Flags      uint32           `json:"flags"`
		Name       string           `json:"name"`
		Kind       int              `json:"kind"`
		Start      string           `json:"startTimeUnixNano"`
		End        string           `json:"endTimeUnixNano"`
		Attributes []traceAttribute `json:"attributes,omitempty"`
		Status     traceStatus      `json:"status"`
	}
	traceAttribute struct {
		Key   string     `json:"key"`
		Value traceValue `json:"value"`
	}
	traceValue struct {
		Text  *string  `json:"stringValue,omitempty"`
		Bool  *bool    `json:"boolValue,omitempty"`
		Int   *string  `json:"intValue,omitempty"`
		Float *float64 `json:"doubleValue,omitempty"`
	}
	traceStatus struct {
		Code    int    `json:"code,omitempty"`
		Message string `json:"message,omitempty"`
	}
)

// traceRequestOf is a batch as it is sent. All spans are of one program, so of one resource; they are put together by their scope.
func traceRequestOf(spans []sdktrace.ReadOnlySpan) traceRequest {
	if len(spans) == 0 {
		return traceRequest{}
	}
	out := resourceSpans{Resource: traceResource{attributesOf(spans[0].Resource().Attributes())}}
	place := map[string]int{}
	for _, s := range spans {
		scope := s.InstrumentationScope()
		i, ok := place[scope.Name]
		if !ok {
			i = len(out.ScopeSpans)
			place[scope.Name] = i
			out.ScopeSpans = append(out.ScopeSpans, scopeSpans{Scope: traceScope{scope.Name, scope.Version}})
		}
		out.ScopeSpans[i].Spans = append(out.ScopeSpans[i].Spans, spanOf(s))
	}
	return traceRequest{[]resourceSpans{out}}
}

func spanOf(s sdktrace.ReadOnlySpan) traceSpan {
	at := s.SpanContext()
	out := traceSpan{TraceID: at.TraceID().String(), SpanID: at.SpanID().String(), State: at.TraceState().String(), Flags: uint32(at.TraceFlags()),
		Name: s.Name(), Kind: int(s.SpanKind()), Start: nanoseconds(s.StartTime()), End: nanoseconds(s.EndTime()), Attributes: attributesOf(s.Attributes()),
		Status: traceStatus{statusCode(s.Status().Code), s.Status().Description}}
	if s.SpanKind() == trace.SpanKindUnspecified {
		out.Kind = int(trace.SpanKindInternal)
	}
	if p := s.Parent(); p.HasSpanID() {
		out.ParentID = p.SpanID().String()
	}
	return out
}

// statusCode is a state's number in the protocol, whose order is not the library's.
func statusCode(c codes.Code) int {
	switch c {
	case codes.Ok:
		return 1
	case codes.Error:
		return 2
	default:
		return 0
	}
}

func nanoseconds(t time.Time) string { return strconv.FormatInt(t.UnixNano(), 10) }

// attributesOf are attributes with values of one number or text each; any other is sent as text.
func attributesOf(list []attribute.KeyValue) []traceAttribute {
	out := make([]traceAttribute, 0, len(list))
	for _, a := range list {
		var v traceValue
		switch a.Value.Type() {
		case attribute.BOOL:
			b := a.Value.AsBool()
			v.Bool = &b
		case attribute.INT64:
			n := strconv.FormatInt(a.Value.AsInt64(), 10)
			v.Int = &n
		case attribute.FLOAT64:
			f := a.Value.AsFloat64()
			v.Float = &f
		default:
			s := a.Value.String()
			v.Text = &s
		}
		out = append(out, traceAttribute{string(a.Key), v})
	}
	return out
}
