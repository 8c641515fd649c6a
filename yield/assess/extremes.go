package assess

import (
	"math"

	"mastworth/resource/extreme"
	"mastworth/resource/terrain"
)

// addExtreme tells the 50-year gust at the best height, or the lowest where none is best, by the record that the estimate rests on,
// shadows of the mast filled from the sensor beside it, but as it was measured: a stretched one has its storms flattened. What a
// hill adds to the mean it adds to the storm.
func (a *assessment) addExtreme(e *Estimate, best int) {
	rec := a.r.Wind.Record
	if rec == nil {
		e.NoExtremeWind = "the wind is given as a distribution, which knows nothing of storms"
		return
	}
	w := a.source.(*recordWind)
	if w.before != nil {
		w = w.before
	}
	h := &e.Heights[best]
	c := w.column(w.heightFor(h.HubHeightM))
	out, err := extreme.FiftyYear(w.series, c.index, extreme.Options{HubHeightM: h.HubHeightM, MeasuredAtM: c.heightM, MeanFactor: h.Wind.HeightFactor,
		HillFactor: a.around.stormOnHill(c.heightM, h.HubHeightM)})
	if err != nil {
		e.NoExtremeWind = err.Error()
		return
	}
	e.ExtremeWind = &out
	e.Warnings = append(e.Warnings, out.Warnings...)
}

// stormOnHill is by how much the relief speeds up the wind from its worst direction between the sensor and the hub; 1 for no
// relief.
func (s *surroundings) stormOnHill(fromM, hubM float64) float64 {
	if len(s.relief) == 0 {
		return 1
	}
	hub, err := terrain.ReliefFactors(s.relief, hubM)
	sensor, err2 := s.atSensor(fromM)
	if err != nil || err2 != nil {
		return 1 // told where the wind itself is moved
	}
	most := 1.0
	for d := range hub {
		most = math.Max(most, hub[d].Factor/sensor.relief[d].Factor)
	}
	return most
}
