package api

import (
	"encoding/json"
	"fmt"
	"testing"
)

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

// loadCSV is a home that draws the same in every hour.
func loadCSV() string {
	out := "hour,weight\n"
	for h := range 24 {
		out += fmt.Sprintf("%d,1\n", h)
	}
	return out
}
