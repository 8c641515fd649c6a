package document

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"mastworth/yield/assess"
)

// What is wrong is NaN or left out; the rest is there, and the domain finds what is wrong with that.
func TestDecodeFar(t *testing.T) {
	text := strings.NewReplacer("latitude: 5", "latitude: x5", "hub_height_m: 18", "hub_height_m: 900").Replace(orchard)
	far, fault := DecodeFar([]byte(text), YAML)
	if fault == nil || !math.IsNaN(far.Site.Latitude) || far.Towers.List[1].HubHeightM != 900 {
		t.Fatalf("%v %+v", fault, far)
	}
	domain, _ := ToRequest(far)
	var invalid *assess.InvalidError
	if !errors.As(assess.Check(domain), &invalid) {
		t.Fatal("nothing is wrong")
	}
	var found []FieldError
	for _, f := range invalid.Fields {
		found = append(found, FieldError{Location: f.Location, Detail: f.Detail})
	}
	fault.Besides(found)
	if len(fault.Fields) != 2 || fault.Fields[0].Location != "site.latitude" || fault.Fields[1].Location != "towers[1].hub_height_m" {
		t.Errorf("%v", fault)
	}
}

func TestBesidesLeavesOutWhatFollows(t *testing.T) {
	e := &Error{Fields: []FieldError{{Location: "turbine.power_curve.points[2][1]"}, {Location: "site"}}}
	e.Besides([]FieldError{{Location: "turbine.power_curve.points"}, {Location: "turbine.power_curve.points[2][1]"}, {Location: "turbine.power_curve.points[3]"},
		{Location: "site.latitude"}, {Location: "sites"}, {Location: "money.yearly_cost", Detail: "must be above 0, not NaN"}})
	got := ""
	for _, f := range e.Fields[2:] {
		got += f.Location + " "
	}
	if got != "turbine.power_curve.points[3] sites " {
		t.Error(got)
	}
	if !e.Within("turbine") || e.Within("towers") {
		t.Error("within")
	}
}

// Whatever stands in place of a value, the rest can be looked at.
func TestDecodeFarTakesAnything(t *testing.T) {
	sound, _ := ToRequest(mustDecode(t, orchard, YAML))
	text, err := EncodeJSON(FromRequest(&sound, Refs{}))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, instead := range []string{`null`, `"x"`, `[]`, `{}`, `[[1]]`, `-1`, `true`} {
		eachReplaced(t, text, json.RawMessage(instead), func(broken []byte) {
			n++
			far, _ := DecodeFar(broken, JSON)
			domain, _ := ToRequest(far)
			var invalid *assess.InvalidError
			if err := assess.Check(domain); err != nil && !errors.As(err, &invalid) {
				t.Fatal(err)
			}
		})
	}
	if n < 300 {
		t.Errorf("only %d documents", n)
	}
}

// eachReplaced gives a document with each of its values replaced in turn.
func eachReplaced(t *testing.T, text []byte, instead json.RawMessage, each func([]byte)) {
	t.Helper()
	var root any
	if err := json.Unmarshal(text, &root); err != nil {
		t.Fatal(err)
	}
	var walk func(v any)
	try := func(set func(any), was any) {
		set(instead)
		broken, err := json.Marshal(root)
		if err != nil {
			t.Fatal(err)
		}
		each(broken)
		set(was)
		walk(was)
	}
	walk = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			for name, was := range v {
				try(func(x any) { v[name] = x }, was)
			}
		case []any:
			for i, was := range v {
				try(func(x any) { v[i] = x }, was)
			}
		}
	}
	walk(root)
}
