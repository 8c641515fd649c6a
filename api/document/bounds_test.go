package document

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"

	"mastworth/openapi"
)

// schema is what the bounds of a field are read from.
type schema struct {
	Type       string            `yaml:"type"`
	Minimum    *float64          `yaml:"minimum"`
	Maximum    *float64          `yaml:"maximum"`
	Exclusive  bool              `yaml:"exclusiveMinimum"`
	Items      *schema           `yaml:"items"`
	Properties map[string]schema `yaml:"properties"`
}

func contract(t *testing.T) map[string]schema {
	t.Helper()
	var doc struct {
		Components struct {
			Schemas map[string]schema `yaml:"schemas"`
		} `yaml:"components"`
	}
	if err := yaml.Unmarshal(openapi.Spec(), &doc); err != nil {
		t.Fatal(err)
	}
	return doc.Components.Schemas
}

// part is a schema of the machine's documents and where a sound one has it.
type part struct {
	schema, at, sound string
	drop              map[string]string // what goes out when a field comes in
}

const (
	soundDesign = `{"design":{"rotor":{"diameter_m":2,"hub_diameter_m":0.2,"blades":3,"board":{"root_chord_m":0.1,"tip_chord_m":0.1}},
		"generator":{"volts_per_rpm":0.1,"resistance_ohm":1},"gear":{"ratio":"1:2"},"load":{"battery":{"volts_v":25}},
		"wire":{"length_m":10,"awg":"10"},"furling":{"start_m_s":10,"full_m_s":30},
		"sweep":{"turns_ratios":[1],"battery_volts_v":[12]}}}`
	stationed = `{"design":{"rotor":{"diameter_m":60,"hub_diameter_m":2,"blades":3,"stations":[{"radius_m":1,"chord_m":0.1},{"radius_m":30,"chord_m":0.1}],
		"polar":{"points":[[-10,-1,0.1],[0,0,0.01],[5,0.5,0.01],[10,1,0.02],[20,1,0.3]]}},
		"generator":{"volts_per_rpm":0.1,"resistance_ohm":1},"load":{"resistor":{"ohm":10}}}}`
	logged = `{"rotor_diameter_m":2,"test_log":{"record":{"file":"a.csv"},"leave_out":[[0,10]],"generator":{"volts_per_rpm":0.1,"resistance_ohm":1,"battery_v":12}}}`
)

var machineParts = []part{
	{"RotorInput", "design.rotor", soundDesign, nil}, {"BoardInput", "design.rotor.board", strings.Replace(soundDesign, `"diameter_m":2`, `"diameter_m":60`, 1), nil},
	{"BladeStation", "design.rotor.stations[0]", stationed, nil}, {"PolarInput", "design.rotor.polar", stationed, nil},
	{"GeneratorInput", "design.generator", soundDesign, map[string]string{"torque_nm_per_a": "volts_per_rpm"}},
	{"GearInput", "design.gear", soundDesign, map[string]string{"generator_per_rotor": "ratio"}},
	{"BatteryInput", "design.load.battery", soundDesign, nil}, {"ResistorInput", "design.load.resistor", stationed, nil},
	{"TrackingInput", "design.load.tracking", strings.Replace(stationed, `"resistor":{"ohm":10}`, `"tracking":{}`, 1), nil},
	{"WireInput", "design.wire", soundDesign, map[string]string{"area_mm2": "awg"}}, {"FurlingInput", "design.furling", soundDesign, nil},
	{"SweepInput", "design.sweep", soundDesign, nil}, {"TestLogInput", "test_log", logged, nil}, {"LogGenerator", "test_log.generator", logged, nil},
	{"BalanceInput", "", `{"masses_g":[200,201],"centres_m":[0.4,0.4]}`, nil},
}

// What the contract says of a number is what is enforced: a bound itself is taken, anything past it is refused at its place,
// by the document as by the domain behind it.
func TestMachineBoundsAreTheContracts(t *testing.T) {
	all := contract(t)
	tried := 0
	for _, p := range machineParts {
		for name, field := range all[p.schema].Properties {
			lists := 0
			for field.Type == "array" && field.Items != nil {
				field, lists = *field.Items, lists+1
			}
			if field.Type != "number" && field.Type != "integer" {
				continue
			}
			if p.schema == "PolarInput" && name == "points" {
				continue // bounded by kind, in the domain's words
			}
			if field.Minimum == nil || field.Maximum == nil {
				t.Errorf("%s.%s has no bounds", p.schema, name)
				continue
			}
			at := joined(p.at, name) + strings.Repeat("[0]", lists)
			for _, c := range bordering(&field) {
				tried++
				refused := refusedAt(t, p, name, at, c.v, lists)
				if refused != c.refused {
					t.Errorf("%s = %v: refused is %t, the contract says %t", at, c.v, refused, c.refused)
				}
			}
		}
	}
	if tried < 150 {
		t.Errorf("only %d values were tried", tried)
	}
}

type bordered struct {
	v       float64
	refused bool
}

// bordering are values on the bounds of a field and just past them.
func bordering(f *schema) []bordered {
	low, high := *f.Minimum, *f.Maximum
	step := func(v, towards float64) float64 {
		if f.Type == "integer" {
			return v + math.Copysign(1, towards)
		}
		if v == 0 {
			return math.Copysign(1e-9, towards)
		}
		return v + math.Copysign(1e-6*v, towards)
	}
	return []bordered{{low, f.Exclusive}, {step(low, -1), true}, {high, false}, {step(high, 1), true}}
}

func refusedAt(t *testing.T, p part, name, at string, v float64, lists int) bool {
	t.Helper()
	var doc any
	if err := json.Unmarshal([]byte(p.sound), &doc); err != nil {
		t.Fatal(err)
	}
	owner := doc
	for _, s := range parseLocation(p.at) {
		if s.name != "" {
			owner = owner.(map[string]any)[s.name]
		} else {
			owner = owner.([]any)[s.index]
		}
	}
	fields := owner.(map[string]any)
	delete(fields, p.drop[name])
	switch {
	case lists == 0:
		fields[name] = v
	case lists == 1:
		fields[name].([]any)[0] = v
	default:
		fields[name].([]any)[0].([]any)[0] = v
	}
	text, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	if p.schema == "BalanceInput" {
		_, err = DecodeBalance(text, JSON)
	} else {
		_, _, err = DecodeMachine(text, JSON)
	}
	return slices.ContainsFunc(fieldsOf(t, err), func(f FieldError) bool {
		return f.Location == at && strings.HasPrefix(f.Detail, "must be")
	})
}

func fieldsOf(t *testing.T, err error) []FieldError {
	t.Helper()
	var doc *Error
	if err != nil && !errors.As(err, &doc) {
		t.Fatal(err)
	}
	if doc == nil {
		return nil
	}
	return doc.Fields
}

// A fault is told at the field that was written, not where the domain keeps the figure.
func TestMachineFaultsAtWhatIsWritten(t *testing.T) {
	const head = `{"design": {"generator": {"torque_nm_per_a": 1, "resistance_ohm": 1}, "load": {"resistor": {"ohm": 5}}, `
	for _, c := range []struct{ text, at, says string }{
		{head + `"rotor": {"diameter_m": 2, "hub_diameter_m": 0.2, "blades": 12, "board": {"root_chord_m": 0.5}}}}`, "design.rotor.board.root_chord_m", "lie over each other"},
		{head + `"rotor": {"diameter_m": 2, "hub_diameter_m": 0.2, "blades": 12, "board": {"root_chord_m": 0.04, "tip_chord_m": 0.9}}}}`, "design.rotor.board.tip_chord_m", "lie over each other"},
		{head + `"rotor": {"diameter_m": 2, "hub_diameter_m": 1.9, "blades": 2, "board": {"root_chord_m": 0.1}}}}`, "design.rotor.hub_diameter_m", "nine tenths"},
		{head + `"rotor": {"diameter_m": 2, "blades": 2, "board": {"root_chord_m": 0.1}, "pitch_deg": -10}}}`, "design.rotor.pitch_deg", "zero|sign"},
		{head + `"rotor": {"diameter_m": 2, "blades": 2, "board": {"root_chord_m": 0.1}}, "sweep": {"battery_volts_v": [12]}}}`, "design.sweep.battery_volts_v", "load.battery"},
		{head + `"rotor": {"diameter_m": 2, "blades": 2, "board": {"root_chord_m": 0.1}}, "wire": {"length_m": 5, "awg": "99"}}}`, "design.wire.awg", "4/0"},
		{head + `"rotor": {"diameter_m": 2, "blades": 2, "board": {"root_chord_m": 0.1}}, "wire": {"length_m": 5, "awg": 10}}}`, "design.wire.awg", `in quotes: "10"`},
		{head + `"rotor": {"diameter_m": 2, "blades": 2, "board": {"root_chord_m": 0.1}}, "furling": {"start_m_s": 20, "full_m_s": 10}}}`, "design.furling.full_m_s", ""},
	} {
		_, _, err := DecodeMachine([]byte(c.text), JSON)
		fields := fieldsOf(t, err)
		if len(fields) == 0 {
			t.Errorf("%s: taken", c.text)
			continue
		}
		first := fields[0]
		hit := slices.ContainsFunc(strings.Split(c.says, "|"), func(w string) bool { return strings.Contains(first.Detail, w) })
		if first.Location != c.at || first.Line != 1 || first.Column < 2 || !hit {
			t.Errorf("%s: %v", c.at, err)
		}
	}
}

func TestMachineWhereverItStands(t *testing.T) {
	const rest = `"rotor_diameter_m": 2, "power_curve": {"points": [[3, 0], [10, 500]]}`
	for _, c := range []struct{ text, within, says string }{
		{`{` + rest + `}`, "", ""}, {`{"turbine": {` + rest + `}}`, "turbine", ""},
		{`{"site": {"latitude_deg": 900}, "turbine": {` + rest + `}}`, "turbine", ""}, // the rest is not looked at
		{`{"turbine": {"rotor_diameter_m": 2, "power_curve": {"points": [[3, 0]]}}}`, "turbine", "turbine.power_curve.points"},
		{`{}`, "", "no turbine in this document"}, {`[1, 2]`, "", "no turbine in this document"}, {`{"site": {}}`, "", "which holds site"},
		{`{"rotor_diameter_m": 2, "power_curv": {}}`, "", "did you mean power_curve"}, {`null`, "", "no turbine in this document"},
	} {
		in, within, err := DecodeMachine([]byte(c.text), Auto)
		switch {
		case c.says == "" && (err != nil || within != c.within || in.PowerCurve == nil):
			t.Errorf("%s: %v, within %q", c.text, err, within)
		case c.says != "" && (err == nil || !strings.Contains(err.Error(), c.says)):
			t.Errorf("%s: %v", c.text, err)
		}
	}
}

// The lever law again, on the wire: null where it cannot be told, with the reason.
func TestBalanceMasses(t *testing.T) {
	centre, tip := []float64{0.4, 0.4, 0.4}, 1.2
	for _, c := range []struct {
		centres        []float64
		tip            *float64
		mass, radius   float64 // of the first to be lightened; 0: null
		counter, reach float64
		reason         bool
	}{
		{nil, &tip, 0, 1.2, 0, 1.2, true}, {nil, nil, 5, 0, 4.3589, 0, false},
		{centre, &tip, 5 * 0.4 / 1.2, 1.2, 4.3589 * 0.4 / 1.2, 1.2, false}, {centre, nil, 5, 0.4, 4.3589, 0.4, false},
	} {
		out, err := BalanceOf(openapi.BalanceInput{MassesG: []float64{201, 199, 204}, CentresM: c.centres, TipRadiusM: c.tip})
		if err != nil {
			t.Fatal(err)
		}
		at := fmt.Sprintf("centres %v, tip %v", c.centres, c.tip != nil)
		near(t, at+", mass", out.Lighten[0].MassG, c.mass)
		near(t, at+", radius", out.Lighten[0].RadiusM, c.radius)
		near(t, at+", counterweight", out.Counter.MassG, c.counter)
		near(t, at+", its radius", out.Counter.RadiusM, c.reach)
		told := slices.ContainsFunc(out.Warnings, func(w openapi.Warning) bool { return w.Code == massAtTipCode })
		if told != c.reason {
			t.Errorf("%s: warnings %+v", at, out.Warnings)
		}
	}
}

func near(t *testing.T, what string, got *float64, want float64) {
	t.Helper()
	switch {
	case got == nil && want != 0:
		t.Errorf("%s is null, want %g", what, want)
	case got != nil && math.Abs(*got-want) > 1e-4*want:
		t.Errorf("%s is %g, want %g", what, *got, want)
	}
}
