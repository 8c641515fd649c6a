package document

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"

	"mastworth/openapi"
	"mastworth/resource/ingest"
	"mastworth/yield"
)

// orchard is a whole request, as a builder would write it.
const orchard = `
site:
  name: Orchard End
  latitude: 52.21            # degrees, north positive
  longitude: -1.44           # degrees, east positive
  elevation_m: 96
  ground: {roughness_m: 0.25, displacement_m: 0}
wind:
  weibull: {scale_m_s: 5.5, shape: 1.9, height_m: 10}
  measured_over: {cover: open}
shear: {method: auto, exponent: 0.2}
turbine:
  name: garden 2.4 m
  rotor_diameter_m: 2.4
  rated_power_w: 900
  regulation: furling
  power_curve: {air_density_kg_m3: 1.225, points: [[2.5, 0], [3, 12], [8, 430], [12, 9e2]]}
towers: [{hub_height_m: 12, cost: 650}, {hub_height_m: 18, cost: 1400}]
losses: {availability: 0.05, wiring: 0.03, conversion: 0.06, other: 0.03}
money:
  currency: EUR
  turbine_cost: 1900
  other_cost: 400
  yearly_cost: 80
  replacements: [{year: 10, cost: 350, what: bearings and blades}]
  life_years: 20
  discount_rate: 0.04
  price_per_kwh: 0.28
solar: {cost_per_kw: 1500, yearly_cost_per_kw: 15, life_years: 25, tilt_deg: best, azimuth_deg: 180, losses: 0.14}
seed: 7
`

func mustDecode(t testing.TB, text string, s Syntax) openapi.EstimateRequest {
	t.Helper()
	r, err := Decode([]byte(text), s)
	if err != nil {
		t.Fatalf("a sound document was refused: %v", err)
	}
	return r
}

func TestDecodeReachesTheDomain(t *testing.T) {
	r, ref := ToRequest(mustDecode(t, orchard, Auto))
	if len(ref.All()) > 0 {
		t.Error("there is no record, but a reference to one")
	}
	if s := r.Site; s.Name != "Orchard End" || s.LatitudeDeg != 52.21 || s.LongitudeDeg != -1.44 || s.ElevationM != 96 || s.Ground.RoughnessM != 0.25 {
		t.Errorf("site: %+v", s)
	}
	if w := r.Wind.Weibull; w == nil || w.ScaleMS != 5.5 || w.Shape != 1.9 || w.HeightM != 10 {
		t.Errorf("wind: %+v", w)
	}
	if g := r.Wind.MeasuredOver; g == nil || g.Cover != "open" || !math.IsNaN(g.RoughnessM) {
		t.Errorf("measured over: %+v", g)
	}
	want := []yield.Point{{SpeedMS: 2.5}, {SpeedMS: 3, PowerW: 12}, {SpeedMS: 8, PowerW: 430}, {SpeedMS: 12, PowerW: 900}}
	if c := r.Turbine; !reflect.DeepEqual(c.CurvePoints, want) || c.Regulation != yield.Furling || c.CurveDensity != 1.225 {
		t.Errorf("turbine: %+v", c)
	}
	if m := r.Money; m.Replacements[0].Year != 10 || m.Replacements[0].What != "bearings and blades" || m.LifeYears != 20 || m.PricePerKWh != 0.28 {
		t.Errorf("money: %+v", m)
	}
	if s := r.Solar; !s.BestTilt || !math.IsNaN(s.YieldKWhPerKW) || s.Losses != 0.14 || r.Seed != 7 {
		t.Errorf("solar: %+v, seed %d", s, r.Seed)
	}
}

// YAML has many ways to write a number.
func TestYAMLNumbers(t *testing.T) {
	for text, want := range map[string]float64{"18": 18, "18.": 18, "1.8e1": 18, "18e0": 18, "+18": 18, "0x12": 18, "018": 18, "1_8": 18, ".18e2": 18} {
		r, err := Decode([]byte(strings.Replace(orchard, "hub_height_m: 18", "hub_height_m: "+text, 1)), YAML)
		if err != nil || r.Towers.List[1].HubHeightM != want {
			t.Errorf("%s: %v, %v", text, r.Towers, err)
		}
	}
}

// The least that can be asked leaves everything else for the domain's defaults.
func TestDecodeLeavesAbsentFieldsAbsent(t *testing.T) {
	r, ref := ToRequest(mustDecode(t, `{"site":{"latitude":1,"longitude":2},"wind":{"record":{"id":"abc","height_m":12}},
		"turbine":{"rotor_diameter_m":2,"power_curve":{"points":[[3,0],[10,500]]}},
		"towers":[{"hub_height_m":12,"cost":0}],"money":{"turbine_cost":900}}`, JSON))
	for name, v := range map[string]float64{
		"elevation": r.Site.ElevationM, "roughness": r.Site.Ground.RoughnessM, "displacement": r.Site.Ground.DisplacementM,
		"exponent": r.Shear.Exponent, "rated": r.Turbine.RatedPowerW, "density": r.Turbine.CurveDensity,
		"wiring": r.Losses.Wiring, "yearly": r.Money.YearlyCost, "price": r.Money.PricePerKWh, "rate": r.Money.DiscountRate,
		"solar cost": r.Solar.CostPerKW, "tilt": r.Solar.TiltDeg, "azimuth": r.Solar.AzimuthDeg,
	} {
		if !math.IsNaN(v) {
			t.Errorf("%s is %g, not NaN", name, v)
		}
	}
	if r.Money.LifeYears != 0 || r.Turbine.Regulation != yield.Unregulated || r.Shear.Method != "" {
		t.Errorf("%+v", r)
	}
	if ref.Wind == nil || ref.Wind.ID != "abc" || ref.Wind.HeightM != 12 || r.Wind.Record == nil || r.Wind.Record.Ref != "abc" {
		t.Errorf("record: %+v, %+v", ref, r.Wind.Record)
	}
}

func TestRecordReadingOptions(t *testing.T) {
	text := strings.Replace(orchard, "weibull: {scale_m_s: 5.5, shape: 1.9, height_m: 10}", `record:
    file: winter.csv
    height_m: 12
    format: logger_csv
    columns:
      time: [{name: Stamp}]
      speed: [{name: WS, height_m: 10, unit: km/h}, {name: "3", height_m: 20}]
    only: [station=north]
    missing: [-999, NaN, ""]
    stamps_at: end
    utc_offset: +01:00
    delimiter: semicolon
    pulse: {slope_m_s_per_hz: 0.75, offset_m_s: 0.3}`, 1)
	_, err := Decode([]byte(text), YAML)
	var e *Error
	if !errors.As(err, &e) || e.Fields[0].Location != "wind.record.missing[2]" || !strings.HasPrefix(after(text, e.Fields[0].Line, e.Fields[0].Column), `""]`) {
		t.Fatalf("the empty code: %v", err)
	}
	_, ref := ToRequest(mustDecode(t, strings.Replace(text, `, ""]`, "]", 1), YAML))
	o := ref.Wind.Options
	want := []ingest.ColumnSpec{{Column: "Stamp", Quantity: "time"}, {Column: "WS", Quantity: "speed", HeightM: 10, Unit: "km/h"},
		{Column: "3", Quantity: "speed", HeightM: 20}}
	if !reflect.DeepEqual(o.Columns, want) {
		t.Errorf("columns: %+v", o.Columns)
	}
	if !reflect.DeepEqual(o.Missing, []string{"-999", "NaN"}) || o.StampsAt != ingest.StampsEnd || o.Delimiter != ';' ||
		o.UTCOffsetS == nil || *o.UTCOffsetS != 3600 || o.DefaultHeightM != 12 || o.Only["station"] != "north" || o.Pulse.SlopeMSPerHz != 0.75 {
		t.Errorf("options: %+v", o)
	}
	if ref.Wind.File != "winter.csv" || ref.Wind.Name() != "winter.csv" {
		t.Errorf("reference: %+v", ref)
	}
}

// What the echo says is a request of its own, and the same one.
func TestEchoIsTheSameRequest(t *testing.T) {
	for name, text := range map[string]string{
		"weibull": orchard,
		"mean":    strings.Replace(orchard, "weibull: {scale_m_s: 5.5, shape: 1.9, height_m: 10}", "mean: {speed_m_s: 5, height_m: 9}", 1),
		"record":  strings.Replace(orchard, "weibull: {scale_m_s: 5.5, shape: 1.9, height_m: 10}", "record: {file: a.csv, columns: {speed: [{name: v}]}}", 1),
	} {
		first, ref := ToRequest(mustDecode(t, text, YAML))
		echoed := FromRequest(&first, ref)
		for _, s := range []Syntax{JSON, YAML} {
			encode := EncodeJSON
			if s == YAML {
				encode = EncodeYAML
			}
			written, err := encode(echoed)
			if err != nil {
				t.Fatal(err)
			}
			again, ref2 := ToRequest(mustDecode(t, string(written), s))
			if a, b := FromRequest(&again, ref2), echoed; !reflect.DeepEqual(a, b) {
				t.Errorf("%s: the echo changes when it is read again:\n%s", name, written)
			}
		}
	}
}

// EncodeYAML is held against another reader of YAML.
func TestEncodeYAML(t *testing.T) {
	v := map[string]any{
		"plain": "bearings and blades", "word": "yes", "number": "12", "colon": "a: b", "empty": "", "line": "a\nb", "quote": `"x" \ é €`,
		"hash": "a #b", "dash": "- a", "minus": -1.5e-7, "null": nil, "list": []any{1, []any{2, "b"}}, "none": []any{}, "group": map[string]any{},
		"things": []any{map[string]any{"a": 1, "b": []any{map[string]any{"c": true}}}, "long " + strings.Repeat("x", 60)},
	}
	text, err := EncodeYAML(v)
	if err != nil {
		t.Fatal(err)
	}
	var got any
	if err := yaml.Unmarshal(text, &got); err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	a, err1 := json.Marshal(v)
	b, err2 := json.Marshal(got)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a, b) {
		t.Errorf("wrote\n%s\nwhich reads as\n%s\nnot\n%s", text, b, a)
	}
}

func BenchmarkDecodeJSON(b *testing.B) {
	first, _ := ToRequest(mustDecode(b, orchard, YAML))
	var buf bytes.Buffer
	if err := WriteJSON(&buf, FromRequest(&first, Refs{})); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(buf.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Decode(buf.Bytes(), JSON); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkDecodeEncodingJSON is what the standard library needs for the same bytes, less strictly.
func BenchmarkDecodeEncodingJSON(b *testing.B) {
	first, _ := ToRequest(mustDecode(b, orchard, YAML))
	var buf bytes.Buffer
	if err := WriteJSON(&buf, FromRequest(&first, Refs{})); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(buf.Len()))
	b.ReportAllocs()
	for b.Loop() {
		var r openapi.EstimateRequest
		d := json.NewDecoder(bytes.NewReader(buf.Bytes()))
		d.DisallowUnknownFields()
		if err := d.Decode(&r); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDecodeYAML(b *testing.B) {
	b.SetBytes(int64(len(orchard)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Decode([]byte(orchard), YAML); err != nil {
			b.Fatal(err)
		}
	}
}
