package document

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"mastworth/openapi"
	"mastworth/yield/assess"
	"mastworth/yield/harvest"
)

// What reading a document may take of memory in all, garbage included. Parsers of YAML keep a token with its position and its
// origin for each character at worst.
const (
	fuzzBase     = 4 << 20
	fuzzMultiple = 4000
)

// bounded runs f and fails where it takes more memory than so many bytes are worth.
func bounded(t *testing.T, n int, f func()) {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	if took := after.TotalAlloc - before.TotalAlloc; took > fuzzBase+fuzzMultiple*uint64(n) {
		t.Fatalf("%d bytes took %d bytes of memory", n, took)
	}
}

// checkFaults fails unless an error is a document's, says something of each fault, and has no more of them than are told.
func checkFaults(t *testing.T, err error) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) || len(e.Fields) == 0 || len(e.Fields) > MaxFaults+1 {
		t.Fatalf("no document.Error with a few faults: %T %v", err, err)
	}
	for _, f := range e.Fields {
		if f.Detail == "" || f.Line < 0 || f.Column < 0 || !e.Malformed && f.Location == "" && f.Line == 0 {
			t.Fatalf("a fault that does not say what and where: %+v", f)
		}
	}
}

// FuzzDecodeJSON holds the reader against encoding/json: whatever it takes, that takes too, and to the same values.
func FuzzDecodeJSON(f *testing.F) {
	first, _ := ToRequest(mustDecode(f, orchard, YAML))
	sound, err := EncodeJSON(FromRequest(&first, Refs{}))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(sound)
	for _, s := range []string{`{"site":{"latitude":1e400}}`, `{"a":"\ud83d\ude00"}`, `[[[[`, `{"site":{"name":"\ud800"}}`, "\ufeff{}", `{"seed":NaN}`, `{"seed":01}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := Decode(data, JSON)
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || len(e.Fields) == 0 {
				t.Fatalf("no document.Error with fields: %v", err)
			}
			checkFar(t, data)
			return
		}
		var want openapi.EstimateRequest
		d := json.NewDecoder(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff"))))
		d.DisallowUnknownFields()
		if err := d.Decode(&want); err != nil {
			if strings.Contains(err.Error(), "cannot unmarshal number") { // 20.0 for a whole number
				return
			}
			t.Fatalf("taken, but encoding/json says %v", err)
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("read as\n%+v, by encoding/json as\n%+v", got, want)
		}
		again, ref := ToRequest(got)
		FromRequest(&again, ref)
	})
}

// checkFar fails unless the domain can look at what could be read of a document with faults.
func checkFar(t *testing.T, data []byte) {
	t.Helper()
	far, fault := DecodeFar(data, JSON)
	if fault.Malformed || far.Turbine.Design != nil { // a design is not looked at unless it is sound
		return
	}
	domain, _ := ToRequest(far)
	var invalid *assess.InvalidError
	if err := assess.Check(domain); err != nil && !errors.As(err, &invalid) {
		t.Fatal(err)
	}
}

// FuzzDecodeYAML looks for panics, for what takes more memory than it should, for texts that read differently when written again,
// and for those that mean something else as JSON.
func FuzzDecodeYAML(f *testing.F) {
	f.Add([]byte(orchard))
	for _, s := range []string{"a: &a [*a]", "? x\n: y", "- - - - a", "a: !!binary x", "<<: {a: 1}", "{a: b, a: c}", "%YAML 1.2\n---\na: 1", "a: .nan", "\t",
		"site: &s {latitude: 1, longitude: 2}\nwind: *s", "a: &a [1, 1, 1]\nb: &b [*a, *a, *a]\nc: &c [*b, *b, *b]\nd: [*c, *c, *c]", "&a b: *a", "a: &x\nb: *x",
		"wind: {mean: &m {speed_m_s: 5, height_m: 10}}\nsite: *m", "a: |\n  x\n  y", "a: >-\n  x\n\n  y", "a: 0x1F\nb: 0o17\nc: 1_000\nd: 012"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<15 {
			return
		}
		var got openapi.EstimateRequest
		var err error
		bounded(t, len(data), func() { got, err = Decode(data, YAML) })
		asJSON, anyErr := AsJSON(data, YAML)
		if anyErr != nil {
			checkFaults(t, anyErr)
		} else if !json.Valid(asJSON) {
			t.Fatalf("as JSON it is %s", asJSON)
		}
		if err != nil {
			checkFaults(t, err)
			return
		}
		text, err := EncodeYAML(got)
		if err != nil {
			t.Fatal(err)
		}
		again, err := Decode(text, YAML)
		if err != nil || !reflect.DeepEqual(got, again) {
			t.Fatalf("written as\n%s\nwhich reads as %+v (%v), not %+v", text, again, err, got)
		}
		if other, err := Decode(asJSON, JSON); anyErr != nil || err != nil || !reflect.DeepEqual(got, other) {
			t.Fatalf("as JSON it is\n%s\nwhich reads as %+v (%v, %v), not %+v", asJSON, other, anyErr, err, got)
		}
	})
}

// FuzzSiteMap gives arbitrary GeoJSON to a site, seen from an arbitrary mast: a fault names its place in the map; what is taken is
// as many obstacles and sectors as there may be, and its echo says the same as the map.
func FuzzSiteMap(f *testing.F) {
	for _, s := range []string{
		`{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point","coordinates":[-1.441,52.2105]},"properties":{"height_m":9,"width_m":4}}]}`,
		`{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"LineString","coordinates":[[-1.441,52.2105],[-1.442,52.2103]]},"properties":{"height_m":3,"porosity":0.5,"name":"hedge"}}]}`,
		`{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Polygon","coordinates":[[[-1.45,52.2],[-1.43,52.2],[-1.43,52.205],[-1.45,52.2]]]},"properties":{"cover":"open"}}]}`,
		`{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"MultiPolygon","coordinates":[[[[-1.45,52.2],[-1.43,52.2],[-1.43,52.22],[-1.45,52.2]]]]},"properties":{"roughness_m":0.3,"displacement_m":1}}]}`,
		`{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"GeometryCollection","geometries":[]},"properties":{"height_m":1e308}},null,{}]}`,
		`{"type":"FeatureCollection","features":[]}`, `{"type":"FeatureCollection","features":{}}`, `[]`, `{"type":1}`,
	} {
		f.Add([]byte(s), 52.21, -1.44)
		f.Add([]byte(s), -89.9999, 179.9999)
	}
	base := mustDecode(f, orchard, YAML)
	base.Site.Obstacles, base.Site.Ground = nil, nil
	f.Fuzz(func(t *testing.T, text []byte, latitude, longitude float64) {
		if len(text) > 1<<14 || !json.Valid(text) {
			return
		}
		in := base
		in.Site.Latitude, in.Site.Longitude = latitude, longitude
		in.Site.Map = (*openapi.SiteMap)(&text)
		var m mapped
		bounded(t, len(text), func() { m = readMap(*in.Site.Map, &in.Site) })
		for _, fault := range m.faults {
			if !strings.HasPrefix(fault.Location, atMap) || fault.Detail == "" {
				t.Fatalf("%+v", fault)
			}
		}
		if len(m.faults) > 0 || !(math.Abs(latitude) <= 90) || !(math.Abs(longitude) <= 180) {
			return
		}
		if len(m.obstacles) > maxObstacles || len(m.sectors) > 36 {
			t.Fatalf("%d obstacles, %d sectors", len(m.obstacles), len(m.sectors))
		}
		domain, refs := ToRequest(in)
		echo, err := EncodeJSON(FromRequest(&domain, refs))
		if err != nil {
			t.Fatal(err)
		}
		back, err := Decode(echo, JSON)
		if err != nil {
			t.Fatalf("the echo of %s is\n%s\nwhich cannot be read: %v", text, echo, err)
		}
		again, refs := ToRequest(back)
		if twice, err := EncodeJSON(FromRequest(&again, refs)); err != nil || !bytes.Equal(echo, twice) {
			t.Fatalf("%v: the echo\n%s\nis echoed as\n%s", err, echo, twice)
		}
		var invalid *assess.InvalidError
		if err := assess.Check(domain); err != nil && !errors.As(err, &invalid) {
			t.Fatal(err)
		}
	})
}

// FuzzParts gives arbitrary text to the readers of everything that is no whole request. What is taken reads the same when it is
// written again.
func FuzzParts(f *testing.F) {
	for _, s := range []string{
		`{"masses_g":[1200,1210.5,1190],"centres_m":[0.5,0.51,0.5],"rpm":300,"tip_radius_m":1.2}`,
		`{"public":true,"shown_as":"Windy Corner","show_costs":false}`,
		`{"latitude":52,"longitude":-1.5,"from_year":2010,"to_year":2012,"source":"isd","station":"033740-99999","name":"a"}`,
		`{"name":"member","scope":"write","days":30}`,
		`{"readings":[{"time":"2025-12-01T18:00:00+01:00","meter_kwh":12},{"time":"2026-01","energy_kwh":3,"from":"2025-12-01"}]}`,
		`{"readings":[{"time":"` + strings.Repeat("é", 21) + `","meter_kwh":1}]}`, // short enough in characters, too long in bytes
		"rotor_diameter_m: 2.4\npower_curve: {points: [[3, 0], [5, 100], [9, 500]]}",
		"rotor_diameter_m: 2.4\ntest_log: {record: {id: abc}, averaging_s: 60}",
		"design: {rotor: {diameter_m: 2.2, blades: 3, section: flat_plate, board: {root_chord_m: 0.1, tip_chord_m: 0.1}}, generator: {volts_per_rpm: 0.1, resistance_ohm: 1}, load: {battery: {volts: 24}}}",
	} {
		f.Add([]byte(s), true)
		f.Add([]byte(s), false)
	}
	f.Fuzz(func(t *testing.T, data []byte, asJSON bool) {
		s := YAML
		if asJSON {
			s = JSON
		}
		fixed(t, data, s, DecodeTurbine)
		fixed(t, data, s, DecodeBalance)
		fixed(t, data, s, DecodeClub)
		fixed(t, data, s, DecodeFetch)
		fixed(t, data, s, DecodeKey)
		if _, _, err := DecodeMachine(data, s); err != nil {
			checkFaults(t, err)
		}
		readings, err := DecodeReadings(data, s, 3600)
		if err != nil {
			checkFaults(t, err)
			return
		}
		for _, r := range readings {
			if !(r.KWh >= 0 && r.KWh <= harvest.MostKWh) || r.AtUnix == 0 || r.FromUnix != 0 && r.FromUnix >= r.AtUnix {
				t.Fatalf("%q gave %+v", data, r)
			}
		}
	})
}

// fixed fails unless what a reader takes is the same once written and read again, both ways it can be written.
func fixed[T any](t *testing.T, data []byte, s Syntax, decode func([]byte, Syntax) (T, error)) {
	t.Helper()
	got, err := decode(data, s)
	if err != nil {
		checkFaults(t, err)
		return
	}
	for syntax, encode := range map[Syntax]func(any) ([]byte, error){JSON: EncodeJSON, YAML: EncodeYAML} {
		text, err := encode(got)
		if err != nil {
			t.Fatal(err)
		}
		if again, err := decode(text, syntax); err != nil || !reflect.DeepEqual(got, again) {
			t.Fatalf("written as\n%s\nwhich reads as %+v (%v), not %+v", text, again, err, got)
		}
	}
}
