package assess

import (
	"mastworth/resource/extreme"
)

// extremeWind is the 50-year gust at the best height, or the lowest where none is best; nil where the wind has no years.
func (a *assessment) extremeWind(heights []Height, best int) *extreme.Extreme {
	w, ok := a.source.(*recordWind)
	if !ok {
		return nil
	}
	h := &heights[max(best, 0)]
	c := w.column(h.Wind.MeasuredAtM)
	out, err := extreme.FiftyYear(w.series, c.index, extreme.Options{HubHeightM: h.HubHeightM, MeasuredAtM: c.heightM, MeanFactor: h.Wind.HeightFactor})
	if err != nil {
		return nil // too short a record, as most are: the field is null
	}
	return &out
}
