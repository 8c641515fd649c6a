package ingest

import (
	"slices"
	"strings"
	"testing"

	"mastworth/resource"
)

// Words that speak of electricity in one name and of the air in another. The names are those that loggers and weather services
// print, from memory, and home builders' own.
func TestEverydayWords(t *testing.T) {
	for _, c := range []struct {
		name string
		want resource.Quantity // 0: not used
	}{
		{"Current wind speed (m/s)", resource.Speed}, {"Current wind direction (deg)", resource.Direction}, {"current_wind_speed", resource.Speed},
		{"Current gust (km/h)", resource.Gust}, {"Current temperature (C)", resource.Temperature}, {"current humidity %", resource.Humidity},
		{"Current pressure (hPa)", resource.Pressure}, {"current_wind_speed_a", resource.Speed}, {"Effekt vindhastighet (m/s)", resource.Speed},
		{"potenza vento (m/s)", resource.Speed}, {"velocità vento corrente (m/s)", resource.Speed}, {"Tension anémomètre wind (m/s)", resource.Speed},
		{"current (A)", resource.Current}, {"current_a", resource.Current}, {"Wind current (A)", resource.Current}, {"corrente", resource.Current},
		{"tension (V)", resource.Voltage}, {"spannung", resource.Voltage}, {"effekt (W)", resource.Power}, {"potenza_w", resource.Power},
		{"Wind power (W)", resource.Power}, {"wind_turbine_power_w", resource.Power}, {"Wind turbine voltage (V)", resource.Voltage},
		{"generator speed (rpm)", resource.ShaftSpeed}, {"generator rpm", resource.ShaftSpeed}, {"generator_v", resource.Voltage}, {"turbine (W)", resource.Power}, {"rpm", resource.ShaftSpeed},
		{"wind power", 0}, {"vane voltage", 0}, {"anemometer voltage", 0}, {"generator temperature (C)", 0}, {"turbine speed", 0},
		{"solar power (W)", 0}, {"battery voltage (V)", 0}, {"batt_v", 0}, {"battery temperature (C)", 0}, {"battery power", 0},
		{"battery_current_a", resource.Current}, {"battery power (W)", resource.Power},
	} {
		if got := describe(c.name, ""); got.quantity != c.want {
			t.Errorf("%q is %v (%s), want %v", c.name, got.quantity, got.how, c.want)
		}
	}
	if c := describe("Current time", ""); c.role != ColumnTime {
		t.Errorf("the current time is %+v", c)
	}
}

// readTable reads a header with three rows of a minute, each column holding its number and a bit.
func readTable(t *testing.T, header string, o Options) (*resource.Series, Report) {
	t.Helper()
	var b strings.Builder
	b.WriteString("time (UTC)," + header + "\n")
	for _, row := range []string{"00", "01", "02"} {
		b.WriteString("2024-03-01 00:" + row)
		for i := range strings.Count(header, ",") + 1 {
			b.WriteString("," + string(rune('1'+i)) + "." + row)
		}
		b.WriteString("\n")
	}
	s, report, err := Read(strings.NewReader(b.String()), o)
	if err != nil {
		t.Fatalf("%s: %v", header, err)
	}
	return s, report
}

func TestTwoColumnsOfOneQuantity(t *testing.T) {
	for _, c := range []struct {
		header string
		q      resource.Quantity
		used   string
		said   []string // in one assumption; none: nothing is said
	}{
		{"wind speed 10 m (m/s),power_out_w,power_in_w", resource.Power, "power_out_w", []string{`"power_in_w" holds power too`, `made from "power_out_w"`, "power_out_w=ignore"}},
		{"wind speed 10 m (m/s),voltage_battery_v,voltage_generator_v,current_a", resource.Voltage, "voltage_generator_v", []string{`"voltage_battery_v" holds voltage too`, `"voltage_generator_v"`}},
		{"wind speed 10 m (m/s),battery_v,current_a", resource.Voltage, "battery_v", nil},
		{"wind speed 10 m (m/s),Batt (V),battery_current_a", resource.Voltage, "Batt (V)", nil},
		{"wind speed 10 m (m/s),battery_v", resource.Voltage, "", nil},
	} {
		s, report := readTable(t, c.header, Options{})
		got := ""
		if i := s.Find(c.q, 10); i >= 0 {
			got = s.Channels[i].Name
		}
		if got != c.used {
			t.Errorf("%s: %v is %q, want %q", c.header, c.q, got, c.used)
		}
		said := slices.ContainsFunc(report.Assumptions, func(a string) bool {
			for _, part := range c.said {
				if !strings.Contains(a, part) {
					return false
				}
			}
			return strings.Contains(a, "too, but a power curve")
		})
		if said != (c.said != nil) {
			t.Errorf("%s: said %q", c.header, report.Assumptions)
		}
	}
	// The remedy named works.
	s, _ := readTable(t, "wind speed 10 m (m/s),power_out_w,power_in_w", Options{Columns: []ColumnSpec{{Column: "power_out_w", Quantity: ColumnIgnore}}})
	if i := s.Find(resource.Power, 10); i < 0 || s.Channels[i].Name != "power_in_w" {
		t.Errorf("power comes from channel %d", i)
	}
	s, _ = readTable(t, "wind speed 10 m (m/s),voltage_battery_v,voltage_generator_v,current_a", Options{Columns: []ColumnSpec{
		{Column: "voltage_generator_v", Quantity: ColumnIgnore}, {Column: "voltage_battery_v", Quantity: "voltage"}}})
	if i := s.Find(resource.Voltage, 10); i < 0 || s.Channels[i].Name != "voltage_battery_v" {
		t.Errorf("voltage comes from channel %d", i)
	}
}
