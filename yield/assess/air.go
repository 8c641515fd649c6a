package assess

import (
	"math"

	"mastworth/resource"
)

// air is the mean density at a hub: from the record's own temperature, pressure and humidity where it has them, each
// carried to the hub's elevation; from the standard atmosphere where it has not.
func (w *recordWind) air(site Site, hubM float64) (float64, Provenance) {
	s := w.series
	from := site.ElevationM
	if s.Place != nil && s.Place.ElevationM == s.Place.ElevationM {
		from = s.Place.ElevationM
	}
	to := site.ElevationM + hubM
	temperature, pressure := w.meanOf(resource.Temperature), w.meanOf(resource.Pressure)
	if temperature != temperature {
		if pressure != pressure {
			return standardAir(site, hubM)
		}
		temperature, _, _ = resource.StandardAir(from)
	}
	const lapse = 0.0065 // K/m, ISO 2533
	atHub := temperature - lapse*(to-from)
	if pressure == pressure {
		pressure = resource.PressureAt(pressure, temperature, from, to)
		return resource.AirDensity(atHub, pressure, w.meanOf(resource.Humidity)), Provenance{
			What: "air_density", Method: "the record's pressure, temperature and humidity, as far as it has them, carried to the hub",
			Source: "IEC 61400-12-1; ISO 2533",
		}
	}
	_, pressure, _ = resource.StandardAir(to)
	return resource.AirDensity(atHub, pressure, w.meanOf(resource.Humidity)), Provenance{
		What: "air_density", Method: "the record's temperature, standard pressure at the hub's elevation",
		Source: "IEC 61400-12-1; ISO 2533",
	}
}

// meanOf is the plain mean of a quantity's usable values; NaN where the record has none.
func (w *recordWind) meanOf(q resource.Quantity) float64 {
	i := w.series.Find(q, w.columns[0].heightM)
	if i < 0 {
		return math.NaN()
	}
	ch := &w.series.Channels[i]
	sum, n := 0.0, 0
	for k := range ch.Values {
		if ch.Usable(k) {
			sum += ch.Values[k]
			n++
		}
	}
	return sum / float64(n)
}
