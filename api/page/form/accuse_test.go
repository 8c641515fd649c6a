package form

import (
	"net/url"
	"reflect"
	"testing"
)

// Faults are told in the units and the words of the page: nobody there has typed metres, shares or places in a document.
func TestFaultsSpeakAsThePage(t *testing.T) {
	for _, test := range []struct {
		units       Units
		typed       map[string]string
		place, told string
		field, want string
	}{
		{Feet, map[string]string{"towers[0].hub_height_m": "40"}, "towers[0].hub_height_m", "a hub at 12.192 m is in the eddy behind site.obstacles[0], 10.7 m high and 33.5 m away",
			"towers[0].hub_height_m", "a hub at 40 ft is in the eddy behind “Obstacle 1”, 35 ft high and 110 ft away"},
		{Feet, map[string]string{"towers[0].hub_height_m": "700"}, "towers[0].hub_height_m", "must be above 0 and at most 200 m, not 213.36",
			"towers[0].hub_height_m", "must be above 0 and at most 656 ft, not 700 ft"},
		{Feet, map[string]string{"site.obstacles[0].distance_m": "2"}, "site.obstacles[0].distance_m", "0.6096 m puts it at the mast's own foot; give at least 1 m",
			"site.obstacles[0].distance_m", "2 ft puts it at the mast’s own foot; give at least 3.28 ft"},
		{Feet, map[string]string{"towers[0].hub_height_m": "657"}, "towers[0].hub_height_m", "must be above 0 and at most 200 m, not 200.254",
			"towers[0].hub_height_m", "must be above 0 and at most 656 ft, not 657 ft"},
		{Feet, map[string]string{"site.elevation_m": "50001"}, "site.elevation_m", "must be from -500 to 9000 m, not 15\u202f240.3",
			"site.elevation_m", "must be from −1640 to 29\u202f528 ft, not 50001 ft"},
		{Metric, map[string]string{"losses.wiring": "5000000"}, "losses.wiring", "must be from 0 to 0.95 (a share, not per cent), not 50\u202f000",
			"losses.wiring", "must be from 0 % to 95 %, not 5000000 %"},
		{Feet, map[string]string{"site.elevation_m": "40000"}, "site.elevation_m", "must be from -500 to 9000 m, not 12\u202f192",
			"site.elevation_m", "must be from −1640 to 29\u202f528 ft, not 40000 ft"},
		{Feet, map[string]string{"turbine.design.rotor.board.root_chord_m": "300", "by.machine": "design"}, "turbine.design.rotor.board.root_chord_m",
			"must be from 0.005 to 5 m, not 7.62", "turbine.design.rotor.board.root_chord_m", "must be from 0.197 to 197 in, not 300 in"},
		{Feet, map[string]string{"turbine.power_curve.points": "10 5\n7 8"}, "turbine.power_curve.points[1][0]", "3.12928 m/s is not above the 4.4704 m/s before",
			"turbine.power_curve.points", "line 2: 7 mph is not above the 10.0 mph before"},
		{Feet, map[string]string{"turbine.power_curve.points": "20 5000"}, "turbine.power_curve.points",
			"at 8.94 m/s the curve makes 31 times the power in the wind; check the unit of power (W, not kW) and of speed (m/s)", "turbine.power_curve.points",
			"at 20.0 mph the curve makes 31 times the power in the wind; check the unit of power (W, not kW) and of speed (mph)"},
		{Metric, map[string]string{"towers[0].hub_height_m": "300"}, "towers[0].hub_height_m", "must be above 0 and at most 200 m, not 300",
			"towers[0].hub_height_m", "must be above 0 and at most 200 m, not 300"},
		{Metric, map[string]string{"losses.wiring": "150"}, "losses.wiring", "must be from 0 to 0.95 (a share, not per cent), not 1.5",
			"losses.wiring", "must be from 0 % to 95 %, not 150 %"},
		{Metric, map[string]string{"site.obstacles[0].porosity": "150"}, "site.obstacles[0].porosity",
			"must be from 0 (a wall) to 1 (nothing there), not 1.5; if that is in per cent, write 0.015",
			"site.obstacles[0].porosity", "must be from 0 % (a wall) to 100 % (nothing there), not 150 %"},
		{Metric, map[string]string{"uncertainty.place": "150"}, "uncertainty.place", "is 150 %, above 100 %; give a share, such as 0.06 for 6 %",
			"uncertainty.place", "is 150 %, above 100 %"},
		{Metric, map[string]string{"wind.rose": "1 -2"}, "wind.rose[1]", "must be from 0 to 1e6, not -2", "wind.rose", "number 2: must be from 0 to 1e6, not -2"},
		{Metric, nil, "site.elevation_m", "add site.elevation_m", "site.elevation_m", "add “Height above the sea”"},
		{Metric, nil, "site.ground", "describe the ground by cover or by roughness_m", "site.ground.cover", "describe the ground by cover or by “Roughness length, m”"},
		{Metric, nil, "wind.measured_here", "drop one of measured_here and measured_over", "wind.measured_here",
			"drop one of “Where it was measured” and “Ground around the sensor”"},
		{Metric, nil, "money.price_per_kwh", "is needed with feed_in_per_kwh", "money.price_per_kwh", "is needed with “A sold kWh brings”"},
	} {
		v := url.Values{ControlShown: {string(test.units)}, "site.obstacles[0].height_m": {"35"}}
		for name, s := range test.typed {
			v.Set(name, s)
		}
		f := FromValues(v)
		d, err := f.Document()
		if err != nil {
			t.Fatal(err)
		}
		f.Accuse(d, []Fault{{test.place, test.told}})
		if want := map[string][]string{test.field: {test.want}}; !reflect.DeepEqual(f.faults, want) {
			t.Errorf("got  %q\nwant %q", f.faults, want)
		}
	}
}

// A currency has three letters on the page, in capitals; what is wrong with the price of solar in another is not told beside that.
func TestCurrencyHasThreeLetters(t *testing.T) {
	for typed, want := range map[string]string{"": "", " gbp ": "GBP", "EUR": "EUR"} {
		f := FromValues(url.Values{"money.currency": {typed}})
		f.SettleCurrency()
		if !f.Sound() || f.Value("money.currency") != want {
			t.Errorf("%q is %q, %v", typed, f.Value("money.currency"), f.faults)
		}
	}
	for _, typed := range []string{"euro", "€", "E1", "US"} {
		f := FromValues(url.Values{"money.currency": {typed}})
		f.SettleCurrency()
		d, err := f.Document()
		if err != nil {
			t.Fatal(err)
		}
		f.Accuse(d, []Fault{{"money.currency", "must be letters"}, {"solar.cost_per_kw", "is needed with the currency " + typed}})
		if len(f.faults) != 1 || len(f.faults["money.currency"]) != 1 {
			t.Errorf("%q: %v", typed, f.faults)
		}
	}
}

// A number with a decimal comma in a draft is shown, and read as one.
func TestCommaInADraft(t *testing.T) {
	f, err := FromDocument([]byte(`{"site": {"latitude": "52,2", "longitude": "5"}}`), Metric)
	if err != nil || f.Value("site.latitude") != "52,2" || f.Value("site.longitude") != "" {
		t.Errorf("%v %q", err, f.typed)
	}
}

// An obstacle of which the plan lacks something is named, with the field.
func TestUndrawnIsTold(t *testing.T) {
	v := &View{Form: FromValues(url.Values{"site.obstacles[0].name": {"barn"}, "site.obstacles[0].bearing_deg": {"90"}, "site.obstacles[0].distance_m": {"20"},
		"site.obstacles[0].height_m": {"6"}, "site.obstacles[1].width_m": {""}, "site.obstacles[2].bearing_deg": {"500"}})}
	plan, err := v.Plan()
	if got := v.Undrawn(); err != nil || plan != "" || len(got) != 2 || got[0].ID != "f-site-obstacles-0-width-m" || got[0].Label != "Width" ||
		got[1].ID != "f-site-obstacles-2-bearing-deg" {
		t.Errorf("%+v, %v, %s", got, err, plan)
	}
	v.Set("site.obstacles[0].width_m", "10")
	if plan, err = v.Plan(); err != nil || plan == "" || len(v.Undrawn()) != 1 {
		t.Errorf("%+v, %v", v.Undrawn(), err)
	}
}
