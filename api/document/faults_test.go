package document

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml"

	"mastworth/openapi"
	"mastworth/resource/ingest"
)

// Each case changes one thing of a sound document; the fault must be found at its place.
func TestFaultsAreNamed(t *testing.T) {
	for _, c := range []struct {
		name, old, new string
		location       string
		at             string // what stands there
		detail         string
	}{
		{"unknown field", "latitude: 52.21 ", "latitudes: 52.21 ", "site.latitudes", "latitudes", "did you mean latitude?"},
		{"unknown far field", "seed: 7", "colour: red", "colour", "colour", "known here are site, wind"},
		{"wrong case", "latitude: 52.21 ", "Latitude: 52.21 ", "site.Latitude", "Latitude", "did you mean latitude?"},
		{"unit left out", "elevation_m: 96", "elevation: 96", "site.elevation", "elevation", "did you mean elevation_m?"},
		{"text for a number", "latitude: 52.21 ", "latitude: north ", "site.latitude", "north", `must be a number, not the text "north"`},
		{"comma for a point", "latitude: 52.21 ", "latitude: '52,21' ", "site.latitude", "'52,21'", "written with a point and without quotes"},
		{"number for a group", "losses: {availability: 0.05, wiring: 0.03, conversion: 0.06, other: 0.03}", "losses: 0.1", "losses", "0.1", "a group of fields"},
		{"group for a list", "towers: [{hub_height_m: 12, cost: 650}, {hub_height_m: 18, cost: 1400}]", "towers: 12", "towers", "12", "must be a list of towers, or a rule"},
		{"missing", "  rotor_diameter_m: 2.4\n", "", "turbine.rotor_diameter_m", "name: garden", "is missing"},
		{"missing in a list", "cost: 650", "what: x", "towers[0].what", "what: x", "known here are hub_height_m, cost"},
		{"twice", "elevation_m: 96", "elevation_m: 96\n  latitude: 53", "site.latitude", "latitude: 53", "given twice"},
		{"not a number", "rated_power_w: 900", "rated_power_w: .nan", "turbine.rated_power_w", ".nan", "must be a finite number, not NaN"},
		{"infinite", "rated_power_w: 900", "rated_power_w: -.inf", "turbine.rated_power_w", "-.inf", "must be a finite number"},
		{"beyond a double", "rated_power_w: 900", "rated_power_w: 1e999", "turbine.rated_power_w", "1e999", "must be a finite number"},
		{"empty", "elevation_m: 96", "elevation_m:", "site.elevation_m", "elevation_m", "leave it out"},
		{"no word of the list", "regulation: furling", "regulation: furlin", "turbine.regulation", "furlin", "did you mean furling?"},
		{"broken year", "year: 10", "year: 10.5", "money.replacements[0].year", "10.5", "must be a whole number"},
		{"triple", "[3, 12]", "[3, 12, 1]", "turbine.power_curve.points[1]", "[3, 12, 1]", "must be a pair"},
		{"text in a curve", "[3, 12]", "[3, twelve]", "turbine.power_curve.points[1][1]", "twelve", "must be a number"},
		{"two winds", "weibull: {", "mean: {speed_m_s: 5, height_m: 10}\n  weibull: {", "wind", "mean:", "not mean and weibull"},
		{"no wind", "weibull: {scale_m_s: 5.5, shape: 1.9, height_m: 10}\n  ", "", "wind", "measured_over", "by one of record"},
		{"both grounds", "cover: open", "cover: open, roughness_m: 0.03", "wind.measured_over", "{cover", "not both"},
		{"no life", "life_years: 20", "life_years: 0", "money.life_years", "0\n", "from 1 to 60"},
		{"currency", "currency: EUR", "currency: €", "money.currency", "€", "letters"},
		{"seed", "seed: 7", "seed: -7", "seed", "-7", "must be from 0"},
		{"tilt", "tilt_deg: best", "tilt_deg: steep", "solar.tilt_deg", "steep", "or best"},
		{"file and id", "weibull: {scale_m_s: 5.5, shape: 1.9, height_m: 10}", "record: {file: a, id: b}", "wind.record", "{file", "one of the two"},
		{"options of an id", "weibull: {scale_m_s: 5.5, shape: 1.9, height_m: 10}", "record: {id: b, delimiter: tab}", "wind.record.delimiter", "tab", "has been read already"},
		{"column unit", "weibull: {scale_m_s: 5.5, shape: 1.9, height_m: 10}", "record: {file: a, columns: {sped: [{name: v}]}}", "wind.record.columns.sped", "sped", "did you mean speed?"},
		{"alias of nothing", "seed: 7", "seed: *x", "seed", "*x", "stands for nothing"},
		{"tag", "seed: 7", "seed: !!int 7", "seed", "!!int", "tags"},
		{"odd name", "seed: 7", `"a.b\n": 7`, `"a.b\n"`, "\"a.b", "not a known field"},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.TrimPrefix(strings.Replace(orchard, c.old, c.new, 1), "\n")
			if !strings.Contains(orchard, c.old) {
				t.Fatal("the case changes nothing")
			}
			_, err := Decode([]byte(text), YAML)
			var e *Error
			if !errors.As(err, &e) {
				t.Fatalf("taken: %v", err)
			}
			i := slices.IndexFunc(e.Fields, func(f FieldError) bool { return f.Location == c.location })
			if i < 0 {
				t.Fatalf("no fault at %s: %v", c.location, err)
			}
			f := e.Fields[i]
			if !strings.Contains(f.Detail, c.detail) {
				t.Errorf("got %v, want …%s…", f, c.detail)
			}
			if there := after(text, f.Line, f.Column); !strings.HasPrefix(there, c.at) {
				t.Errorf("line %d, column %d points at %.20q, not at %q", f.Line, f.Column, there, c.at)
			}
		})
	}
}

// after is the text from a line and column on.
func after(text string, line, column int) string {
	lines := strings.SplitAfter(text, "\n")
	if line < 1 || line > len(lines) || column < 1 || column > len(lines[line-1]) {
		return ""
	}
	runes := []rune(lines[line-1])
	return string(runes[column-1:])
}

// JSON that is broken is malformed, with the place where it breaks and the field it breaks in.
func TestMalformedJSON(t *testing.T) {
	for text, want := range map[string]string{
		``:                                      "(line 1, column 1): the document is empty",
		`{"site": {"latitude": 52.21,`:          "site.latitude (line 1, column 29): the document ends where a field's name",
		"{\n \"site\": {\"latitude\": 5x}}":     "site.latitude (line 2, column 24): this is no JSON: \"x\" where a comma",
		`{"seed": 07}`:                          "seed (line 1, column 10): this is no JSON: a number may not begin with 0",
		`{"seed": 1,}`:                          "seed (line 1, column 12): this is no JSON: a comma before",
		`{"seed": 1} {}`:                        "(line 1, column 13): there is text after the end",
		`{'seed': 1}`:                           "(line 1, column 2): this is no JSON: \"'\" where a field's name",
		`{"site": {"name": "a` + "\n" + `b"}}`:  "site.name (line 1, column 21): this is no JSON: a line break",
		`{"site": {"name": "\x41"}}`:            "site.name (line 1, column 20): this is no JSON: an escape",
		`{"site": {"name": "` + "\xff" + `"}}`:  "the text is not UTF-8",
		`{"a":` + strings.Repeat("[", 1000000):  "nested too deep",
		`{"a":[` + strings.Repeat("1,", 500000): "too many values",
		"\xff\xd8\xff\xe0\x00\x10JFIF":          "this is no JSON",
	} {
		_, err := Decode([]byte(text), JSON)
		var e *Error
		if !errors.As(err, &e) || !e.Malformed || !strings.Contains(err.Error(), want) {
			t.Errorf("%.40q: got %v, want …%s…", text, err, want)
		}
	}
	// What JSON lacks, but people write, is told at its place as any other fault.
	for _, word := range []string{"NaN", "Infinity", "-Infinity", "1e999", "null"} {
		_, err := Decode([]byte(`{"site": {"latitude": `+word+`, "longitude": 1}}`), JSON)
		var e *Error
		if !errors.As(err, &e) || e.Malformed || e.Fields[0].Location != "site.latitude" || e.Fields[0].Column != 23 {
			t.Errorf("%s: %v", word, err)
		}
	}
}

// YAML that is broken, or made to hurt, is refused at once.
func TestMalformedYAML(t *testing.T) {
	bomb := "a: &a [x, x, x, x, x, x, x, x, x, x]\n"
	for _, l := range []string{"b", "c", "d", "e", "f", "g", "h", "i"} {
		before := string(l[0] - 1)
		bomb += l + ": &" + l + " [*" + strings.Repeat(before+", *", 9) + before + "]\n"
	}
	for name, c := range map[string]struct{ text, want string }{
		"empty":         {"", "the document is empty"},
		"comment alone": {"# nothing", "the document is empty"},
		"bomb":          {bomb, "too many values"},
		"loop":          {"a: &a [*a]", "stands for nothing"},
		"two documents": {"seed: 1\n---\nseed: 2", "a second document"},
		"open bracket":  {"seed: [1, 2", "cannot be read as YAML"},
		"tab":           {"site:\n\tlatitude: 1", "cannot be read as YAML"},
		"flow depth":    {"a: " + strings.Repeat("[", 90000), "nested too deep"},
		"dash depth":    {strings.Repeat("- ", 40000) + "a", "nested too deep"},
		"too long":      {strings.Repeat("a: 1\n", 200000), "longer than 96 KiB"},
		"many keys":     {manyKeys(), "not a known field"},
		"picture":       {"\xff\xd8\xff\xe0\x00\x10JFIF", ""},
		"map key":       {"? {a: b}\n: 1", ""},
	} {
		began := time.Now()
		_, err := Decode([]byte(c.text), YAML)
		var e *Error
		if !errors.As(err, &e) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want …%s…", name, err, c.want)
		}
		// A tenth of that without the race detector; without limits it would be minutes.
		if d := time.Since(began); d > 20*time.Second {
			t.Errorf("%s took %s", name, d)
		}
	}
}

// manyKeys is the worst for the parser: its time grows with the square of the fields.
func manyKeys() string {
	var b strings.Builder
	for i := 0; b.Len() < maxYAMLBytes-20; i++ {
		fmt.Fprintf(&b, "k%d: 1\n", i)
	}
	return b.String()
}

// A document of faults is answered with a list one can read.
func TestFaultsAreBounded(t *testing.T) {
	var b strings.Builder
	for i := range 1000 {
		fmt.Fprintf(&b, "%s%d: 1\n", strings.Repeat("x", 80), i)
	}
	_, err := Decode([]byte(b.String()), YAML)
	var e *Error
	if !errors.As(err, &e) || len(e.Fields) != MaxFaults+1 || !strings.Contains(e.Fields[MaxFaults].Detail, "first 60") {
		t.Fatal(err)
	}
	if n := len(err.Error()); n > 20000 {
		t.Errorf("the message is %d bytes long", n)
	}
	if _, err = Decode(make([]byte, MaxBytes+1), Auto); err == nil || !strings.Contains(err.Error(), "longer than") {
		t.Error(err)
	}
}

func TestLocate(t *testing.T) {
	faults := Locate([]byte(orchard), YAML, []FieldError{
		{Location: "towers[1].hub_height_m"}, {Location: "turbine.power_curve.points[3][1]"}, {Location: "solar.yield_kwh_per_kw"}, {Location: "wind"},
	})
	for i, want := range []string{"18, cost", "9e2]", "{cost_per_kw", "weibull"} {
		if got := after(orchard, faults[i].Line, faults[i].Column); !strings.HasPrefix(got, want) {
			t.Errorf("%s is at %.20q, not at %q", faults[i].Location, got, want)
		}
	}
}

func TestSyntaxOf(t *testing.T) {
	for media, want := range map[string]Syntax{"": Auto, "application/json": JSON, "application/json; charset=UTF-8": JSON,
		"application/yaml": YAML, "text/x-yaml;charset=utf-8": YAML} {
		if got, ok := SyntaxOf(media); got != want || !ok {
			t.Errorf("%q: %v, %v", media, got, ok)
		}
	}
	for _, media := range []string{"text/plain", "application/x-www-form-urlencoded", "application/json; charset=latin1", ";"} {
		if _, ok := SyntaxOf(media); ok {
			t.Errorf("%q was taken", media)
		}
	}
}

// The words the reader knows are the contract's.
func TestEnumerationsAreTheContracts(t *testing.T) {
	var contract struct {
		Components struct{ Schemas map[string]any }
	}
	if err := yaml.Unmarshal(openapi.Spec(), &contract); err != nil {
		t.Fatal(err)
	}
	schema := func(name string, path ...string) map[string]any {
		s := contract.Components.Schemas[name].(map[string]any)
		for _, p := range path {
			s = s["properties"].(map[string]any)[p].(map[string]any)
		}
		return s
	}
	for typ, s := range map[reflect.Type]map[string]any{
		reflect.TypeFor[openapi.Cover]():                  schema("Cover"),
		reflect.TypeFor[openapi.ReliefShape]():            schema("Relief", "shape"),
		reflect.TypeFor[openapi.LongTermInputMethod]():    schema("LongTermInput", "method"),
		reflect.TypeFor[openapi.ShearInputMethod]():       schema("ShearInput", "method"),
		reflect.TypeFor[openapi.TurbineInputRegulation](): schema("TurbineInput", "regulation"),
		reflect.TypeFor[openapi.RecordFormat]():           schema("RecordFormat"),
		reflect.TypeFor[openapi.StampsAt]():               schema("StampsAt"),
		reflect.TypeFor[openapi.SpeedUnit]():              schema("SpeedUnit"),
		reflect.TypeFor[openapi.Delimiter]():              schema("Delimiter"),
		reflect.TypeFor[openapi.DateOrder]():              schema("DateOrder"),
	} {
		var words []string
		for _, w := range s["enum"].([]any) {
			words = append(words, w.(string))
		}
		if !slices.Equal(words, enumerations[typ]) {
			t.Errorf("%s: the contract says %q, the reader %q", typ, words, enumerations[typ])
		}
	}
	if got := enumerations[reflect.TypeFor[openapi.RecordFormat]()]; !sameSet(got, ingest.Formats()) {
		t.Errorf("the contract has the formats %q, the readers are %q", got, ingest.Formats())
	}
}

func sameSet(a, b []string) bool {
	a, b = slices.Clone(a), slices.Clone(b)
	slices.Sort(a)
	slices.Sort(b)
	return slices.Equal(a, b)
}
