package resource

import (
	"math"
	"testing"
)

// TestStandardAir replays reference/us_standard_atmosphere_1976.csv (columns Z, T, p, ρ; computed from the standard's
// formulas) to the printed digits, and the printed table's values at second hand, whose pressures are cut short.
func TestStandardAir(t *testing.T) {
	rows := table(t, "reference/us_standard_atmosphere_1976.csv", 1)
	if len(rows) < 19 {
		t.Errorf("got %d rows", len(rows))
	}
	for _, row := range rows {
		tempC, pressure, density := StandardAir(number(row[0]))
		near(t, row[0]+" m: T", tempC+273.15, number(row[1]), 6e-4)
		near(t, row[0]+" m: p", pressure, number(row[2]), 0.06)
		near(t, row[0]+" m: ρ", density, number(row[3]), 6e-6)
	}
	for _, c := range []struct{ z, t, p, rho float64 }{ // table I of the standard, second-hand
		{0, 288.150, 101325, 1.2250}, {1000, 281.651, 89876, 1.1117}, {1600, 277.753, 83527, 1.0476},
		{2000, 275.154, 79501, 1.0066}, {3000, 268.659, 70121, 0.90925},
	} {
		tempC, pressure, density := StandardAir(c.z)
		near(t, "T", tempC+273.15, c.t, 6e-4)
		near(t, "p", pressure, c.p, -1e-4)
		near(t, "ρ", density, c.rho, -1e-4)
	}
	for _, z := range []float64{-6000, 12000, math.NaN(), math.Inf(1)} {
		if _, _, rho := StandardAir(z); !math.IsNaN(rho) {
			t.Errorf("density at %g m is %g", z, rho)
		}
	}
}

// TestAirDensity replays the reference table of the IEC 61400-12-1 formula (computed, tolerance 2e-5) and holds it
// against CIPM-2007 (Picard et al. 2008) within the 0.12 % stated beside it.
func TestAirDensity(t *testing.T) {
	for _, c := range []struct{ tempC, pressure, humidity, iec, cipm float64 }{
		{15, 101325, 0, 1.22501, 1.22552},
		{20, 101325, 0.5, 1.19902, 1.19931},
		{20, 100000, 0.5, 1.18327, 1.18356},
		{25, 101325, 0.5, 1.17705, 1.17732},
		{35, 101325, 1, 1.12048, 1.12184},
		{10, 90000, 0.8, 1.10282, 1.10321},
	} {
		got := AirDensity(c.tempC, c.pressure, c.humidity)
		near(t, "IEC", got, c.iec, 2e-5)
		near(t, "CIPM", got, c.cipm, -0.00125)
	}
	near(t, "unknown humidity", AirDensity(15, 101325, math.NaN()), AirDensity(15, 101325, 0), 0)
	// From dry to half saturated at sea level: −0.32, −0.59, −1.05 % (second-hand, by CIPM-2007, from which the IEC's
	// formula differs by 0.06 % at half saturation and 35 °C).
	for tempC, want := range map[float64]float64{15: -0.32, 25: -0.59, 35: -1.05} {
		near(t, "humidity's effect in %", 100*(AirDensity(tempC, 101325, 0.5)/AirDensity(tempC, 101325, 0)-1), want, 0.065)
	}
	if !math.IsNaN(AirDensity(math.NaN(), 101325, 0)) || !math.IsNaN(AirDensity(15, math.NaN(), 0)) {
		t.Error("NaN must stay NaN")
	}
}

func TestPressureAt(t *testing.T) {
	// Steps within the standard atmosphere lead from one of its pressures to another.
	for _, c := range [][2]float64{{0, 1000}, {1000, 0}, {250, 2750}, {-300, 5000}} {
		tempC, pressure, _ := StandardAir(c[0])
		_, want, _ := StandardAir(c[1])
		near(t, "pressure", PressureAt(pressure, tempC, c[0], c[1]), want, -1e-9)
	}
	// Common practice: 12 Pa a metre near the sea.
	near(t, "fall a metre", PressureAt(101325, 15, 0, 10)-101325, -120, 1)
	if !math.IsNaN(PressureAt(math.NaN(), 15, 0, 10)) {
		t.Error("NaN must stay NaN")
	}
}

// TestStationPressure: an altimeter setting of 1013.25 hPa at 5280 ft is 834.51 hPa at the station (second-hand).
func TestStationPressure(t *testing.T) {
	near(t, "at 5280 ft", StationPressure(101325, 5280*0.3048), 83451, 1)
	near(t, "at sea level", StationPressure(101325, 0), 101325, 31) // the relation's own 0.3 hPa
	if !math.IsNaN(StationPressure(101325, 1e5)) || !math.IsNaN(StationPressure(math.NaN(), 0)) {
		t.Error("what cannot be must be NaN")
	}
}
