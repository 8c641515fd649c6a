package api

import (
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"

	"mastworth/storage"
)

// violation is a sound document with one constraint of the contract broken.
type violation struct {
	doc        any
	constraint string // schema path and keyword, such as "site.latitude maximum"
	location   string // where the answer must say it is
}

// violator walks a document and its schema together and breaks each constraint in turn.
type violator struct {
	root any
	out  []violation
}

// violations breaks every constraint that bears on a document, one at a time.
func violations(tb testing.TB, schema *openapi3.Schema, doc any) []violation {
	tb.Helper()
	v := &violator{root: doc}
	v.walk(schema, doc, "", "", func(x any) any { return x })
	return v.out
}

// add notes the document with what is at the walker's place replaced.
func (v *violator) add(replace func(any) any, value any, constraint, location string) {
	v.out = append(v.out, violation{doc: replace(value), constraint: constraint, location: location})
}

// walk breaks what schema says of value. at is the place in the document, path the place in the schema, and replace makes
// the whole document with value replaced.
func (v *violator) walk(schema *openapi3.Schema, value any, at, path string, replace func(any) any) {
	broken := func(keyword string, value any) { v.add(replace, value, path+" "+keyword, at) }
	broken("nullable", nil)
	if len(schema.OneOf) > 0 && schema.Type == nil { // a number or a word, a list or a group
		v.walkChoice(schema, value, path, at, replace)
		return
	}
	switch {
	case schema.Type.Is("object"):
		broken("type", []any{})
		v.walkObject(schema, value.(map[string]any), at, path, replace)
	case schema.Type.Is("array"):
		broken("type", map[string]any{})
		v.walkArray(schema, value.([]any), at, path, replace)
	case schema.Type.Is("number"), schema.Type.Is("integer"):
		broken("type", "12")
		if schema.Type.Is("integer") {
			broken("type integer", 1.5)
		}
		v.breakNumber(schema, broken)
	case schema.Type.Is("boolean"):
		broken("type", "true")
	case schema.Type.Is("string"):
		broken("type", 12)
		for keyword, text := range badTexts(schema) {
			broken(keyword, text)
		}
	default:
		panic("a schema of the request that the test cannot break: " + path)
	}
}

func (v *violator) walkChoice(schema *openapi3.Schema, value any, path, at string, replace func(any) any) {
	v.add(replace, true, path+" oneOf", at)
	for _, s := range schema.OneOf {
		if s.Value.Type.Is("array") || s.Value.Type.Is("object") {
			switch value := value.(type) {
			case []any:
				if s.Value.Type.Is("array") {
					v.walkArray(s.Value, value, at, path, replace)
				}
			case map[string]any:
				if s.Value.Type.Is("object") {
					v.walkObject(s.Value, value, at, path, replace)
				}
			}
			continue
		}
		if s.Value.Type.Is("number") {
			v.breakNumber(s.Value, func(keyword string, value any) { v.add(replace, value, path+" "+keyword, at) })
		} else {
			v.add(replace, "no such word", path+" enum", at)
		}
	}
}

func (v *violator) breakNumber(s *openapi3.Schema, broken func(string, any)) {
	step := func(x, to float64) float64 {
		if s.Type.Is("integer") {
			return x + math.Copysign(1, to)
		}
		return math.Nextafter(x, to)
	}
	if s.Min != nil {
		low := *s.Min
		if s.ExclusiveMin.IsTrue() {
			broken("exclusiveMinimum", low)
		} else {
			broken("minimum", step(low, math.Inf(-1)))
		}
	}
	if s.Max != nil {
		if s.ExclusiveMax.IsTrue() {
			broken("exclusiveMaximum", *s.Max)
		} else {
			broken("maximum", step(*s.Max, math.Inf(1)))
		}
	}
}

// badTexts break each constraint of a text.
func badTexts(s *openapi3.Schema) map[string]string {
	bad := map[string]string{}
	if s.Enum != nil {
		bad["enum"] = "no such word"
	}
	if s.Pattern != "" {
		bad["pattern"] = "€"
	}
	if s.MinLength > 0 {
		bad["minLength"] = strings.Repeat("x", int(s.MinLength)-1)
	}
	if s.MaxLength != nil {
		bad["maxLength"] = strings.Repeat("x", int(*s.MaxLength)+1)
	}
	return bad
}

func (v *violator) walkObject(schema *openapi3.Schema, value map[string]any, at, path string, replace func(any) any) {
	with := func(name string, member any) any {
		out := map[string]any{}
		for k, m := range value {
			out[k] = m
		}
		out[name] = member
		return out
	}
	without := func(name string) any {
		out := with(name, nil).(map[string]any)
		delete(out, name)
		return out
	}
	if schema.AdditionalProperties.Has != nil && !*schema.AdditionalProperties.Has {
		v.add(replace, with("no_such_field", 1), path+" additionalProperties", join(at, "no_such_field"))
	}
	for _, name := range schema.Required {
		v.add(replace, without(name), path+" required "+name, join(at, name))
	}
	v.walkRules(schema, value, at, path, replace, with, without)
	for name, member := range value {
		s := schema.Properties[name]
		if s == nil && open(schema) {
			continue
		}
		if s == nil {
			panic("the document has a field the contract has not: " + join(path, name))
		}
		v.walk(s.Value, member, join(at, name), join(path, name), func(x any) any { return replace(with(name, x)) })
	}
}

// walkRules breaks "exactly one of" and "not both".
func (v *violator) walkRules(schema *openapi3.Schema, value map[string]any, at, path string, replace func(any) any,
	with func(string, any) any, without func(string) any) {
	for _, one := range schema.OneOf {
		name := one.Value.Required[0]
		if _, has := value[name]; has {
			v.add(replace, without(name), path+" oneOf none", at)
			continue
		}
		v.add(replace, with(name, minimal(schema.Properties[name].Value)), path+" oneOf with "+name, at)
	}
	if schema.Not == nil {
		return
	}
	pairs := []openapi3.SchemaRef{{Value: schema.Not.Value}}
	if len(schema.Not.Value.AnyOf) > 0 {
		pairs = nil
		for _, s := range schema.Not.Value.AnyOf {
			pairs = append(pairs, *s)
		}
	}
	for _, p := range pairs {
		a, b := p.Value.Required[0], p.Value.Required[1]
		_, hasA := value[a]
		_, hasB := value[b]
		switch {
		case hasA:
			v.add(replace, with(b, minimal(schema.Properties[b].Value)), path+" not "+a+" and "+b, at)
		case hasB:
			v.add(replace, with(a, minimal(schema.Properties[a].Value)), path+" not "+a+" and "+b, at)
		}
	}
}

func (v *violator) walkArray(schema *openapi3.Schema, value []any, at, path string, replace func(any) any) {
	if n := int(schema.MinItems); n > 0 {
		v.add(replace, value[:n-1], path+" minItems", at)
	}
	if schema.MaxItems != nil {
		long := slices.Clone(value)
		for len(long) <= int(*schema.MaxItems) {
			long = append(long, value[len(value)-1])
		}
		v.add(replace, long, path+" maxItems", at)
	}
	last := len(value) - 1
	v.walk(schema.Items.Value, value[last], fmt.Sprintf("%s[%d]", at, last), path+"[]", func(x any) any {
		out := slices.Clone(value)
		out[last] = x
		return replace(out)
	})
}

// minimal is a sound value of a schema.
func minimal(s *openapi3.Schema) any {
	switch {
	case s.Type.Is("object"):
		out := map[string]any{}
		for _, name := range s.Required {
			out[name] = minimal(s.Properties[name].Value)
		}
		return out
	case s.Type.Is("array"):
		out := make([]any, s.MinItems)
		for i := range out {
			out[i] = minimal(s.Items.Value)
		}
		return out
	case s.Type.Is("string"):
		if s.Enum != nil {
			return s.Enum[0]
		}
		return "x"
	case s.Type.Is("boolean"):
		return true
	}
	switch {
	case s.Min == nil:
		return 1.0
	case s.ExclusiveMin.IsTrue():
		return *s.Min + 1
	}
	return *s.Min
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// open reports whether an object may have fields the contract does not name.
func open(s *openapi3.Schema) bool {
	return s.AdditionalProperties.Has != nil && *s.AdditionalProperties.Has
}

// constraints lists every constraint of a schema, as the violations name them.
func constraints(schema *openapi3.Schema, path string, into map[string]bool) {
	into[path+" nullable"] = true
	if len(schema.OneOf) > 0 && schema.Type == nil {
		into[path+" oneOf"] = true
		for _, s := range schema.OneOf {
			if s.Value.Type.Is("array") || s.Value.Type.Is("object") {
				constraints(s.Value, path, into)
				delete(into, path+" type") // the other is right too
				continue
			}
			if s.Value.Type.Is("number") {
				into[path+" minimum"], into[path+" maximum"] = true, true
			} else {
				into[path+" enum"] = true
			}
		}
		return
	}
	into[path+" type"] = true
	for keyword, is := range map[string]bool{
		"type integer": schema.Type.Is("integer"), "minimum": schema.Min != nil && !schema.ExclusiveMin.IsTrue(),
		"exclusiveMinimum": schema.Min != nil && schema.ExclusiveMin.IsTrue(), "maximum": schema.Max != nil, "enum": schema.Enum != nil,
		"pattern": schema.Pattern != "", "minLength": schema.MinLength > 0, "maxLength": schema.MaxLength != nil,
		"minItems": schema.MinItems > 0, "maxItems": schema.MaxItems != nil, "additionalProperties": schema.Type.Is("object") && !open(schema),
		"minProperties": schema.MinProps > 0, "multipleOf": schema.MultipleOf != nil, "uniqueItems": schema.UniqueItems,
	} {
		if is {
			into[path+" "+keyword] = true
		}
	}
	for _, name := range schema.Required {
		into[path+" required "+name] = true
	}
	if len(schema.OneOf) > 0 {
		into[path+" oneOf none"] = true
		for _, one := range schema.OneOf {
			into[path+" oneOf with "+one.Value.Required[0]] = true
		}
	}
	if schema.Items != nil {
		constraints(schema.Items.Value, path+"[]", into)
	}
	for name, s := range schema.Properties {
		constraints(s.Value, join(path, name), into)
	}
}

// soundDocuments have, between them, every field of a request. The wind of the fourth is a file, which the service does not
// read: what is wrong with how to read it is told all the same.
func soundDocuments(t *testing.T) map[string]any {
	t.Helper()
	base := exampleJSON(t, "FittedWind")
	months := []any{19.0, 34.0, 70.0, 110.0, 146.0, 147.0, 143.0, 120.0, 85.0, 50.0, 25.0, 15.0}
	docs := map[string][]byte{
		"weibull": change(t, change(t, base, "shear.exponent", 0.2), "solar.monthly_irradiation_kwh_m2", months),
		"mean": change(t, change(t, change(t, exampleJSON(t, "MeanWind"), "wind.mean.shape", 2.0), "site.ground.displacement_m", 1.0),
			"turbine.power_curve.air_density_kg_m3", 1.2),
		"frequency": change(t, change(t, exampleJSON(t, "FrequencyTable"), "solar", map[string]any{"yield_kwh_per_kw": 900.0}),
			"wind.measured_over", map[string]any{"cover": "open", "displacement_m": 0.0}),
		"file": change(t, change(t, change(t, base, "solar", map[string]any{"tilt_deg": 30.0, "climatology_file": "months.csv"}), "wind", map[string]any{"record": recordFields()}), "household",
			map[string]any{"load_file": "load.csv"}),
		"id": change(t, base, "wind", map[string]any{"record": map[string]any{"id": "abc", "height_m": 10.0}}),

		"garden":    change(t, change(t, base, "site", gardenFields()), "wind.rose", []any{1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 3.0, 3.0, 1.0, 1.0, 1.0, 1.0}),
		"mapped":    change(t, base, "site.map", mapFields()),
		"elsewhere": change(t, exampleJSON(t, "MeanWind"), "wind.measured_over", map[string]any{"cover": "open", "sectors": sectorFields()}),
		"rough sector": change(t, change(t, base, "site.ground.sectors", sectorFields()[:1]), "wind.measured_over",
			map[string]any{"cover": "open", "sectors": sectorFields()[:1]}),
		"long term": change(t, base, "wind", map[string]any{"record": map[string]any{"id": "abc", "screening": screeningFields()},
			"measured_here": true, "long_term": map[string]any{"reference": recordFields(), "method": "least_squares", "sectors": true,
				"max_shift_hours": 3.0}}),
		"decision": decisionDocument(t, base),
		"board":    change(t, base, "turbine", map[string]any{"name": "six boards", "regulation": "furling", "rated_power_w": 400.0, "design": designFields()}),
		"stations": change(t, base, "turbine", map[string]any{"design": otherDesign("resistor")}),
		"tracking": change(t, base, "turbine", map[string]any{"design": otherDesign("tracking")}),
		"braked":   change(t, base, "turbine", map[string]any{"design": otherDesign("short_circuit")}),
		"test log": change(t, base, "turbine", map[string]any{"rotor_diameter_m": 2.4, "test_log": testLogFields()}),
		"kept log": change(t, base, "turbine", map[string]any{"rotor_diameter_m": 2.4, "test_log": map[string]any{"record": map[string]any{"id": "abc"}}}),
		"kept":     change(t, base, "turbine", map[string]any{"name": "kept", "curve": map[string]any{"id": "abc"}}),
		"long term by id": change(t, base, "wind", map[string]any{"record": map[string]any{"id": "abc"},
			"long_term": map[string]any{"reference": map[string]any{"id": "abd"}}}),
	}
	out := map[string]any{}
	for name, text := range docs {
		var doc any
		if err := json.Unmarshal(text, &doc); err != nil {
			t.Fatal(err)
		}
		out[name] = doc
	}
	return out
}

// designFields is a machine of boards on a battery.
func designFields() map[string]any {
	return map[string]any{
		"rotor": map[string]any{"diameter_m": 2.2, "hub_diameter_m": 0.3, "blades": 6.0, "pitch_deg": 12.0, "section": "curved_plate", "camber_share": 0.06,
			"board": map[string]any{"root_chord_m": 0.14, "tip_chord_m": 0.14}},
		"generator": map[string]any{"volts_per_rpm": 0.1, "resistance_ohm": 1.0, "iron_torque_nm": 0.1, "eddy_nm_per_rad_s": 0.0005, "cogging_nm": 0.1,
			"rated_current_a": 15.0},
		"gear":    map[string]any{"ratio": "1:2", "efficiency": 0.93, "drag_nm": 0.2},
		"load":    map[string]any{"battery": map[string]any{"volts_v": 25.0, "diode_drop_v": 1.4, "internal_ohm": 0.02}},
		"wire":    map[string]any{"length_m": 25.0, "area_mm2": 6.0, "temperature_c": 30.0},
		"furling": map[string]any{"start_m_s": 10.0, "full_m_s": 25.0, "power_limit_w": 500.0},
		"sweep": map[string]any{"gear_ratios": []any{"1:1", "1:3"}, "turns_ratios": []any{0.8, 1.2},
			"battery_volts_v": []any{12.5, 25.0}},
	}
}

// otherDesign has what a board on a battery has not.
func otherDesign(load string) map[string]any {
	d := designFields()
	delete(d, "sweep")
	rotor := d["rotor"].(map[string]any)
	for _, name := range []string{"board", "section", "camber_share"} {
		delete(rotor, name)
	}
	rotor["stations"] = []any{map[string]any{"radius_m": 0.2, "chord_m": 0.15, "twist_deg": 15.0}, map[string]any{"radius_m": 1.1, "chord_m": 0.08, "twist_deg": 2.0}}
	rotor["polar"] = map[string]any{"reynolds": 2e5, "points": []any{[]any{-10.0, -0.6, 0.08}, []any{-5.0, -0.2, 0.02}, []any{0.0, 0.3, 0.012},
		[]any{5.0, 0.8, 0.015}, []any{10.0, 1.2, 0.025}, []any{15.0, 1.3, 0.06}, []any{20.0, 1.1, 0.2}, []any{25.0, 1.0, 0.35}}}
	g := d["generator"].(map[string]any)
	delete(g, "volts_per_rpm")
	g["torque_nm_per_a"] = 0.9
	d["gear"] = map[string]any{"generator_per_rotor": 2.0}
	d["wire"] = map[string]any{"length_m": 25.0, "awg": "8"}
	d["load"] = map[string]any{load: map[string]any{
		"resistor": map[string]any{"ohm": 3.0, "diode_drop_v": 1.4},
		"tracking": map[string]any{"efficiency": 0.9, "start_v": 12.0, "max_w": 800.0, "diode_drop_v": 1.4},
	}[load]}
	if load == "short_circuit" {
		d["load"] = map[string]any{load: true}
	}
	return d
}

func testLogFields() map[string]any {
	return map[string]any{
		"record": recordFields(), "averaging_s": 60.0, "leave_out": []any{[]any{90.0, 120.0}}, "sensor_height_m": 10.0, "hub_height_m": 12.0,
		"shear_exponent": 0.2, "elevation_m": 100.0, "cut_out_m_s": 20.0, "power_shift_s": 0.0, "speed_uncertainty": 0.03, "power_uncertainty": 0.02,
		"generator": map[string]any{"volts_per_rpm": 0.1, "resistance_ohm": 0.5, "battery_v": 25.0, "load_ohm": 3.0, "diode_drop_v": 1.4},
	}
}

// decisionDocument has all that bears on the money and the odds.
func decisionDocument(t *testing.T, base []byte) []byte {
	t.Helper()
	uncertainty := map[string]any{"draws": 200.0, "verdict": map[string]any{"worth_it": 0.8, "not_worth_it": 0.2, "cannot_say": 0.6}}
	for _, name := range []string{"measurement", "place", "long_term", "year_to_year", "vertical", "surroundings", "power_curve", "losses",
		"turbine_cost", "upkeep", "price", "solar", "solar_year_to_year", "solar_cost"} {
		uncertainty[name] = 0.05
	}
	for name, value := range map[string]any{
		"towers": map[string]any{"from_m": 12.0, "to_m": 18.0, "step_m": 3.0, "fixed_cost": 200.0, "cost_per_m": 50.0, "cost_per_m2": 1.0},
		"household": map[string]any{"yearly_kwh": 3000.0, "load_csv": loadCSV(), "battery": map[string]any{"capacity_kwh": 5.0,
			"power_kw": 2.0, "efficiency": 0.9, "cost": 3000.0, "life_years": 12.0}},
		"uncertainty": uncertainty, "solar.output_decline": 0.005, "money.output_decline": 0.01, "money.price_per_kwh": 0.3,
		"money.feed_in_per_kwh": 0.08, "money.self_used_share": 0.5, "money.price_escalation": 0.01, "money.feed_in_escalation": 0.0, "money.measuring_cost": 120.0,
	} {
		base = change(t, base, name, value)
	}
	return base
}

// gardenFields is a site with everything that can stand around a mast.
func gardenFields() map[string]any {
	return map[string]any{
		"name": "garden", "latitude": 52.0, "longitude": -1.5, "elevation_m": 100.0,
		"ground": map[string]any{"cover": "rough", "displacement_m": 0.0, "sectors": sectorFields()},
		"obstacles": []any{map[string]any{"name": "barn", "bearing_deg": 200.0, "distance_m": 60.0, "height_m": 8.0, "width_m": 20.0,
			"porosity": 0.2, "growth_m_per_year": 0.1}},
		"relief": []any{map[string]any{"shape": "hill", "height_m": 20.0, "half_length_m": 150.0, "from_deg": 200.0, "to_deg": 300.0}},
	}
}

func sectorFields() []any {
	return []any{
		map[string]any{"from_deg": 20.0, "to_deg": 60.0, "roughness_m": 0.2, "change_at_m": 300.0,
			"beyond": map[string]any{"roughness_m": 0.4, "displacement_m": 1.0}},
		map[string]any{"from_deg": 90.0, "to_deg": 150.0, "cover": "very rough", "displacement_m": 2.0, "change_at_m": 400.0,
			"beyond": map[string]any{"cover": "open", "displacement_m": 0.0}},
	}
}

// mapFields is a map with a tree beside the orchard of the example.
func mapFields() map[string]any {
	return map[string]any{"type": "FeatureCollection", "features": []any{map[string]any{
		"type": "Feature", "geometry": map[string]any{"type": "Point", "coordinates": []any{-1.441, 52.2105}},
		"properties": map[string]any{"height_m": 9.0, "width_m": 4.0},
	}}}
}

func screeningFields() map[string]any {
	return map[string]any{"leave_out": []any{"icing"}, "limits": []any{map[string]any{"name": "range.speed_max_m_s", "value": 60.0}}}
}

// recordFields is a file with everything that can be said of how to read it.
func recordFields() map[string]any {
	column := func(name string) []any {
		return []any{map[string]any{"name": name, "height_m": 10.0, "slope": 1.0, "offset": 0.0}}
	}
	columns := map[string]any{"speed": []any{map[string]any{"name": "v", "height_m": 10.0, "unit": "km/h", "slope": 1.0, "offset": 0.0}}}
	for _, q := range []string{"time", "date", "time_of_day", "year", "month", "day", "day_of_year", "hour", "minute", "second", "ignore"} {
		columns[q] = []any{map[string]any{"name": q, "height_m": 0.0, "unit": "x", "slope": 1.0, "offset": 0.0}}
	}
	for q, unit := range map[string]string{"speed_sd": "m/s", "gust": "m/s", "direction": "deg", "temperature": "C", "pressure": "hPa",
		"humidity": "%", "global_horizontal": "W/m2", "direct_normal": "W/m2", "diffuse_horizontal": "W/m2", "power": "kW", "voltage": "V",
		"current": "A", "shaft_speed": "rpm", "pulses": "Hz"} {
		columns[q] = column(q)
		columns[q].([]any)[0].(map[string]any)["unit"] = unit
	}
	return map[string]any{
		"file": "a.csv", "height_m": 10.0, "format": "logger_csv", "columns": columns, "only_columns": true, "only": []any{"a=b"},
		"header_line": 1.0, "delimiter": "tab", "decimal_comma": true, "missing": []any{"-999"}, "time_layout": "DD.MM.YYYY hh:mm",
		"date_order": "dmy", "stamps_at": "end", "screening": screeningFields(), "utc_offset": "+01:00", "speed_unit": "km/h",
		"pulse": map[string]any{"slope_m_s_per_hz": 0.7, "offset_m_s": 0.3, "interval_s": 600.0},
	}
}

// Whoever breaks one constraint of the contract, and only that, is told where.
func TestEveryConstraintIsEnforced(t *testing.T) {
	f := newFixture(t)
	schema := f.spec.Components.Schemas["EstimateRequest"].Value
	all, tried := map[string]bool{}, map[string]bool{}
	constraints(schema, "", all)
	for name, doc := range soundDocuments(t) {
		if err := schema.VisitJSON(doc); err != nil {
			t.Fatalf("the sound document %s is not: %v", name, err)
		}
		for _, v := range violations(t, schema, doc) {
			tried[v.constraint] = true
			text, err := json.Marshal(v.doc)
			if err != nil {
				t.Fatal(err)
			}
			var plain any
			if err := json.Unmarshal(text, &plain); err != nil {
				t.Fatal(err)
			}
			if schema.VisitJSON(plain) == nil {
				t.Errorf("%s: breaking %q breaks nothing", name, v.constraint)
				continue
			}
			checkNamed(t, f.post("/v1/estimates", text), join("body", v.location), name+": "+v.constraint)
		}
	}
	var untried []string
	for c := range all {
		if !tried[c] {
			untried = append(untried, c)
		}
	}
	sort.Strings(untried)
	if len(untried) > 0 {
		t.Errorf("no document breaks these constraints: %q", untried)
	}
	t.Logf("%d constraints broken", len(tried))
}

// checkNamed fails unless the answer is a 4xx that names a place.
func checkNamed(t *testing.T, a *answered, location, what string) {
	t.Helper()
	var p struct {
		Errors []struct{ Location, Detail string }
	}
	a.json(&p)
	location = strings.TrimSuffix(location, ".")
	if a.status < 400 || a.status > 499 {
		t.Errorf("%s: answered %d", what, a.status)
		return
	}
	for _, e := range p.Errors {
		if e.Location == location && e.Detail != "" {
			return
		}
	}
	t.Errorf("%s: the answer does not name %s: %s", what, location, a.body)
}

// The same for every parameter in the address, the query and the headers.
func TestEveryParameterIsChecked(t *testing.T) {
	f := newFixture(t)
	admin := header{"Authorization", "Bearer " + f.key("admin", storage.ScopeAdmin, time.Time{})}
	for path, item := range f.spec.Paths.Map() {
		for method, op := range item.Operations() {
			for _, ref := range append(slices.Clone(item.Parameters), op.Parameters...) {
				p := ref.Value
				for what, value := range badParameters(p.Schema.Value) {
					target := strings.NewReplacer("{id}", "abc", "{slug}", "internal").Replace(path)
					var headers []header
					switch p.In {
					case "path":
						target = strings.NewReplacer("{"+p.Name+"}", url.PathEscape(value[0]), "{id}", "abc", "{slug}", "internal").Replace(path)
					case "header":
						headers = []header{{p.Name, value[0]}}
					case "query":
						target += "?" + url.Values{p.Name: value}.Encode()
					}
					if p.In == "path" && value[0] == "" || p.In != "query" && what == "twice" {
						continue // another address, or no such thing
					}
					if method == http.MethodPost {
						headers = append(headers, header{"Content-Type", "text/csv"})
					}
					a := f.do(method, target, nil, append(headers, admin)...)
					checkNamed(t, a, p.In+"."+p.Name, fmt.Sprintf("%s %s: %s %s", method, path, p.Name, what))
				}
			}
			if strings.HasPrefix(path, "/v1/") {
				a := f.do(method, strings.Replace(path, "{id}", "abc", 1)+"?no_such=1", nil, header{"Content-Type", "text/csv"}, admin)
				checkNamed(t, a, "query.no_such", method+" "+path+": an unknown parameter")
			}
		}
	}
}

// badParameters are values of a parameter that break a constraint each.
func badParameters(s *openapi3.Schema) map[string][]string {
	bad := map[string][]string{}
	switch {
	case s.Type.Is("array"):
		for what, v := range badTexts(s.Items.Value) {
			if what == "pattern" || v != "" { // an empty one is as good as none
				bad["item "+what] = []string{v}
			}
		}
		many := make([]string, *s.MaxItems+1)
		for i := range many {
			many[i] = "a=speed"
		}
		bad["maxItems"] = many
	case s.Type.Is("string"):
		for what, v := range badTexts(s) {
			bad[what] = []string{v}
		}
		if s.MaxLength == nil || *s.MaxLength < 400 {
			bad["twice"] = []string{"a", "b"}
		}
	case s.Type.Is("boolean"):
		bad["type"] = []string{"perhaps"}
	default:
		bad["type"] = []string{"many"}
		bad["NaN"] = []string{"NaN"}
		v := &violator{}
		v.breakNumber(s, func(keyword string, value any) {
			bad[keyword] = []string{strconv.FormatFloat(value.(float64), 'f', -1, 64)}
		})
	}
	return bad
}

// loadCSV is a home that draws the same in every hour.
func loadCSV() string {
	out := "hour,weight\n"
	for h := range 24 {
		out += fmt.Sprintf("%d,1\n", h)
	}
	return out
}
