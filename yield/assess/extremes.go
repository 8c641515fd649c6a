package assess

import (
	"math"

	"mastworth/resource/extreme"
	"mastworth/resource/terrain"
)

// addExtreme tells the 50-year gust at the best height, or the lowest where none is best, by the record as it was measured: a
// stretched one has its storms flattened. What a hill adds to the mean it adds to the storm.
func (a *assessment) addExtreme(e *Estimate, best int) {
	rec := a.r.Wind.Record
	if rec == nil {
		e.NoExtremeWind = "the wind is given as a distribution, which knows nothing of storms"
		return
	}
	w, err := newRecordWind(rec, rec.Series, nil)
	if err != nil {
		e.NoExtremeWind = err.Error()
		return
	}
	h := &e.Heights[best]
	c := w.column(w.heightFor(h.HubHeightM))
	out, err := extreme.FiftyYear(rec.Series, c.index, extreme.Options{HubHeightM: h.HubHeightM, MeasuredAtM: c.heightM, MeanFactor: h.Wind.HeightFactor})
	if err != nil {
		e.NoExtremeWind = err.Error()
		return
	}
	if hill := a.around.stormOnHill(c.heightM, h.HubHeightM); hill > 1 {
		out.Gust50MS *= hill
		out.Gust50HighMS *= hill
		out.Class, out.ClassGustMS = "", nan
		if class, ok := extreme.ClassFor(math.Max(out.Gust50MS, out.RuleGustMS)); ok {
			out.Class, out.ClassGustMS = class.Name, class.GustMS
		}
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
