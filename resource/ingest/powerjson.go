package ingest

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"mastworth/resource"
)

// powerAnswer is a JSON answer of NASA POWER, as far as it is read. An older version of the service wraps the feature
// into a list and calls the parameters' units parameterInformation.
type powerAnswer struct {
	powerFeature
	Features    []powerFeature       `json:"features"`
	Header      json.RawMessage      `json:"header"` // an object; a sentence when the service refused
	Messages    json.RawMessage      `json:"messages"`
	Parameters  map[string]powerUnit `json:"parameters"`
	Information map[string]powerUnit `json:"parameterInformation"`
}

type powerFeature struct {
	Geometry struct {
		Coordinates []float64 `json:"coordinates"` // longitude, latitude, elevation
	} `json:"geometry"`
	Properties struct {
		Parameter map[string]json.RawMessage `json:"parameter"`
	} `json:"properties"`
}

type powerUnit struct {
	Units string `json:"units"`
}

// powerAnswerHeader is the header's object in either version.
type powerAnswerHeader struct {
	Title         string      `json:"title"`
	Range         string      `json:"range"` // of a climatology (from memory)
	FillValue     json.Number `json:"fill_value"`
	OldFillValue  json.Number `json:"fillValue"`
	TimeStandard  string      `json:"time_standard"`
	TimeStandard1 string      `json:"time-standard"`
}

func looksPowerJSON(head []byte) bool {
	head = bytes.TrimLeft(head, " \t\r\n")
	if len(head) == 0 || head[0] != '{' {
		return false
	}
	return bytes.Contains(head, []byte(`"parameter"`)) && bytes.Contains(head, []byte(`"properties"`)) ||
		bytes.Contains(head, []byte(`"header"`)) && bytes.Contains(head, []byte("POWER"))
}

// powerList is one parameter's values by the digits of their stamps.
type powerList struct {
	name   string
	column column
	keys   []int64 // YYYYMMDD or YYYYMMDDHH
	digits int     // in the keys
	values []float64
}

// readPowerJSON reads the hourly and daily answers of NASA POWER in JSON: for each parameter the values by stamp, such
// as 2024010123. Stamps mark the beginning of the step, in UTC or local solar time.
func readPowerJSON(in *input) (*resource.Series, error) {
	answer, h, fill, err := decodePower(in)
	if err != nil {
		return nil, err
	}
	lists, err := answer.lists(in, h)
	if err != nil {
		return nil, err
	}
	keys := unionKeys(lists)
	if len(keys) == 0 {
		return nil, &ReadError{Reason: "the answer holds no values", Remedy: "ask for other dates"}
	}
	if most := in.o.MaxRows; int64(len(keys)) > DefaultMaxRows || most > 0 && int64(len(keys)) > most {
		return nil, &ReadError{Reason: fmt.Sprintf("the record has more rows, %d, than are taken", len(keys)), Remedy: "ask for fewer years at a time"}
	}
	t := newTable(0, 0)
	var channels []channel
	for i := range lists {
		l := &lists[i]
		ch := channel{name: l.name, quantity: l.column.quantity, heightM: l.column.heightM, unit: *l.column.unit, slope: 1, report: i, field: i}
		ch.prepare(in.o, '.')
		t.values = append(t.values, chunks[float64]{last: l.onto(keys, &ch, fill)})
		channels = append(channels, ch)
	}
	if err := t.powerStamps(in.rep, keys, lists[0].digits); err != nil {
		return nil, err
	}
	return h.jsonSeries(in, t, channels, lists[0].digits == 8)
}

// jsonSeries settles the table and makes the Series.
func (h *powerHeader) jsonSeries(in *input, t *table, channels []channel, daily bool) (*resource.Series, error) {
	a := t.settle(in.rep, 0)
	if len(a.times) == 0 {
		return nil, &ReadError{Reason: "none of the stamps is a date", Remedy: "ask the service again"}
	}
	if a.step == 0 {
		if a.step = 3600; daily {
			a.step = secondsPerDay
		}
		in.rep.StepS = a.step
	}
	clock, local := h.clocks(in)
	a.shift(-clock)
	s := &resource.Series{Times: a.times, StepS: a.step, UTCOffsetS: orElse(in.o.UTCOffsetS, local), Kind: kindOf(a.step), Place: h.place(),
		Attribution: powerAttribution}
	for i := range channels {
		c := &channels[i]
		in.rep.Columns[i].Missing, in.rep.Columns[i].Problems = c.missing, c.problems
		s.Channels = append(s.Channels, resource.Channel{Name: c.name, Quantity: c.quantity, HeightM: c.heightM, Values: a.values[i]})
	}
	if s.Kind == resource.Daily {
		in.rep.assume(tooSmooth, duration(s.StepS))
	}
	in.rep.assume("%s", powerCell)
	return s, nil
}

// decodePower reads the whole answer, and turns what the service says in place of one into an error.
func decodePower(in *input) (*powerAnswer, *powerHeader, float64, error) {
	body, err := wholeBody(in, "ask for fewer years at a time")
	if err != nil {
		return nil, nil, 0, err
	}
	var f powerAnswer
	if err := json.Unmarshal(body, &f); err != nil {
		return nil, nil, 0, brokenJSON(body, err)
	}
	if len(f.Features) > 1 {
		return nil, nil, 0, &ReadError{Reason: fmt.Sprintf("the answer is of %d places", len(f.Features)), Remedy: "ask the service for one point"}
	}
	if len(f.Features) == 1 {
		f.powerFeature = f.Features[0]
	}
	if len(f.Properties.Parameter) == 0 {
		return nil, nil, 0, &ReadError{Reason: fmt.Sprintf("the service answered without values: %.200s", f.says()),
			Remedy: "ask it again, otherwise"}
	}
	var head powerAnswerHeader
	if len(f.Header) > 0 {
		if err := json.Unmarshal(f.Header, &head); err != nil {
			return nil, nil, 0, &ReadError{Reason: "the header of the answer cannot be read", Remedy: "ask the service again"}
		}
	}
	fill := -999.0
	for _, n := range []json.Number{head.FillValue, head.OldFillValue} {
		if v, err := n.Float64(); err == nil {
			fill = v
		}
	}
	h := &powerHeader{title: head.Title, lat: math.NaN(), lon: math.NaN(), elevM: math.NaN(), units: map[string]string{}, period: inBrackets(head.Range)}
	h.solar = head.TimeStandard == "LST" || head.TimeStandard1 == "LST"
	if c := f.Geometry.Coordinates; len(c) >= 2 && math.Abs(c[0]) <= 180 && math.Abs(c[1]) <= 90 {
		h.lon, h.lat = c[0], c[1]
		if len(c) > 2 && math.Abs(c[2]) < 9000 {
			h.elevM = c[2]
		}
	}
	for _, units := range []map[string]powerUnit{f.Information, f.Parameters} {
		for name, u := range units {
			h.units[name] = u.Units
		}
	}
	return &f, h, fill, nil
}

// says is what the service says in place of values.
func (f *powerAnswer) says() string {
	var words []string
	var sentence string
	if json.Unmarshal(f.Header, &sentence) == nil && sentence != "" {
		words = append(words, sentence)
	}
	var messages []string
	if json.Unmarshal(f.Messages, &messages) == nil {
		words = append(words, messages...)
	}
	slices.Reverse(words) // the messages say more than the header's set phrase
	if len(words) == 0 {
		return "nothing is said about it"
	}
	return fmt.Sprintf("%q", strings.Join(words, " "))
}

// wholeBody reads all there is, for formats that do not go by lines.
func wholeBody(in *input, remedy string) ([]byte, error) {
	var body bytes.Buffer
	for {
		b, ok := in.src.rest()
		if !ok {
			break
		}
		if body.Write(b); body.Len() > mostJSONBytes {
			return nil, &ReadError{Reason: fmt.Sprintf("the content is larger than %d bytes", mostJSONBytes), Remedy: remedy}
		}
	}
	return body.Bytes(), in.src.broken()
}

// brokenJSON is the error for JSON that cannot be read.
func brokenJSON(body []byte, err error) error {
	e := &ReadError{Reason: "the JSON cannot be read: " + err.Error(), Remedy: "ask the service again"}
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		at := min(int(syntax.Offset), len(body))
		e.Line = 1 + bytes.Count(body[:at], []byte{'\n'})
		if at >= len(bytes.TrimRight(body, " \t\r\n")) {
			e.Reason = "the JSON ends before it is whole"
		}
	}
	if errors.Is(err, io.ErrUnexpectedEOF) {
		e.Reason = "the JSON ends before it is whole"
	}
	return e
}

// lists takes the parameters that are read, wind first, and lists all in the report.
func (f *powerAnswer) lists(in *input, h *powerHeader) ([]powerList, error) {
	var names []string
	for name := range f.Properties.Parameter {
		names = append(names, name)
	}
	slices.Sort(names)
	var lists []powerList
	var unused []ColumnReport
	for i, name := range names {
		c := column{heightM: math.NaN()}
		h.describe(&c, name)
		r := ColumnReport{Number: i + 1, Name: name, HeightM: c.heightM, How: c.how}
		if !c.measured() {
			unused = append(unused, r)
			continue
		}
		r.Quantity, r.Unit = c.quantity.String(), ""
		if c.unit == nil {
			c.unit = baseUnit(c.quantity)
		}
		r.Unit = c.unit.name
		l := powerList{name: name, column: c}
		if err := l.parse(f.Properties.Parameter[name]); err != nil {
			return nil, err
		}
		in.rep.Columns = append(in.rep.Columns, r)
		lists = append(lists, l)
	}
	in.rep.Columns = append(in.rep.Columns, unused...)
	if len(lists) == 0 {
		return nil, &ReadError{Reason: "none of its parameters is used here: " + some(names, 10), Remedy: "ask the service for WS10M, WS50M and WD50M"}
	}
	for i := range lists {
		if lists[i].digits != lists[0].digits {
			return nil, &ReadError{Reason: "the parameters have stamps of different kinds", Remedy: "ask the service again"}
		}
	}
	return lists, nil
}
