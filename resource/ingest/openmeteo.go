package ingest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"mastworth/resource"
)

// openMeteoFile is the answer of the service's archive, as far as it is read.
type openMeteoFile struct {
	Latitude   float64                    `json:"latitude"`
	Longitude  float64                    `json:"longitude"`
	Elevation  *float64                   `json:"elevation"`
	UTCOffsetS int64                      `json:"utc_offset_seconds"`
	Units      map[string]string          `json:"hourly_units"`
	Hourly     map[string]json.RawMessage `json:"hourly"`
	Error      bool                       `json:"error"`
	Reason     string                     `json:"reason"`
}

// mostJSONBytes bounds what is held in memory: a century of hourly data with ten variables.
const mostJSONBytes = 128 << 20

func looksOpenMeteo(head []byte) bool {
	head = bytes.TrimLeft(head, " \t\r\n")
	return len(head) > 0 && head[0] == '{' && (bytes.Contains(head, []byte(`"hourly`)) || bytes.Contains(head, []byte(`"daily_units"`)) ||
		bytes.Contains(head, []byte(`"error"`)) && bytes.Contains(head, []byte(`"reason"`)))
}

// readOpenMeteo reads the hourly part of an Open-Meteo answer. Its irradiances are means over the hour before the
// stamp, so they are moved one step back against the wind, which is told for the stamp itself.
func readOpenMeteo(in *input) (*resource.Series, error) {
	f, err := decodeOpenMeteo(in)
	if err != nil {
		return nil, err
	}
	table, channels, err := f.table(in)
	if err != nil {
		return nil, err
	}
	offset := orElse(in.o.UTCOffsetS, f.UTCOffsetS)
	a := table.settle(in.rep, 0)
	if len(a.times) == 0 {
		return nil, &ReadError{Reason: "the answer holds no hours", Remedy: "ask for other dates"}
	}
	if a.step == 0 {
		a.step, in.rep.StepS = 3600, 3600
	}
	a.shift(-f.UTCOffsetS)
	s := &resource.Series{Times: a.times, StepS: a.step, UTCOffsetS: offset, Kind: kindOf(a.step),
		Place: f.place(), Attribution: openMeteoAttribution}
	for i := range channels {
		c := &channels[i]
		if unitOf(c.quantity) == irradianceUnit {
			a.values[i] = backOneStep(a, a.values[i])
			in.rep.assume("%s", irradianceBack)
		}
		in.rep.Columns[c.report].Missing, in.rep.Columns[c.report].Problems = c.missing, c.problems
		s.Channels = append(s.Channels, resource.Channel{Name: c.name, Quantity: c.quantity, HeightM: c.heightM, Values: a.values[i]})
	}
	if f.UTCOffsetS != 0 && in.o.UTCOffsetS == nil {
		in.rep.assume(openMeteoLocal, offsetWords(offset))
	}
	in.rep.assume("%s", openMeteoCell)
	return s, nil
}

func decodeOpenMeteo(in *input) (*openMeteoFile, error) {
	body, err := wholeBody(in, "ask for fewer years at a time")
	if err != nil {
		return nil, err
	}
	var f openMeteoFile
	if err := json.Unmarshal(body, &f); err != nil {
		return nil, brokenJSON(body, err)
	}
	switch {
	case f.Error:
		return nil, &ReadError{Reason: fmt.Sprintf("the service answered with an error: %.200q", f.Reason), Remedy: "ask it again, otherwise"}
	case math.Abs(f.Latitude) > 90 || math.Abs(f.Longitude) > 180:
		return nil, &ReadError{Reason: "latitude and longitude are out of range", Remedy: "ask the service again"}
	case !goodOffset(f.UTCOffsetS):
		return nil, &ReadError{Reason: fmt.Sprintf("utc_offset_seconds is %d, more than 14 hours", f.UTCOffsetS), Remedy: "ask the service again"}
	case len(f.Hourly) == 0:
		return nil, &ReadError{Reason: "there is no hourly part in it", Remedy: "ask the service for hourly variables, such as wind_speed_10m"}
	}
	return &f, nil
}

// table makes rows of the arrays.
func (f *openMeteoFile) table(in *input) (*table, []channel, error) {
	stamps, err := f.stamps()
	if err != nil {
		return nil, nil, err
	}
	names := make([]string, 0, len(f.Hourly))
	for name := range f.Hourly {
		if name != "time" {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	var channels []channel
	t := newTable(0, len(stamps))
	for i, name := range names {
		c := describe(name, f.Units[name])
		r := ColumnReport{Number: i + 1, Name: name, HeightM: c.heightM, How: c.how}
		if r.How == "" {
			r.How = "not used: nothing known in its name"
		}
		var values []*float64
		if c.measured() {
			if err := json.Unmarshal(f.Hourly[name], &values); err != nil || len(values) != len(stamps) {
				return nil, nil, &ReadError{Reason: fmt.Sprintf("hourly.%s is no list of %d numbers, as the stamps are", name, len(stamps)),
					Remedy: "ask the service again"}
			}
			if c.unit == nil {
				c.unit = baseUnit(c.quantity)
			}
			ch := channel{name: name, quantity: c.quantity, heightM: c.heightM, unit: *c.unit, slope: 1, report: i, field: i}
			ch.prepare(in.o, '.')
			col := reserve[float64](len(values))
			for _, v := range values {
				x := math.NaN()
				if v == nil {
					ch.missing++
				} else {
					x, _ = ch.take(*v)
				}
				col.add(x)
			}
			channels = append(channels, ch)
			t.values = append(t.values, col)
			r.Quantity, r.Unit, r.How = c.quantity.String(), c.unit.name, "by its name"
		}
		in.rep.Columns = append(in.rep.Columns, r)
	}
	if len(channels) == 0 {
		return nil, nil, &ReadError{Reason: "none of its variables is used here", Remedy: "ask the service for wind_speed_10m or wind_speed_100m"}
	}
	for i, s := range stamps {
		t.row(s, i+1)
	}
	in.rep.Rows = int64(len(stamps))
	return t, channels, nil
}

// stamps reads the times: ISO text, or Unix seconds, in the answer's local time either way.
func (f *openMeteoFile) stamps() ([]int64, error) {
	bad := &ReadError{Reason: "hourly.time is no list of dates and times", Remedy: "ask the service again"}
	var words []string
	if json.Unmarshal(f.Hourly["time"], &words) == nil {
		c := newClock()
		out := make([]int64, len(words))
		for i, w := range words {
			s, ok := parseStamp([]byte(w))
			if ok = ok && s.order == orderYMD && !s.zoned; ok {
				out[i], ok = c.place(&s)
			}
			if !ok {
				return nil, bad
			}
		}
		return out, nil
	}
	var seconds []*int64
	if json.Unmarshal(f.Hourly["time"], &seconds) != nil {
		return nil, bad
	}
	out := make([]int64, len(seconds))
	for i, s := range seconds {
		if s == nil || *s < -5.4e9 || *s > 7.3e9 {
			return nil, bad
		}
		out[i] = *s + f.UTCOffsetS // Unix seconds are UTC; the caller takes the offset off again
	}
	return out, nil
}

// backOneStep gives each stamp the value of the one a step later.
func backOneStep(a *axis, values []float64) []float64 {
	out := make([]float64, len(values))
	for i := range out {
		out[i] = math.NaN()
		if i+1 < len(values) && a.times[i+1] == a.times[i]+a.step {
			out[i] = values[i+1]
		}
	}
	return out
}
