package solar

// The defaults of DefaultArray, dated 2026.
const (
	// DefaultLosses is the share lost in inverter, wiring, soiling, mismatch and weak light: common practice for a
	// small, clean, unshaded array.
	DefaultLosses = 0.14
	// DefaultTemperatureCoefficient is the relative change of power per kelvin: typical crystalline silicon, common
	// practice. Newer cells lose less, −0.0035 to −0.0026.
	DefaultTemperatureCoefficient = -0.004
	// DefaultHeatLoss and DefaultHeatLossWind are U0, W/(m²·K), and U1, W·s/(m³·K), of Faiman 2008 for modules open
	// at the back. Modules close on a roof run hotter: 15 to 20 and the same U1 is nearer (judgement).
	DefaultHeatLoss     = 25
	DefaultHeatLossWind = 6.84
	// DefaultAngularLoss is the angular-loss coefficient a_r of Martin & Ruiz 2001 for plain glass with ordinary dust.
	DefaultAngularLoss = 0.16
	// DefaultAlbedo is the share of global irradiance that ordinary ground sends back; grass and soil 0.15 to 0.25.
	DefaultAlbedo = 0.2
)

// Array is what matters of modules, mounting and inverter, per kilowatt of rated power (at 1000 W/m² and a cell
// temperature of 25 °C). Begin from DefaultArray: the zero value is not valid.
type Array struct {
	Losses                     float64  // share lost between rating and socket, temperature and reflection apart; 0 to <1
	TemperatureCoefficientPerK float64  // relative change of power per kelvin above 25 °C, −0.02 to 0
	HeatLoss                   float64  // U0 of Faiman 2008, W/(m²·K), above 0
	HeatLossWind               float64  // U1 of Faiman 2008, W·s/(m³·K), 0 or more
	AngularLoss                float64  // a_r of Martin & Ruiz 2001, 0.08 to 0.4; smaller is better glass
	Albedo                     float64  // of the ground before the array, 0 to 1
	Sky                        SkyModel // how diffuse light is spread over the sky; zero value HayDavies
}

// DefaultArray is an ordinary crystalline-silicon array, open at the back; see the Default constants for the sources.
func DefaultArray() Array {
	return Array{
		Losses:                     DefaultLosses,
		TemperatureCoefficientPerK: DefaultTemperatureCoefficient,
		HeatLoss:                   DefaultHeatLoss,
		HeatLossWind:               DefaultHeatLossWind,
		AngularLoss:                DefaultAngularLoss,
		Albedo:                     DefaultAlbedo,
		Sky:                        HayDavies,
	}
}

// Validate reports the first field out of range as an *InputError.
func (a Array) Validate() error {
	for _, f := range []struct {
		name       string
		v, low, up float64
	}{
		{"losses", a.Losses, 0, 0.95},
		{"temperature_coefficient_per_k", a.TemperatureCoefficientPerK, -0.02, 0},
		{"heat_loss", a.HeatLoss, 1, 200},
		{"heat_loss_wind", a.HeatLossWind, 0, 100},
		{"angular_loss", a.AngularLoss, 0.08, 0.4},
		{"albedo", a.Albedo, 0, 1},
	} {
		if !(f.v >= f.low && f.v <= f.up) {
			return wrong(f.name, "must lie within %g and %g, not %g", f.low, f.up, f.v)
		}
	}
	if a.Sky > Perez {
		return wrong("sky", "is not a known model")
	}
	return nil
}
