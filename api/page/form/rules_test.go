package form

import (
	"encoding/json"
	"errors"
	"math"
	"net/url"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"mastworth/api/document"
	"mastworth/api/page"
	"mastworth/openapi"
)

// A foot is 0.3048 m, an inch 0.0254 m, a mile 1609.344 m (international yard and pound agreement, 1959).
func TestUnits(t *testing.T) {
	for _, test := range []struct {
		typed float64
		kind  kind
		want  float64
	}{{1, aLength, 0.3048}, {40, aLength, 12.192}, {5, aSmallLength, 0.127}, {10, aSpeed, 4.4704}, {3, aShare, 0.03}, {7, aShare, 0.07}, {12, aNumber, 12},
		{100, perLength, 328.084}, {30, aMoney, 30}} {
		if got := Feet.inDocument(test.typed, test.kind); got != test.want {
			t.Errorf("%g of kind %d are %v, want %v", test.typed, test.kind, got, test.want)
		}
	}
	if got := Feet.typed(10, aLength); got != "32.8084" && math.Abs(atof(t, got)-32.8084) > 5e-5 {
		t.Errorf("10 m are %s ft", got)
	}
}

func atof(t *testing.T, s string) float64 {
	t.Helper()
	v, ok := number(s)
	if !ok {
		t.Fatal(s)
	}
	return v
}

// What is shown in other units and sent again is the same number, to six digits.
func TestUnitsGoThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e5, 1e5).Draw(t, "v")
		k := rapid.SampledFrom([]kind{aLength, aSmallLength, aSpeed, perLength, perLength2, aShare, aNumber}).Draw(t, "kind")
		u := rapid.SampledFrom([]Units{Metric, Feet}).Draw(t, "units")
		s := u.typed(v, k)
		back, ok := number(s)
		if got := u.inDocument(back, k); !ok || math.Abs(got-v) > 1e-5*math.Abs(v) {
			t.Fatalf("%v was shown as %q and came back as %v", v, s, got)
		}
	})
}

func TestNumber(t *testing.T) {
	for s, want := range map[string]float64{"12": 12, " 1 900 ": 1900, "4,9": 4.9, "-1,44": -1.44, "−0,345": -0.345, ",5": 0.5, "1234,567": 1234.567, "1\u202f900.5": 1900.5, "−3": -3, "1e3": 1000, "1.400,50": 1400.5, "-1.234.567,8": -1234567.8, "1,400.50": 1400.5, ".5": 0.5, "+2": 2} {
		if got, ok := number(s); !ok || got != want {
			t.Errorf("%q is %v, %t", s, got, ok)
		}
	}
	for _, s := range []string{"", "1,200", "-12,345", "1,234,567", "1.23,5", "1,23.5", "1.234,5.6", "1,", ",", "NaN", "inf", "0x10", "1_000", "ten", "5 m", "1e999"} {
		if got, ok := number(s); ok {
			t.Errorf("%q is %v", s, got)
		}
	}
}

func TestPairs(t *testing.T) {
	for s, want := range map[string]string{
		"3 8\n4 45":              `[[3,8],[4,45]]`,
		"m/s;W\n3,5;8\n\n4;45,5": `[[3.5,8],[4,45.5]]`,
		"3\t8\r\n4\t45":          `[[3,8],[4,45]]`,
		"3,8\n4, 45":             `[[3,8],[4,45]]`,
		"3 8 9\n4":               `[[3,8,9],[4]]`,
		"3 lots":                 `[[3,"lots"]]`,
		"":                       `[]`,
	} {
		got, err := json.Marshal(pairsNode(pairLines(strings.ReplaceAll(s, "\r\n", "\n")), Metric))
		if err != nil || string(got) != want {
			t.Errorf("%q is %s, want %s", s, got, want)
		}
	}
}

// A fault of the document's second obstacle is that of the form's third row, where the second is empty.
func TestFaultsFindTheirRow(t *testing.T) {
	f := FromValues(url.Values{"site.obstacles[0].name": {"barn"}, "site.obstacles[1].name": {" "}, "site.obstacles[2].name": {"oak"}, "site.obstacles[2].height_m": {"400"},
		ControlShown: {"feet"}, "turbine.power_curve.points": {"mph W\n\n3 8\n4 x"}, "wind.rose": {"1 2 x"}})
	d, err := f.Document()
	if err != nil {
		t.Fatal(err)
	}
	f.Accuse(d, []Fault{{"site.obstacles[1].height_m", "is too much"}, {"site.obstacles[1].width_m", "is missing"}, {"site.obstacles[1]", "is odd"},
		{"site.obstacles", "are too many"}, {"turbine.power_curve.points[1][1]", "is text"}, {"wind.rose[2]", "is text"}, {"wind", "give one"},
		{"turbine.design.load", "give one"}, {"turbine.blades", "unknown"}, {"colour", "is not known"}})
	want := map[string][]string{"site.obstacles[2].height_m": {"is too much"}, "site.obstacles[2].width_m": {"is missing"},
		"site.obstacles[2]": {"is odd"}, "site.obstacles": {"are too many"}, "turbine.power_curve.points": {"line 4: “x” is no number; write it in digits, with a point before decimals"},
		"wind.rose": {"“x” is no number; write it in digits, with a point before decimals"},
		"by.wind":   {"give one"}, "by.load": {"give one"}, "by.machine": {"blades: unknown"}, "": {"colour: is not known"}}
	if !reflect.DeepEqual(f.faults, want) {
		t.Errorf("%q", f.faults)
	}
	v := &View{Form: f}
	if all := v.Summaries(); len(all) != 10 || all[len(all)-1].Detail != "colour: is not known" {
		t.Errorf("%v", all)
	}
}

// What has no field comes through, but for what another choice leaves behind; and what is to go goes.
func TestOtherPartsStay(t *testing.T) {
	const doc = `{"site": {"latitude": 52, "longitude": 1, "map": {"type": "FeatureCollection", "features": []},
		"ground": {"sectors": [{"from_deg": 0, "to_deg": 90, "roughness_m": 0.1}]}},
		"wind": {"frequency": {"height_m": 10, "bins": [{"from_m_s": 0, "to_m_s": 5, "share": 1}]}, "long_term": {"reference": {"id": "abc"}, "sectors": true}},
		"turbine": {"design": {"rotor": {"diameter_m": 2, "blades": 3, "stations": [{"radius_m": 1, "chord_m": 0.1}]}, "load": {"tracking": {}}}},
		"towers": {"from_m": 10, "to_m": 20, "step_m": 5, "cost_per_m": 100}, "money": {"turbine_cost": 1}, "household": {}}`
	f, err := FromDocument([]byte(doc), Metric)
	if err != nil {
		t.Fatal(err)
	}
	places, _ := f.Other()
	if want := []string{"site.map", "site.ground.sectors", "wind.frequency", "wind.long_term", "turbine.design.rotor.stations"}; !reflect.DeepEqual(places, want) {
		t.Errorf("%q", places)
	}
	f.Add("site.ground.sectors")
	if f.rows["site.ground.sectors"] != 0 {
		t.Error("rows beside those that are kept")
	}
	at := func(f *Form, place string) string {
		t.Helper()
		d, err := f.Document()
		if err != nil {
			t.Fatal(err)
		}
		root, err := parse(d.JSON)
		if err != nil {
			t.Fatal(err)
		}
		n := root.at(place)
		if n == nil {
			return ""
		}
		b, err := n.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	v := values(f)
	f = FromValues(v)
	for place, want := range map[string]string{"site.map": `{"type":"FeatureCollection","features":[]}`, "turbine.design.load": `{"tracking":{}}`,
		"turbine.design.rotor.stations": `[{"radius_m":1,"chord_m":0.1}]`, "wind.long_term": `{"reference":{"id":"abc"},"sectors":true}`,
		"towers.cost_per_m": "100", "household.yearly_kwh": "3500", "wind.frequency.height_m": "10"} {
		if got := at(f, place); got != want {
			t.Errorf("%s is %s, want %s", place, got, want)
		}
	}
	v.Set("by.machine", "table")
	v.Set("by.wind", "mean")
	v.Set("wind.long_term.reference.id", "")
	v[ControlLeaveOut] = []string{"site.map"}
	f = FromValues(v)
	for _, place := range []string{"site.map", "turbine.design", "wind.frequency", "wind.long_term"} {
		if got := at(f, place); got != "" {
			t.Errorf("%s is still %s", place, got)
		}
	}
}

// Whatever is sent, a document comes out that can be read as JSON, and a page.
func TestAnythingSent(t *testing.T) {
	set := page.New()
	names := []string{ControlOther, ControlShown, ControlLeaveOut, NoObstacles, "by.wind", "by.machine", "by.towers", "by.load", "site.obstacles[3].height_m", "towers[35].cost",
		"towers[999].cost", "towers[99999999999].cost", "site.ground.sectors[0].beyond.cover"}
	for i := range fields {
		names = append(names, fields[i].place)
	}
	rapid.Check(t, func(t *rapid.T) {
		v := url.Values{}
		for range rapid.IntRange(0, 12).Draw(t, "n") {
			v.Add(rapid.SampledFrom(names).Draw(t, "name"), rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"design", "record", "rule", "list", "true", "best", "1 2 3", "3 8\n4 9",
				"-1", "1e300", "feet", `{"wind":{"mean":[1]},"towers":{"a":1},"site":3}`, `[]`, `{"a":`, `{"towers":[1,{"x":null}]}`})).Draw(t, "value"))
		}
		f := FromValues(v)
		f.ChangeUnits(rapid.SampledFrom([]Units{Metric, Feet}).Draw(t, "units"))
		f.Remove("towers[0]")
		d, err := f.Document()
		if err != nil {
			t.Fatal(err)
		}
		if !json.Valid(d.JSON) {
			t.Fatalf("%s", d.JSON)
		}
		_, err = document.Decode(d.JSON, document.JSON)
		var fault *document.Error
		if errors.As(err, &fault) {
			var all []Fault
			for _, e := range fault.Fields {
				all = append(all, Fault{e.Location, e.Detail})
			}
			f.Accuse(d, all)
		}
		var b strings.Builder
		if err := set.Render(&b, "form", &page.Frame{Title: "x", Page: &View{Form: f, Action: "/new"}}); err != nil {
			t.Fatal(err)
		}
	})
}

// The world is plate carrée: half a degree a px at 720 px.
func TestPick(t *testing.T) {
	f := New()
	for _, test := range []struct {
		x, y, wide          int
		latitude, longitude string
	}{{360, 180, 720, "0", "0"}, {463, 76, 720, "52", "51.5"}, {0, 180, 720, "0", "-180"}, {240, 40, 320, "45", "90"}} {
		if !f.Pick(test.x, test.y, test.wide) || f.Value("site.latitude") != test.latitude || f.Value("site.longitude") != test.longitude {
			t.Errorf("%v: %s %s", test, f.Value("site.latitude"), f.Value("site.longitude"))
		}
	}
	for _, at := range [][2]int{{0, 0}, {-1, 5}, {800, 5}, {5, 500}} {
		if f.Pick(at[0], at[1], 720) {
			t.Errorf("%v picks", at)
		}
	}
}

// The invented machines are sound turbines.
func TestExamples(t *testing.T) {
	for _, name := range Examples() {
		f := New()
		if err := f.FillExample(name); err != nil {
			t.Fatal(err)
		}
		f.Set("site.latitude", "52")
		f.Set("site.longitude", "1")
		f.Set("wind.mean.speed_m_s", "5")
		f.Set("wind.mean.height_m", "10")
		f.Set("money.turbine_cost", "1000")
		f.Set("towers[0].hub_height_m", "12")
		f.Set("towers[0].cost", "500")
		d, err := f.Document()
		if err != nil {
			t.Fatal(err)
		}
		r, err := document.Decode(d.JSON, document.JSON)
		if err != nil {
			t.Fatalf("%s: %v\n%s", name, err, d.JSON)
		}
		var want openapi.TurbineInput
		if err := json.Unmarshal([]byte(examples[name]), &want); err != nil || !reflect.DeepEqual(r.Turbine, want) {
			t.Errorf("%s: %v\n%s", name, err, d.JSON)
		}
	}
	if New().FillExample("moon") == nil {
		t.Error("there is no moon")
	}
}

// An example in feet has numbers as somebody would type them, and what was typed stays.
func TestExamplesInFeet(t *testing.T) {
	v := &View{Form: New()}
	v.ChangeUnits(Feet)
	v.Set("towers[0].hub_height_m", "32.8084")
	if v.Field("turbine.power_curve.points").Empty != "7 8\n9 45\n11 105" {
		t.Errorf("%q", v.Field("turbine.power_curve.points").Empty)
	}
	for name, want := range map[string]map[string]string{
		"garden": {"turbine.rotor_diameter_m": "7.87", "turbine.rated_power_w": "900"},
		"six_boards": {"turbine.design.rotor.diameter_m": "7.22", "turbine.design.wire.length_m": "82.02", "turbine.design.furling.start_m_s": "24.6",
			"turbine.design.rotor.board.root_chord_m": "5.51", "towers[0].hub_height_m": "32.8084"},
	} {
		if err := v.FillExample(name); err != nil {
			t.Fatal(err)
		}
		for field, typed := range want {
			if got := v.Value(field); got != typed {
				t.Errorf("%s: %s is %s, want %s", name, field, got, typed)
			}
		}
		if points := v.Value("turbine.power_curve.points"); name == "garden" && !strings.HasPrefix(points, "5.6 0\n6.7 8\n8.9 45\n") {
			t.Errorf("%q", points)
		}
	}
}

func BenchmarkPage(b *testing.B) {
	set := page.New()
	f := New()
	if err := f.FillExample("garden"); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		var out strings.Builder
		if err := set.Render(&out, "form", &page.Frame{Title: "x", Page: &View{Form: f, Action: "/new"}}); err != nil {
			b.Fatal(err)
		}
	}
}
