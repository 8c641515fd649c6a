package ingest

import (
	"strings"

	"mastworth/resource"
)

// unitKind groups the units that can stand for one another.
type unitKind uint8

const (
	noUnit unitKind = iota
	speedUnit
	temperatureUnit
	pressureUnit
	shareUnit
	angleUnit
	irradianceUnit
	wattUnit
	voltageUnit
	currentUnit
	turnsUnit
)

// unit converts to the unit of package resource: value = (raw + add)·mul/div. Two factors rather than one, so that
// conversions by round numbers stay exact: 65 % is 65/100, not 65·0.01.
type unit struct {
	name          string
	of            unitKind
	add, mul, div float64
}

func (u *unit) convert(raw float64) float64 {
	v := (raw + u.add) * u.mul
	if u.div != 1 { // a division costs more than the rest
		v /= u.div
	}
	return v
}

func (u *unit) plain() bool { return u.add == 0 && u.mul == 1 && u.div == 1 }

// units with their spellings, as fold leaves them. Factors: knot 1852 m/h and mile 1609.344 m by definition; inch of
// mercury 3386.389 Pa and millimetre of mercury 133.3224 Pa from NIST SP 811, table B.8 (from memory).
var units = []struct {
	unit
	spellings string
}{
	{unit{"m/s", speedUnit, 0, 1, 1}, "m/s mps ms ms-1 m.s-1 m/sec m/second msec meter/s meters/s meters/second metres/second meterspersecond metrespersecond"},
	{unit{"km/h", speedUnit, 0, 1, 3.6}, "km/h kmh kph kmph kmh-1 km/hr km/hour kilometersperhour kilometresperhour"},
	{unit{"mph", speedUnit, 0, 0.44704, 1}, "mph mi/h mi/hr mile/h miles/h miles/hour milesperhour"},
	{unit{"knots", speedUnit, 0, 1852, 3600}, "kn kt kts knot knots"},
	{unit{"ft/s", speedUnit, 0, 0.3048, 1}, "ft/s fps ft/sec feet/s feet/second"},
	{unit{"°C", temperatureUnit, 0, 1, 1}, "c degc celsius degcelsius degreesc degreescelsius centigrade"},
	{unit{"°F", temperatureUnit, -32, 1, 1.8}, "f degf fahrenheit degfahrenheit degreesf degreesfahrenheit"},
	{unit{"K", temperatureUnit, -273.15, 1, 1}, "k kelvin degk"},
	{unit{"hPa", pressureUnit, 0, 100, 1}, "hpa mbar mbars mb millibar millibars hectopascal"},
	{unit{"kPa", pressureUnit, 0, 1000, 1}, "kpa kilopascal"},
	{unit{"Pa", pressureUnit, 0, 1, 1}, "pa pascal"},
	{unit{"bar", pressureUnit, 0, 100000, 1}, "bar"},
	{unit{"inHg", pressureUnit, 0, 3386.389, 1}, "inhg inchhg incheshg inchesofmercury in.hg"},
	{unit{"mmHg", pressureUnit, 0, 133.3224, 1}, "mmhg torr"},
	{unit{"%", shareUnit, 0, 1, 100}, "% pct percent %rh rh%"},
	{unit{"fraction", shareUnit, 0, 1, 1}, "fraction 1 0-1 0..1"},
	{unit{"degrees", angleUnit, 0, 1, 1}, "deg degs degree degrees degn degt degtrue degreestrue"},
	{unit{"radians", angleUnit, 0, 57.295779513082323, 1}, "rad radian radians"},
	{unit{"W/m²", irradianceUnit, 0, 1, 1}, "w/m2 wm2 wm-2 w.m-2 watt/m2 watts/m2 wattspersquaremeter watts/squaremeter w/sqm"},
	{unit{"kW/m²", irradianceUnit, 0, 1000, 1}, "kw/m2 kwm2 kwm-2"},
	{unit{"W", wattUnit, 0, 1, 1}, "w watt watts"},
	{unit{"kW", wattUnit, 0, 1000, 1}, "kw kilowatt kilowatts"},
	{unit{"V", voltageUnit, 0, 1, 1}, "v volt volts vdc"},
	{unit{"mV", voltageUnit, 0, 1, 1000}, "mv millivolt millivolts"},
	{unit{"A", currentUnit, 0, 1, 1}, "a amp amps ampere amperes adc"},
	{unit{"mA", currentUnit, 0, 1, 1000}, "ma milliamp milliamps"},
	{unit{"rpm", turnsUnit, 0, 1, 1}, "rpm r/min rev/min 1/min min-1 u/min revs/min"},
}

var unitsBySpelling = func() map[string]*unit {
	m := map[string]*unit{}
	for i := range units {
		for _, s := range strings.Fields(units[i].spellings) {
			m[s] = &units[i].unit
		}
	}
	return m
}()

var unitFolder = strings.NewReplacer(" ", "", "\u00a0", "", "°", "deg", "º", "deg", "˚", "deg", "℃", "degc", "℉", "degf", "²", "2", "⁻¹", "-1",
	"⁻²", "-2", "^", "", "·", ".", "*", ".", "_", "", "−", "-", "（", "", "）", "", "**", "")

// unitNamed finds a unit by any of its spellings, case and spaces aside; ok is false for an unknown or empty one.
func unitNamed(s string) (u *unit, ok bool) {
	folded := strings.ToLower(unitFolder.Replace(strings.TrimSpace(s)))
	u, ok = unitsBySpelling[folded]
	return u, ok
}

// unitOf is the kind of unit a quantity is told in.
func unitOf(q resource.Quantity) unitKind {
	switch q {
	case resource.Speed, resource.SpeedSD, resource.Gust:
		return speedUnit
	case resource.Direction:
		return angleUnit
	case resource.Temperature:
		return temperatureUnit
	case resource.Pressure:
		return pressureUnit
	case resource.Humidity:
		return shareUnit
	case resource.GlobalHorizontal, resource.DirectNormal, resource.DiffuseHorizontal:
		return irradianceUnit
	case resource.Power:
		return wattUnit
	case resource.Voltage:
		return voltageUnit
	case resource.Current:
		return currentUnit
	case resource.ShaftSpeed:
		return turnsUnit
	}
	return noUnit
}

// baseUnit is the unit that package resource tells a quantity in.
func baseUnit(q resource.Quantity) *unit {
	k := unitOf(q)
	for i := range units {
		if u := &units[i].unit; u.of == k && u.plain() {
			return u
		}
	}
	panic("ingest: quantity without a unit")
}

// unitsFor lists the units of a kind, for messages.
func unitsFor(k unitKind) string {
	var names []string
	for i := range units {
		if units[i].of == k {
			names = append(names, units[i].name)
		}
	}
	return strings.Join(names, ", ")
}
