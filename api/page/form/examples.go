package form

import (
	"fmt"
	"math"
	"strings"
)

// Examples are the names of the invented machines that can be put into a form.
func Examples() []string { return []string{"garden", "six_boards", "paddock"} }

// The machines, as a request has its turbine. Every number is made up.
var examples = map[string]string{
	"garden": `{"name": "garden 2.4 m", "rotor_diameter_m": 2.4, "rated_power_w": 900, "regulation": "furling", "power_curve": {"air_density_kg_m3": 1.225,
		"points": [[2.5, 0], [3, 8], [4, 45], [5, 105], [6, 190], [7, 300], [8, 440], [9, 600], [10, 750], [11, 860], [12, 900], [14, 820], [16, 640],
		[20, 420], [25, 300]]}}`,
	"six_boards": `{"name": "six boards", "design": {"rotor": {"diameter_m": 2.2, "hub_diameter_m": 0.3, "blades": 6, "pitch_deg": 12,
		"board": {"root_chord_m": 0.14}, "section": "curved_plate"}, "generator": {"volts_per_rpm": 0.11, "resistance_ohm": 0.9, "iron_torque_nm": 0.08,
		"cogging_nm": 0.15, "rated_current_a": 14}, "gear": {"ratio": "1:2"}, "load": {"battery": {"volts_v": 25}}, "wire": {"length_m": 25, "area_mm2": 10},
		"furling": {"start_m_s": 11, "full_m_s": 28}}}`,
	"paddock": `{"name": "paddock 5 m", "rotor_diameter_m": 5, "rated_power_w": 4800, "regulation": "pitch", "power_curve": {"air_density_kg_m3": 1.225,
		"points": [[2.5, 0], [3, 55], [4, 200], [5, 430], [6, 760], [7, 1210], [8, 1800], [9, 2530], [10, 3380], [11, 4130], [12, 4620], [13, 4800],
		[20, 4800], [25, 4800]]}}`,
}

// FillExample puts an invented machine into the form, in place of the one that is there. Its name must be one of Examples.
func (f *Form) FillExample(name string) error {
	text, ok := examples[name]
	if !ok {
		return fmt.Errorf("there is no example %q", name)
	}
	filled, err := FromDocument([]byte(`{"turbine": `+text+`}`), f.Units)
	if err != nil {
		return err
	}
	for i := range fields {
		if place := fields[i].place; steps(place)[0].name == "turbine" {
			f.typed[place] = f.Units.short(filled.typed[place], fields[i].kind)
		}
	}
	f.other.take("turbine")
	f.chosen["machine"], f.chosen["load"] = filled.chosen["machine"], filled.chosen["load"]
	return nil
}

// short is a made-up number in feet, inches or miles an hour with no more digits than somebody would type: a hundredth of a foot or an
// inch, a tenth of a mile an hour.
func (u Units) short(typed string, k kind) string {
	if u != Feet || u.factor(k) == Metric.factor(k) {
		return typed
	}
	if k == aPairs {
		lines := strings.Split(typed, "\n")
		for i, line := range lines {
			speed, power, _ := strings.Cut(line, " ")
			lines[i] = u.short(speed, aSpeed) + " " + power
		}
		return strings.Join(lines, "\n")
	}
	v, ok := number(typed)
	if !ok {
		return typed
	}
	part := 100.0
	if k == aSpeed {
		part = 10
	}
	return plain(math.Round(v*part) / part)
}
